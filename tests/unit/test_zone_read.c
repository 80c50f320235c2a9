/* Time zones of the system as values. The rules are those of the law: EU directive 2000/84/EC for
 * Vienna (last Sundays of March and October, 01:00 UTC); Lord Howe Island shifts by half an hour
 * on the first Sundays of April and October; Samoa left out 2011-12-30. */
#include "tests/cmocka_all.h"

#include "config/read/zone_read.h"
#include "daemon/core/units/day.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#define HOUR 3600

static struct zone read_zone(const char *name)
{
    struct zone z;
    struct err e = {0};

    assert_int_equal(zone_read(name, &z, &e), 0);
    return z;
}

static int64_t utc(int year, int month, int mday, int hour, int minute)
{
    int64_t day = day_of(year, month, mday);

    return ((day * 24 + hour) * 60 + minute) * 60;
}

/* The offset changes from one to the other at just this second. */
static void assert_shift(const struct zone *z, int64_t at_s, int before_s, int after_s)
{
    assert_int_equal(zone_offset_s(z, at_s - 1), before_s);
    assert_int_equal(zone_offset_s(z, at_s), after_s);
}

static void vienna_goes_to_summer_time_and_back_in_2026(void **state)
{
    struct zone z = read_zone("Europe/Vienna");

    (void)state;
    assert_shift(&z, utc(2026, 3, 29, 1, 0), 1 * HOUR, 2 * HOUR);
    assert_shift(&z, utc(2026, 10, 25, 1, 0), 2 * HOUR, 1 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(2026, 1, 1, 0, 0)), 1 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(2026, 7, 1, 0, 0)), 2 * HOUR);
    zone_deinit(&z);
}

static void the_rule_of_today_holds_to_the_end_of_the_century(void **state)
{
    struct zone z = read_zone("Europe/Vienna");

    (void)state;
    assert_shift(&z, utc(2099, 3, 29, 1, 0), 1 * HOUR, 2 * HOUR);
    assert_int_equal(zone_offset_s(&z, utc(1975, 7, 1, 0, 0)), 1 * HOUR); /* none before 1980 */
    zone_deinit(&z);
}

static void lord_howe_island_shifts_by_half_an_hour(void **state)
{
    struct zone z = read_zone("Australia/Lord_Howe");

    (void)state;
    assert_shift(&z, utc(2026, 4, 4, 15, 0), 11 * HOUR, 10 * HOUR + 1800);
    assert_shift(&z, utc(2026, 10, 3, 15, 30), 10 * HOUR + 1800, 11 * HOUR);
    zone_deinit(&z);
}

static void samoa_has_no_thirtieth_of_december_2011(void **state)
{
    struct zone z = read_zone("Pacific/Apia");
    int64_t jump_s = utc(2011, 12, 30, 10, 0);

    (void)state;
    assert_shift(&z, jump_s, -10 * HOUR, 14 * HOUR);
    assert_int_equal(zone_day(&z, jump_s - 1), day_of(2011, 12, 29));
    assert_int_equal(zone_day(&z, jump_s), day_of(2011, 12, 31));
    zone_deinit(&z);
}

static void utc_never_shifts(void **state)
{
    struct zone z = read_zone("UTC");

    (void)state;
    assert_int_equal(z.n, 1);
    assert_int_equal(zone_offset_s(&z, utc(2026, 7, 1, 0, 0)), 0);
    zone_deinit(&z);
}

static void assert_unknown(const char *name)
{
    struct zone z = {.n = 7};
    struct err e = {0};

    assert_int_equal(zone_read(name, &z, &e), ERR_UNKNOWN);
    assert_int_equal(z.n, 7);
}

static void an_unknown_name_says_how_one_looks(void **state)
{
    struct zone z;
    struct err e = {0};

    (void)state;
    assert_int_equal(zone_read("Europe/Wien", &z, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the time zone 'Europe/Wien' is not known; it is a name such as "
                               "Europe/Vienna or UTC");
    assert_unknown("");
    assert_unknown("Europe");
    assert_unknown("europe/vienna");
    assert_unknown("CET-1CEST,M3.5.0,M10.5.0/3");
}

static void a_name_does_not_lead_out_of_the_folder_of_zones(void **state)
{
    (void)state;
    assert_unknown("/usr/share/zoneinfo/UTC");
    assert_unknown("../zoneinfo/UTC");
    assert_unknown("Europe/../UTC");
    assert_unknown("Europe//Vienna");
    assert_unknown("../../../etc/passwd");
}

static void other_files_in_the_folder_of_zones_are_no_zones(void **state)
{
    (void)state;
    assert_unknown("leapseconds");
    assert_unknown("zone.tab");
    assert_unknown("right/UTC");
}

static void the_zone_of_the_process_stays_as_it_was(void **state)
{
    struct zone z;
    time_t noon = (time_t)utc(2026, 7, 1, 12, 0);
    struct tm tm;

    (void)state;
    assert_int_equal(setenv("TZ", "Asia/Tokyo", 1), 0);
    tzset();
    z = read_zone("Europe/Vienna");
    assert_string_equal(getenv("TZ"), "Asia/Tokyo");
    assert_non_null(localtime_r(&noon, &tm));
    assert_int_equal(tm.tm_hour, 21);
    zone_deinit(&z);

    assert_int_equal(unsetenv("TZ"), 0);
    z = read_zone("Europe/Vienna");
    assert_null(getenv("TZ"));
    zone_deinit(&z);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vienna_goes_to_summer_time_and_back_in_2026),
        cmocka_unit_test(the_rule_of_today_holds_to_the_end_of_the_century),
        cmocka_unit_test(lord_howe_island_shifts_by_half_an_hour),
        cmocka_unit_test(samoa_has_no_thirtieth_of_december_2011),
        cmocka_unit_test(utc_never_shifts),
        cmocka_unit_test(an_unknown_name_says_how_one_looks),
        cmocka_unit_test(a_name_does_not_lead_out_of_the_folder_of_zones),
        cmocka_unit_test(other_files_in_the_folder_of_zones_are_no_zones),
        cmocka_unit_test(the_zone_of_the_process_stays_as_it_was),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
