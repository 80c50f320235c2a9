#include "daemon/core/units/day.h"

#include "daemon/base/err.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* Howard Hinnant, "chrono-compatible low-level date algorithms" (2013): days_from_civil and back.
 */
int32_t day_of(int year, int month, int mday)
{
    int y = year - (month <= 2);
    int era = (y >= 0 ? y : y - 399) / 400;
    int of_era = y - era * 400;
    int of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + mday - 1;

    return (int32_t)((int64_t)era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year -
                     719468);
}

void day_split(int32_t day, int *out_year, int *out_month, int *out_mday)
{
    int64_t z = (int64_t)day + 719468;
    int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    int64_t doe = z - era * 146097;
    int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    int64_t mp = (5 * doy + 2) / 153;
    int month = (int)(mp < 10 ? mp + 3 : mp - 9);

    *out_year = (int)(yoe + era * 400) + (month <= 2);
    *out_month = month;
    *out_mday = (int)(doy - (153 * mp + 2) / 5 + 1);
}

int day_weekday(int32_t day)
{
    int64_t w = ((int64_t)day + 3) % 7; /* 1970-01-01 was a Thursday */

    return (int)(w < 0 ? w + 7 : w);
}

const char *day_weekday_name(int weekday)
{
    static const char *const names[7] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                         "Friday", "Saturday", "Sunday"};

    return names[weekday];
}

static int digits_at(const char *s, int n)
{
    int v = 0;

    for (int i = 0; i < n; i++) {
        if (!isdigit((unsigned char)s[i])) {
            return -1;
        }
        v = v * 10 + (s[i] - '0');
    }
    return v;
}

int day_parse(const char *text, int32_t *out, struct err *e)
{
    int year = -1;
    int month = -1;
    int mday = -1;
    int y;
    int m;
    int d;

    if (strlen(text) == 10 && text[4] == '-' && text[7] == '-') {
        year = digits_at(text, 4);
        month = digits_at(text + 5, 2);
        mday = digits_at(text + 8, 2);
    }
    if (year < 0 || month < 0 || mday < 0) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is not a day; write it as 2026-03-01", text);
    }
    if (year < 1970) {
        return err_set(e, ERR_RANGE, "%.40s is too early; days run from 1970-01-01 to 9999-12-31",
                       text);
    }
    day_split(day_of(year, month, mday), &y, &m, &d);
    if (y != year || m != month || d != mday) {
        return err_set(e, ERR_RANGE, "there is no day %.40s in the calendar", text);
    }
    *out = day_of(year, month, mday);
    return 0;
}

char *day_format(char buf[DAY_TEXT_MAX], int32_t day)
{
    int y;
    int m;
    int d;

    if (day == DAY_NONE) {
        buf[0] = '\0';
        return buf;
    }
    day_split(day, &y, &m, &d);
    (void)snprintf(buf, DAY_TEXT_MAX, "%04d-%02d-%02d", y % 10000, m, d);
    return buf;
}

char *day_words(char buf[DAY_WORDS_MAX], int32_t day, int32_t today)
{
    static const char months[][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const char *weekday = day_weekday_name(day_weekday(day));
    int this_year;
    int y;
    int m;
    int d;

    if (day == DAY_NONE) {
        buf[0] = '\0';
        return buf;
    }
    day_split(today == DAY_NONE ? day : today, &this_year, &m, &d);
    day_split(day, &y, &m, &d);
    if (y == this_year) {
        (void)snprintf(buf, DAY_WORDS_MAX, "%.3s %d %s", weekday, d, months[m - 1]);
    } else {
        (void)snprintf(buf, DAY_WORDS_MAX, "%.3s %d %s %d", weekday, d, months[m - 1], y % 10000);
    }
    return buf;
}
