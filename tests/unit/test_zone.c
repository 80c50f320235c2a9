/* Which day and hour an instant is. Vienna's clock of 2026 by EU directive 2000/84/EC: it skips
 * 02:00 to 03:00 on 29 March and shows 02:00 to 03:00 twice on 25 October, both at 01:00 UTC. */
#include "tests/cmocka_all.h"

#include "daemon/core/units/day.h"
#include "daemon/core/units/zone.h"

#include <stdlib.h>

#define HOUR 3600

static int64_t utc(int year, int month, int mday, int hour, int minute)
{
    return ((int64_t)day_of(year, month, mday) * 24 + hour) * HOUR + (int64_t)minute * 60;
}

static int64_t local(const struct zone *z, int year, int month, int mday, int hour, int minute)
{
    return zone_instant_s(z, day_of(year, month, mday), hour * HOUR + minute * 60);
}

static struct zone_step vienna_steps[3];

static struct zone vienna(void)
{
    vienna_steps[0] = (struct zone_step){utc(2025, 10, 26, 1, 0), 1 * HOUR};
    vienna_steps[1] = (struct zone_step){utc(2026, 3, 29, 1, 0), 2 * HOUR};
    vienna_steps[2] = (struct zone_step){utc(2026, 10, 25, 1, 0), 1 * HOUR};
    return (struct zone){vienna_steps, 3};
}

static void no_steps_at_all_is_utc(void **state)
{
    struct zone z = {0};
    char buf[ZONE_TEXT_MAX];

    (void)state;
    assert_int_equal(zone_offset_s(&z, 0), 0);
    assert_int_equal(local(&z, 2026, 3, 1, 7, 5), utc(2026, 3, 1, 7, 5));
    assert_string_equal(zone_format(buf, &z, utc(2026, 3, 1, 7, 5)), "2026-03-01 07:05");
}

static void the_first_step_holds_before_its_instant_too(void **state)
{
    struct zone z = vienna();

    (void)state;
    assert_int_equal(zone_offset_s(&z, utc(1999, 7, 1, 0, 0)), 1 * HOUR);
    assert_int_equal(zone_offset_s(&z, INT64_MIN / 2), 1 * HOUR);
    assert_int_equal(local(&z, 1999, 7, 1, 1, 0), utc(1999, 7, 1, 0, 0));
}

static void a_step_holds_from_its_very_second(void **state)
{
    struct zone z = vienna();

    (void)state;
    assert_int_equal(zone_offset_s(&z, utc(2026, 3, 29, 1, 0) - 1), 1 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(2026, 3, 29, 1, 0)), 2 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(2026, 10, 25, 1, 0) - 1), 2 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(2026, 10, 25, 1, 0)), 1 * HOUR);
}

static void the_day_turns_at_local_midnight(void **state)
{
    struct zone z = vienna();

    (void)state;
    assert_int_equal(zone_day(&z, utc(2026, 7, 1, 21, 59)), day_of(2026, 7, 1));
    assert_int_equal(zone_second_of_day(&z, utc(2026, 7, 1, 21, 59)), 23 * HOUR + 59 * 60);
    assert_int_equal(zone_day(&z, utc(2026, 7, 1, 22, 0)), day_of(2026, 7, 2));
    assert_int_equal(zone_second_of_day(&z, utc(2026, 7, 1, 22, 0)), 0);
}

static void instants_before_1970_have_their_day(void **state)
{
    struct zone z = {0};

    (void)state;
    assert_int_equal(zone_day(&z, -1), -1);
    assert_int_equal(zone_second_of_day(&z, -1), 86399);
}

static void a_time_that_the_clock_skips_is_the_first_instant_after_the_gap(void **state)
{
    struct zone z = vienna();
    int64_t change = utc(2026, 3, 29, 1, 0);

    (void)state;
    assert_int_equal(local(&z, 2026, 3, 29, 1, 59), change - 60);
    assert_int_equal(local(&z, 2026, 3, 29, 2, 0), change);
    assert_int_equal(local(&z, 2026, 3, 29, 2, 30), change);
    assert_int_equal(local(&z, 2026, 3, 29, 2, 59), change);
    assert_int_equal(local(&z, 2026, 3, 29, 3, 0), change);
    assert_int_equal(local(&z, 2026, 3, 29, 3, 1), change + 60);
}

static void a_time_that_the_clock_shows_twice_is_its_first(void **state)
{
    struct zone z = vienna();

    (void)state;
    assert_int_equal(local(&z, 2026, 10, 25, 1, 59), utc(2026, 10, 24, 23, 59));
    assert_int_equal(local(&z, 2026, 10, 25, 2, 0), utc(2026, 10, 25, 0, 0));
    assert_int_equal(local(&z, 2026, 10, 25, 2, 30), utc(2026, 10, 25, 0, 30));
    assert_int_equal(local(&z, 2026, 10, 25, 3, 0), utc(2026, 10, 25, 2, 0));
}

