/* Plain water: enough, in time, or heard of while there is time. */
#include "daemon/core/room/water_source.h"
#include "daemon/core/work/notice.h"
#include "daemon/core/work/water_need.h"
#include "tests/unit/a_told_room.h"

static const struct source_water unit = {.rate_l_h = 8, .stored_l = 20, .recovery_frac = 0.25};

static void making_begins_so_that_it_is_there_in_time(void **state)
{
    (void)state;
    /* 60 L: 20 are stored, 40 take five hours */
    assert_true(water_source_start_s(&unit, 60, at(2, 9), at(0, 9)) == at(2, 4));
    assert_true(water_source_start_s(&unit, 15, at(2, 9), at(0, 9)) == at(2, 9));
    assert_true(water_source_start_s(&unit, 500, at(2, 9), at(2, 7)) ==
                at(2, 7)); /* too late as it is */
}

static void what_it_can_have_is_what_is_stored_and_made(void **state)
{
    (void)state;
    assert_true(water_source_has_l(&unit, at(0, 9), at(0, 14)) == 60);
    assert_true(water_source_has_l(&unit, at(0, 9), at(0, 9)) == 20);
    assert_true(water_source_drain_l(&unit, 10) == 30);
}

static bool is_told_of(const struct notices *n, const char *key)
{
    for (size_t i = 0; i < n->n; i++) {
        if (strncmp(n->notice[i].key, key, strlen(key)) == 0) {
            return true;
        }
    }
    return false;
}

/* Three tubs of 18 L are to be started in two days, with a source of half a litre an hour. */
static void a_source_that_is_too_weak_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;
    struct room *room = &f->room;
    struct agenda agenda;
    struct notices notices;

    for (size_t i = 0; i < room->n_containers; i++) {
        room->container[i].start_on = i <= A3 ? 20513 + 2 : DAY_NONE;
    }
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 7)), FIGURE_VOLUME_L, 100));
    room->source.stored_l = 5;
    for (int weak = 0; weak < 2; weak++) {
        room->source.rate_l_h = weak ? 0.5 : 8;
        agenda_derive(room, &f->s, at(0, 8), 28, NULL, false, &agenda);
        notices_derive(room, &f->s, &agenda, at(0, 8), &notices);
        assert_int_equal(is_told_of(&notices, "source-weak"), weak);
        notices_deinit(&notices);
        agenda_deinit(&agenda);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(making_begins_so_that_it_is_there_in_time),
        cmocka_unit_test(what_it_can_have_is_what_is_stored_and_made),
        TEST(a_source_that_is_too_weak_is_told_of),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
