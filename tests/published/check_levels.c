/* No raising of the level once air roots have formed.
 *
 * KR-RAISE   Kratky 2004, Acta Hort. 648:83-89, abstract: raising the level by more than 2 cm may
 * injure the plant once its roots hang in moist air. KR-RAISE2  Kratky 2011, ASHS Annual
 * Conference, abstract: the level should not be raised; roots that are used to air are drowned.
 * KR-END2    Kratky 2010, CTAHR VC-1: after the harvest clean, then fill afresh.
 * That air roots take about a week to form is common practice, no source. */

#include "daemon/base/err.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tell/rules.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

/* Every way in which water can be put into a container, tried at every day of a life. */
static void nobody_gets_a_level_raised_over_air_roots(void **ctx)
{
    struct room room = a_room();
    struct state s;
    struct entry start = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 0)), FIGURE_EC_MS_CM, 0.7);
    int tried = 0;

    (void)ctx;
    state_init(&s, &room);
    fold_entry(&s, &room, &start);
    for (int day = FORECAST_AIR_ROOT_DAYS; day < 110; day++) {
        double level_l = forecast_container(&room, &s, A1, at(day, 0)).body.volume_l;
        struct entry drained = told_at(ENTRY_DRAINED, "A1", "", at(day, 0));
        struct entry refill =
            with(told_at(ENTRY_REFILLED, "A1", "leaf", at(day, 0)), FIGURE_EC_MS_CM, 1.0);
        struct entry top =
            with(told_at(ENTRY_TOPPED_UP, "A1", "", at(day, 0)), FIGURE_ADDED_L, 0.1);
        struct state empty;

        assert_int_equal(rules_check(&s, &room, &top, true, NULL), ERR_REFUSED);
        state_copy(&empty, &s);
        fold_entry(&empty, &room, &drained);
        for (int tenths = 81; tenths < 180; tenths += 7) {
            double to_l = tenths / 10.0;

            if (to_l > level_l) {
                struct entry above = with(refill, FIGURE_VOLUME_L, to_l);

                assert_int_equal(rules_check(&empty, &room, &above, true, NULL), ERR_REFUSED);
                tried++;
            }
        }
        refill = with(refill, FIGURE_VOLUME_L, 8);
        assert_int_equal(rules_check(&empty, &room, &refill, false, NULL), 0);
        state_deinit(&empty);
    }
    print_message("KR-RAISE, KR-RAISE2  Kratky 2004, 2011: %d refills above the level refused\n",
                  tried);
    assert_true(tried > 500);
    state_deinit(&s);
    room_deinit(&room);
}

static void a_new_start_waits_for_the_cleaning_after_a_harvest(void **ctx)
{
    struct room room = a_room();
    struct state s;
    struct err err = {0};
    struct entry start = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 0)), FIGURE_EC_MS_CM, 0.7);
    struct entry harvest = told_at(ENTRY_HARVESTED, "A1", "final", at(120, 0));
    struct entry clean = told_at(ENTRY_CLEANED, "A1", "", at(120, 1));

    (void)ctx;
    state_init(&s, &room);
    fold_entry(&s, &room, &start);
    fold_entry(&s, &room, &harvest);
    start.happened_s = at(121, 0);
    assert_int_equal(rules_check(&s, &room, &start, true, &err), ERR_REFUSED);
    assert_string_equal(err.msg, "A1 was not cleaned since its harvest");
    fold_entry(&s, &room, &clean);
    assert_int_equal(rules_check(&s, &room, &start, false, NULL), 0);
    print_message("KR-END2  Kratky 2010: clean, then fill afresh\n");
    state_deinit(&s);
    room_deinit(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nobody_gets_a_level_raised_over_air_roots),
        cmocka_unit_test(a_new_start_waits_for_the_cleaning_after_a_harvest),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
