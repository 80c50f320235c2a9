/* Civil days. Day numbers are those of the Unix epoch; weekdays those of any almanac. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/core/units/day.h"

static void days_are_counted_from_1970(void **state)
{
    (void)state;
    assert_int_equal(day_of(1970, 1, 1), 0);
    assert_int_equal(day_of(1969, 12, 31), -1);
    assert_int_equal(day_of(2000, 1, 1), 10957);
    assert_int_equal(day_of(2026, 3, 1), 20513);
    assert_int_equal(day_of(9999, 12, 31), 2932896);
}

/* By the rule of Gregory XIII: every fourth year, not every hundredth, but every four hundredth. */
static void leap_years_are_those_of_the_gregorian_calendar(void **state)
{
    (void)state;
    assert_int_equal(day_of(2024, 3, 1) - day_of(2024, 2, 28), 2);
    assert_int_equal(day_of(2026, 3, 1) - day_of(2026, 2, 28), 1);
    assert_int_equal(day_of(2100, 3, 1) - day_of(2100, 2, 28), 1);
    assert_int_equal(day_of(2000, 3, 1) - day_of(2000, 2, 28), 2);
}

static void a_day_is_split_into_what_it_was_made_of(void **state)
{
    int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int32_t day = 0;

    (void)state;
    for (int year = 1970; year <= 2400; year++) {
        lengths[1] = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0 ? 29 : 28;
        for (int month = 1; month <= 12; month++) {
            for (int mday = 1; mday <= lengths[month - 1]; mday++, day++) {
                int y;
                int m;
                int d;

                assert_int_equal(day_of(year, month, mday), day);
                day_split(day, &y, &m, &d);
                assert_true(y == year && m == month && d == mday);
            }
        }
    }
}

static void the_ends_of_the_count_can_be_split(void **state)
{
    int y;
    int m;
    int d;

    (void)state;
    day_split(INT32_MAX, &y, &m, &d);
    assert_int_equal(day_of(y, m, d), INT32_MAX);
    day_split(-719468, &y, &m, &d);
    assert_true(y == 0 && m == 3 && d == 1);
}

static void weeks_begin_on_monday(void **state)
{
    (void)state;
    assert_string_equal(day_weekday_name(day_weekday(0)), "Thursday"); /* 1970-01-01 */
    assert_int_equal(day_weekday(day_of(2026, 3, 2)), 0);
    assert_string_equal(day_weekday_name(0), "Monday");
    assert_int_equal(day_weekday(day_of(2026, 3, 1)), 6);
    assert_string_equal(day_weekday_name(6), "Sunday");
    assert_int_equal(day_weekday(day_of(2000, 2, 29)), 1);
    assert_int_equal(day_weekday(-1), 2);
    assert_in_range(day_weekday(INT32_MIN), 0, 6);
}

static void a_day_is_read_and_written_alike(void **state)
{
    char buf[DAY_TEXT_MAX];
    int32_t day = 0;

    (void)state;
    assert_int_equal(day_parse("2026-03-01", &day, NULL), 0);
    assert_int_equal(day, 20513);
    assert_string_equal(day_format(buf, day), "2026-03-01");
    assert_int_equal(day_parse("2024-02-29", &day, NULL), 0);
    assert_string_equal(day_format(buf, day), "2024-02-29");
    assert_int_equal(day_parse("9999-12-31", &day, NULL), 0);
    assert_string_equal(day_format(buf, day), "9999-12-31");
    assert_string_equal(day_format(buf, DAY_NONE), "");
}

static void text_in_another_form_is_told_the_form(void **state)
{
    static const char *const bad[] = {"",           "today",       "2026-3-1",    "01.03.2026",
                                      "2026/03/01", "2026-03-01 ", " 2026-03-01", "2026-03-0x",
                                      "-026-03-01", "2026-+3-01"};

    struct err e;
    int32_t day = 42;

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(day_parse(bad[i], &day, &e), ERR_SYNTAX);
        assert_int_equal(day, 42);
    }
    assert_string_equal(e.msg, "'2026-+3-01' is not a day; write it as 2026-03-01");
}

static void a_day_that_the_calendar_lacks_is_refused(void **state)
{
    static const char *const none[] = {"2026-02-29", "2026-04-31", "2026-13-01", "2026-00-10",
                                       "2026-01-00", "2026-01-32", "2100-02-29", "2026-99-99"};
    struct err e;
    int32_t day = 42;

    (void)state;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        assert_int_equal(day_parse(none[i], &day, &e), ERR_RANGE);
        assert_int_equal(day, 42);
    }
    assert_string_equal(e.msg, "there is no day 2026-99-99 in the calendar");
    assert_int_equal(day_parse("1969-12-31", &day, &e), ERR_RANGE);
    assert_string_equal(e.msg, "1969-12-31 is too early; days run from 1970-01-01 to 9999-12-31");
    assert_int_equal(day, 42);
}

/* The Julian day numbers of an almanac: 1 January of year 0 (1 BC) is JD 1721059.5 in the
 * proleptic Gregorian calendar, 1 January 1970 is JD 2440587.5; the day before is the last of year
 * -1. */
static void days_before_the_year_0_are_split_too(void **state)
{
    int y;
    int m;
    int d;

    (void)state;
    assert_int_equal(day_of(0, 1, 1), -719528);
    day_split(-719528 - 1, &y, &m, &d);
    assert_true(y == -1 && m == 12 && d == 31);
    for (int year = -801; year <= 1; year++) {
        day_split(day_of(year, 2, 28), &y, &m, &d);
        assert_true(y == year && m == 2 && d == 28);
        day_split(day_of(year, 3, 1), &y, &m, &d);
        assert_true(y == year && m == 3 && d == 1);
    }
}

/* The weekdays of an almanac: 16 April 2026 is a Thursday, 1 January 2027 a Friday. */
static void people_are_told_of_a_day_in_one_way(void **state)
{
    char buf[DAY_WORDS_MAX];
    int32_t today = day_of(2026, 4, 1);

    (void)state;
    assert_string_equal(day_words(buf, day_of(2026, 4, 16), today), "Thu 16 Apr");
    assert_string_equal(day_words(buf, day_of(2027, 1, 1), today), "Fri 1 Jan 2027");
    assert_string_equal(day_words(buf, day_of(2027, 1, 1), DAY_NONE), "Fri 1 Jan");
    assert_string_equal(day_words(buf, DAY_NONE, today), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_before_the_year_0_are_split_too),
        cmocka_unit_test(days_are_counted_from_1970),
        cmocka_unit_test(leap_years_are_those_of_the_gregorian_calendar),
        cmocka_unit_test(a_day_is_split_into_what_it_was_made_of),
        cmocka_unit_test(the_ends_of_the_count_can_be_split),
        cmocka_unit_test(weeks_begin_on_monday),
        cmocka_unit_test(a_day_is_read_and_written_alike),
        cmocka_unit_test(text_in_another_form_is_told_the_form),
        cmocka_unit_test(a_day_that_the_calendar_lacks_is_refused),
        cmocka_unit_test(people_are_told_of_a_day_in_one_way),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
