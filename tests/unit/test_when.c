/* An instant or a day in a person's words. It is Wednesday 2026-03-04, noon, in Vienna (UTC+1 until
 * the night of 2026-03-29). */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"
#include "daemon/core/units/zone.h"

#include <string.h>

#define HOUR 3600
#define DAY  86400

static struct zone_step steps[] = {
    {1761440400, 1 * HOUR}, /* 2025-10-26 01:00 UTC */
    {1774746000, 2 * HOUR}, /* 2026-03-29 01:00 UTC */
};
static const struct zone vienna = {steps, 2};
static const int64_t now_s = 1772622000; /* 2026-03-04 11:00 UTC */
static const int32_t today = 20516;      /* 2026-03-04 */

static void assert_past(const char *text, const char *want)
{
    char got[ZONE_TEXT_MAX];
    int64_t t = 0;
    struct err e = {0};

    if (when_parse_past(text, &vienna, now_s, &t, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    assert_string_equal(zone_format(got, &vienna, t), want);
}

static void assert_past_refused(const char *text, int code, const char *message)
{
    int64_t t = 42;
    struct err e = {0};

    assert_int_equal(when_parse_past(text, &vienna, now_s, &t, &e), code);
    assert_string_equal(e.msg, message);
    assert_int_equal(t, 42);
}

static void assert_day(const char *text, const char *want)
{
    char got[DAY_TEXT_MAX];
    int32_t day = DAY_NONE;
    struct err e = {0};

    if (when_parse_day(text, today, &day, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    assert_string_equal(day_format(got, day), want);
}

static void the_clock_of_these_tests_is_right(void **state)
{
    char buf[ZONE_TEXT_MAX];

    (void)state;
    assert_string_equal(zone_format(buf, &vienna, now_s), "2026-03-04 12:00");
    assert_int_equal(zone_day(&vienna, now_s), today);
    assert_string_equal(day_weekday_name(day_weekday(today)), "Wednesday");
}

static void a_time_is_that_of_today(void **state)
{
    (void)state;
    assert_past("now", "2026-03-04 12:00");
    assert_past("07:30", "2026-03-04 07:30");
    assert_past("today 07:30", "2026-03-04 07:30");
    assert_past("00:00", "2026-03-04 00:00");
}

static void a_day_before_can_be_named(void **state)
{
    (void)state;
    assert_past("yesterday 18:00", "2026-03-03 18:00");
    assert_past("Yesterday 18:00", "2026-03-03 18:00");
    assert_past("2026-03-01 18:00", "2026-03-01 18:00");
    assert_past("2026-03-01T18:00", "2026-03-01 18:00");
    assert_past("2026-03-01", "2026-03-01 00:00");
}

static void a_weekday_is_the_last_one_before_now(void **state)
{
    (void)state;
    assert_past("monday 18:00", "2026-03-02 18:00");
    assert_past("Mon 18:00", "2026-03-02 18:00");
    assert_past("thursday 18:00", "2026-02-26 18:00");
    assert_past("wednesday 11:59", "2026-03-04 11:59");
    assert_past("wednesday 18:00", "2026-02-25 18:00"); /* that of today is still to come */
}

static void a_while_ago_is_counted_back_from_now(void **state)
{
    (void)state;
    assert_past("2 h ago", "2026-03-04 10:00");
    assert_past("90 min ago", "2026-03-04 10:30");
    assert_past("3 days ago", "2026-03-01 12:00");
    assert_past("1 week ago", "2026-02-25 12:00");
    assert_past("0.5 h AGO", "2026-03-04 11:30");
}

static void a_day_in_words_wants_its_hour(void **state)
{
    (void)state;
    assert_past_refused("yesterday", ERR_SYNTAX,
                        "'yesterday' is a whole day; say when on it: yesterday 18:00");
    assert_past_refused("monday", ERR_SYNTAX,
                        "'monday' is a whole day; say when on it: monday 18:00");
}

static void nothing_can_have_happened_yet(void **state)
{
    (void)state;
    assert_past("12:05", "2026-03-04 12:05"); /* two clocks may differ by five minutes */
    assert_past_refused("12:06", ERR_RANGE,
                        "12:06 is still to come (it is 2026-03-04 12:00); for the day before say "
                        "'yesterday 12:06'");
    assert_past_refused("2026-03-05 08:00", ERR_RANGE,
                        "2026-03-05 08:00 is still to come (it is 2026-03-04 12:00)");
    assert_past_refused("tomorrow 08:00", ERR_RANGE,
                        "tomorrow 08:00 is still to come (it is 2026-03-04 12:00)");
}

static void assert_instant(const char *text, int64_t want)
{
    int64_t t = 0;
    struct err e = {0};

    if (when_parse(text, &vienna, now_s, &t, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    if (t != want) {
        fail_msg("%s: %lld, not %lld", text, (long long)t, (long long)want);
    }
}

/* RFC 3339, section 5.8 (from memory), beside what `date -u -d` makes of them. */
static void the_examples_of_rfc_3339_are_read(void **state)
{
    int64_t t = 42;
    struct err e = {0};

    (void)state;
    assert_instant("1985-04-12T23:20:50.52Z", 482196050); /* half a second is dropped */
    assert_instant("1996-12-19T16:39:57-08:00", 851042397);
    assert_instant("1996-12-20T00:39:57Z", 851042397);
    assert_instant("1990-12-31T23:59:60Z", 662688000); /* a leap second: 1991 begins */
    assert_instant("1990-12-31T15:59:60-08:00", 662688000);
    /* The fifth, of Dutch time in 1937, is understood, and lies before the calendar of the house.
     */
    assert_int_equal(when_parse("1937-01-01T12:00:27.87+00:20", &vienna, now_s, &t, &e), ERR_RANGE);
    assert_string_equal(e.msg, "1937-01-01 is too early; days run from 1970-01-01 to 9999-12-31");
    assert_int_equal(t, 42);
}

static void an_instant_is_the_same_by_whatever_offset(void **state)
{
    (void)state;
    assert_instant("2026-03-04T12:00:00+01:00", now_s);
    assert_instant("2026-03-04T11:00:00Z", now_s);
    assert_instant("2026-03-04t11:00:00z", now_s); /* RFC 3339, section 5.6: either case */
    assert_instant("2026-03-04 11:00:00Z", now_s); /* and a space for readability */
    assert_instant("2026-03-04T11:00Z", now_s);
    assert_instant("2026-03-04T11:00:00-00:00", now_s);
    assert_instant("2026-03-04T22:45:00+11:45", now_s);
    assert_instant("2026-03-03T20:30:00-14:30", now_s);
    assert_instant("2026-03-05T10:59:00+23:59", now_s);
    assert_instant("2026-03-04T11:00:01.999999999Z", now_s + 1);
    assert_past("2026-03-04T08:00:00Z", "2026-03-04 09:00");
    assert_past_refused("2026-03-04T11:05:01Z", ERR_RANGE,
                        "2026-03-04T11:05:01Z is still to come (it is 2026-03-04 12:00)");
    assert_past("2026-03-04T11:05:00Z", "2026-03-04 12:05");
}

static void without_an_offset_it_is_the_rooms_own_time(void **state)
{
    (void)state;
    assert_instant("2026-03-04T12:00", now_s);
    assert_instant("2026-03-04T12:00:07", now_s + 7);
    assert_instant("2026-03-04 12:00:07", now_s + 7);
    assert_instant("2026-03-04 12:00:07.5", now_s + 7);
    assert_instant("today 12:00:07", now_s + 7);
    assert_instant("12:00:07", now_s + 7);
    assert_instant("2026-07-01T12:00:00", 1782900000); /* summer time: 10:00 UTC */
}

/* The rooms's noon comes and goes; a leap second is the last one of a day in UTC only. */
static void a_second_of_60_is_a_leap_second_or_none(void **state)
{
    static const char *const bad[] = {
        "2026-03-04T11:00:60Z",
        "2026-03-04T23:59:61Z",
        "2026-03-04T23:59:60+01:00",
        "2026-03-04T23:58:60Z",
        "23:59:60",
        "2026-03-04T23:59:60",
        "2026-03-04T12:59:60-00:30",
    };
    int64_t t = 42;

    (void)state;
    assert_instant("2026-03-04T23:59:60Z", now_s + 13 * HOUR);
    assert_instant("2026-03-05T00:59:60", now_s + 13 * HOUR); /* in Vienna */
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(when_parse(bad[i], &vienna, now_s, &t, NULL), ERR_SYNTAX);
        assert_int_equal(t, 42);
    }
}

static void half_an_instant_is_none(void **state)
{
    static const char *const bad[] = {
        "2026-03-04T11:00:00+1:00",
        "2026-03-04T11:00:00+0100",
        "2026-03-04T11:00:00+01",
        "2026-03-04T11:00:00+24:00",
        "2026-03-04T11:00:00+01:60",
        "2026-03-04T11:00:00 Z",
        "2026-03-04T11:00:00Zulu",
        "2026-03-04T11:00:00.Z",
        "2026-03-04T11:00:5Z",
        "2026-03-04T11:00:Z",
        "2026-03-04T11Z",
        "2026-03-04T11:0",
        "2026-03-04T",
        "2026-03-04Z",
        "2026-03-04T11:00:00+01:00x",
        "2026-03-04T11:00:00,5Z",
        "2026-03-04T24:00:00Z",
        "yesterday 11:00Z",
        "monday 11:00+01:00",
        "11:00Z",
        "11:00+01:00",
        "12:00:60",
        "1:00:00",
        "11:00:00.",
        "2026-03-04T11:00:00*01:00",
        "2026-03-04T11:00:00+01.00",
    };
    int64_t t = 42;

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        if (when_parse(bad[i], &vienna, now_s, &t, NULL) != ERR_SYNTAX) {
            fail_msg("%s was taken", bad[i]);
        }
        assert_int_equal(t, 42);
    }
}

/* An instant as a number is judged like one in words: one allowance for the clocks of two
 * machines. */
static void five_minutes_ahead_are_forgiven_and_no_more(void **state)
{
    (void)state;
    assert_int_equal(WHEN_AHEAD_S, 300);
    assert_true(when_is_past(now_s + 300, now_s));
    assert_false(when_is_past(now_s + 301, now_s));
}

static void a_time_of_day_is_read_by_itself(void **state)
{
    (void)state;
    assert_int_equal(when_clock_s("00:00"), 0);
    assert_int_equal(when_clock_s("07:30"), 27000);
    assert_int_equal(when_clock_s("07:30:15"), 27015);
    assert_int_equal(when_clock_s("23:59"), 86340);
    assert_int_equal(when_clock_s("24:00"), -1);
    assert_int_equal(when_clock_s("7:30"), -1);
    assert_int_equal(when_clock_s("07:60"), -1);
    assert_int_equal(when_clock_s("07:30 "), -1);
    assert_int_equal(when_clock_s("0a:30"), -1);
    assert_int_equal(when_clock_s("07.30"), -1);
    assert_int_equal(when_clock_s(""), -1);
}

static void what_is_no_time_is_met_with_examples(void **state)
{
    static const char *const bad[] = {
        "",
        "noon",
        "7:30",
        "24:00",
        "12:60",
        "18.00",
        "yesterday ",
        "ago",
        " ago",
        "5 ago",
        "-2 h ago",
        "2 L ago",
        "monday 18",
        "2026-03-01 18",
        "2026-03-01X18:00",
        "+3 days",
        "4e9 days ago",
        "last monday",
        "2026-03-01  18:00",
        "a hundred and one words that nobody could ever take for a time of day"};
    struct err e;
    int64_t t = 42;

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(when_parse_past(bad[i], &vienna, now_s, &t, &e), ERR_SYNTAX);
        assert_non_null(strstr(e.msg, "' is not a time; say 18:00, yesterday 18:00, 2026-03-01 "
                                      "18:00 or 2 h ago"));
        assert_int_equal(t, 42);
    }
}

static void a_day_that_the_calendar_lacks_is_called_so(void **state)
{
    struct err e;
    int32_t day = 42;

    (void)state;
    assert_past_refused("2026-02-29 18:00", ERR_RANGE,
                        "there is no day 2026-02-29 in the calendar");
    assert_int_equal(when_parse_day("2026-02-29", today, &day, &e), ERR_RANGE);
    assert_string_equal(e.msg, "there is no day 2026-02-29 in the calendar");
    assert_int_equal(day, 42);
}

static void an_instant_may_lie_ahead_where_that_is_meant(void **state)
{
    int64_t t = 0;

    (void)state;
    assert_int_equal(when_parse("tomorrow 12:00", &vienna, now_s, &t, NULL), 0);
    assert_int_equal(t, now_s + DAY);
    assert_int_equal(when_parse("18:00", &vienna, now_s, &t, NULL), 0);
    assert_int_equal(t, now_s + 6 * HOUR);
    assert_int_equal(when_parse("2026-03-04", &vienna, now_s, &t, NULL), 0);
    assert_int_equal(t, now_s - 12 * HOUR);
    assert_int_equal(when_parse("later", &vienna, now_s, &t, NULL), ERR_SYNTAX);
    assert_int_equal(t, now_s - 12 * HOUR);
}

static void a_time_that_the_clock_skips_is_the_first_after_the_gap(void **state)
{
    int64_t t = 0;

    (void)state;
    assert_int_equal(when_parse("2026-03-29 02:30", &vienna, now_s, &t, NULL), 0);
    assert_int_equal(t, 1774746000);
}

static void a_day_to_come_can_be_named(void **state)
{
    (void)state;
    assert_day("today", "2026-03-04");
    assert_day("tomorrow", "2026-03-05");
    assert_day("yesterday", "2026-03-03");
    assert_day("2026-04-01", "2026-04-01");
    assert_day("friday", "2026-03-06");
    assert_day("tue", "2026-03-10");
    assert_day("wednesday", "2026-03-11"); /* the next one after today */
}

static void days_ahead_are_counted_whole(void **state)
{
    struct err e;
    int32_t day = 42;

    (void)state;
    assert_day("+3 days", "2026-03-07");
    assert_day("+1 week", "2026-03-11");
    assert_day("+48 h", "2026-03-06");
    assert_day("+0 days", "2026-03-04");
    assert_int_equal(when_parse_day("+36 h", today, &day, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, "'+36 h' is not a day; say tomorrow, monday, +3 days or 2026-03-01");
    assert_int_equal(when_parse_day("+1.5 days", today, &day, NULL), ERR_SYNTAX);
    assert_int_equal(when_parse_day("+-1 days", today, &day, NULL), ERR_SYNTAX);
    assert_int_equal(when_parse_day("+3", today, &day, NULL), ERR_SYNTAX);
    assert_int_equal(when_parse_day("soon", today, &day, NULL), ERR_SYNTAX);
    assert_int_equal(when_parse_day("", today, &day, NULL), ERR_SYNTAX);
    assert_int_equal(day, 42);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_clock_of_these_tests_is_right),
        cmocka_unit_test(a_time_is_that_of_today),
        cmocka_unit_test(a_day_before_can_be_named),
        cmocka_unit_test(a_weekday_is_the_last_one_before_now),
        cmocka_unit_test(a_while_ago_is_counted_back_from_now),
        cmocka_unit_test(a_day_in_words_wants_its_hour),
        cmocka_unit_test(nothing_can_have_happened_yet),
        cmocka_unit_test(the_examples_of_rfc_3339_are_read),
        cmocka_unit_test(an_instant_is_the_same_by_whatever_offset),
        cmocka_unit_test(without_an_offset_it_is_the_rooms_own_time),
        cmocka_unit_test(a_second_of_60_is_a_leap_second_or_none),
        cmocka_unit_test(half_an_instant_is_none),
        cmocka_unit_test(five_minutes_ahead_are_forgiven_and_no_more),
        cmocka_unit_test(a_time_of_day_is_read_by_itself),
        cmocka_unit_test(what_is_no_time_is_met_with_examples),
        cmocka_unit_test(a_day_that_the_calendar_lacks_is_called_so),
        cmocka_unit_test(an_instant_may_lie_ahead_where_that_is_meant),
        cmocka_unit_test(a_time_that_the_clock_skips_is_the_first_after_the_gap),
        cmocka_unit_test(a_day_to_come_can_be_named),
        cmocka_unit_test(days_ahead_are_counted_whole),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