static void both_showings_of_an_hour_are_written_alike(void **state)
{
    struct zone z = vienna();
    char buf[ZONE_TEXT_MAX];

    (void)state;
    assert_string_equal(zone_format(buf, &z, utc(2026, 10, 25, 0, 30)), "2026-10-25 02:30");
    assert_string_equal(zone_format(buf, &z, utc(2026, 10, 25, 1, 30)), "2026-10-25 02:30");
    assert_string_equal(zone_format(buf, &z, utc(2026, 3, 29, 1, 0)), "2026-03-29 03:00");
}

/* Every five minutes of a year: from the instant to the clock and back. */
static void all_other_instants_come_back_as_they_were(void **state)
{
    struct zone z = vienna();
    int64_t again = utc(2026, 10, 25, 1, 0);
    int n_again = 0;

    (void)state;
    for (int64_t t = utc(2026, 1, 1, 0, 0); t < utc(2027, 1, 1, 0, 0); t += 300) {
        int64_t back = zone_instant_s(&z, zone_day(&z, t), zone_second_of_day(&z, t));

        if (t >= again && t < again + HOUR) { /* the second showing */
            assert_int_equal(back, t - HOUR);
            n_again++;
        } else {
            assert_int_equal(back, t);
        }
    }
    assert_int_equal(n_again, 12);
}

/* Samoa went over the date line: 2011-12-30 does not exist there. */
static void a_day_that_was_left_out_is_the_first_instant_of_the_next(void **state)
{
    struct zone_step steps[] = {
        {utc(2011, 9,  24, 14, 0), -10 * HOUR},
        {utc(2011, 12, 30, 10, 0), 14 * HOUR }
    };
    struct zone z = {steps, 2};

    (void)state;
    assert_int_equal(local(&z, 2011, 12, 30, 0, 0), utc(2011, 12, 30, 10, 0));
    assert_int_equal(local(&z, 2011, 12, 30, 23, 59), utc(2011, 12, 30, 10, 0));
    assert_int_equal(local(&z, 2011, 12, 31, 0, 0), utc(2011, 12, 30, 10, 0));
    assert_int_equal(local(&z, 2011, 12, 29, 23, 59), utc(2011, 12, 30, 9, 59));
    assert_int_equal(local(&z, 2012, 1, 1, 8, 0), utc(2011, 12, 31, 18, 0));
}

/* Some clocks go forward at midnight: the day begins at 01:00. */
static void a_day_without_midnight_begins_at_its_first_instant(void **state)
{
    struct zone_step steps[] = {
        {utc(2026, 1, 1, 0, 0), -4 * HOUR},
        {utc(2026, 9, 6, 4, 0), -3 * HOUR}
    };
    struct zone z = {steps, 2};
    int64_t first = local(&z, 2026, 9, 6, 0, 0);

    (void)state;
    assert_int_equal(first, utc(2026, 9, 6, 4, 0));
    assert_int_equal(zone_day(&z, first), day_of(2026, 9, 6));
    assert_int_equal(zone_second_of_day(&z, first), 1 * HOUR);
}

static void a_zone_gives_its_steps_back(void **state)
{
    struct zone z = {calloc(1, sizeof(struct zone_step)), 1};

    (void)state;
    zone_deinit(&z);
    assert_null(z.step);
    assert_int_equal(z.n, 0);
    zone_deinit(&z);
}

/* Never comes after all days, wherever clocks are: INT64_MAX has no local time. */
static void never_has_no_day(void **state)
{
    static struct zone_step auckland = {INT64_MIN / 2, 12 * HOUR};
    struct zone utc_zone = {0};
    struct zone ahead = {&auckland, 1};

    (void)state;
    assert_int_equal(zone_day(&utc_zone, INT64_MAX), DAY_NEVER);
    assert_int_equal(zone_day(&ahead, INT64_MAX), DAY_NEVER);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_steps_at_all_is_utc),
        cmocka_unit_test(the_first_step_holds_before_its_instant_too),
        cmocka_unit_test(a_step_holds_from_its_very_second),
        cmocka_unit_test(the_day_turns_at_local_midnight),
        cmocka_unit_test(instants_before_1970_have_their_day),
        cmocka_unit_test(a_time_that_the_clock_skips_is_the_first_instant_after_the_gap),
        cmocka_unit_test(a_time_that_the_clock_shows_twice_is_its_first),
        cmocka_unit_test(both_showings_of_an_hour_are_written_alike),
        cmocka_unit_test(all_other_instants_come_back_as_they_were),
        cmocka_unit_test(a_day_that_was_left_out_is_the_first_instant_of_the_next),
        cmocka_unit_test(a_day_without_midnight_begins_at_its_first_instant),
        cmocka_unit_test(a_zone_gives_its_steps_back),
        cmocka_unit_test(never_has_no_day),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
