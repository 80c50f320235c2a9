/* Which of a sensor's readings count: the first of an hour, and what tells something new. */
#include "daemon/core/room/sensor_hour.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

static bool counts(struct sensor_hour *h, int64_t at_s, unsigned figures)
{
    struct entry e = told_at(ENTRY_READING, "A1", "", at_s);

    e.sensor = true;
    e.has = figures;
    return sensor_hour_counts(h, &e);
}

#define PH FIGURE_BIT(FIGURE_PH)
#define EC FIGURE_BIT(FIGURE_EC_MS_CM)

static void the_first_of_an_hour_counts(void **ctx)
{
    struct sensor_hour h = {0};

    (void)ctx;
    assert_true(counts(&h, at(0, 8) + 60, PH));
    assert_false(counts(&h, at(0, 8) + 60, PH));
    assert_false(counts(&h, at(0, 9) - 1, PH));
    assert_true(counts(&h, at(0, 9), PH));
    assert_true(counts(&h, at(7, 9), PH)); /* the same hour of another day is another */
}

static void a_figure_that_none_told_yet_counts(void **ctx)
{
    struct sensor_hour h = {0};

    (void)ctx;
    assert_true(counts(&h, at(0, 8), PH));
    assert_true(counts(&h, at(0, 8) + 1, EC | PH));
    assert_false(counts(&h, at(0, 8) + 2, EC));
    assert_false(counts(&h, at(0, 8) + 3, PH));
    assert_true(counts(&h, at(0, 9), EC));
    assert_true(counts(&h, at(0, 9) + 1, PH));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_of_an_hour_counts),
        cmocka_unit_test(a_figure_that_none_told_yet_counts),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
