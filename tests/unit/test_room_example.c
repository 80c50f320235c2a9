/* Examples with the names of a room. */
#include "daemon/core/tell/room_example.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

static void names_of_no_room_make_way(void **state)
{
    struct room room = a_room();
    struct room none = {0};
    struct text t = {0};

    (void)state;
    (void)snprintf(room.container[A1].name, sizeof room.container[A1].name, "north");
    room_example(&room, "bumped A1 was=1.1mS/cm calcium-part=8mL, not A10", &t);
    assert_string_equal(text_str(&t), "bumped north was=1.1mS/cm calcium-part=8mL, not A10");
    text_clear(&t);
    room_example(&room, "moved A1 to=A3", &t);
    assert_string_equal(text_str(&t), "moved north to=A2");
    text_clear(&t);
    room_example(&none, "died A1", &t); /* a room of nothing has no better name */
    assert_string_equal(text_str(&t), "died A1");
    text_deinit(&t);
    room_deinit(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(names_of_no_room_make_way)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
