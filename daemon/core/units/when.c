#include "daemon/core/units/when.h"

#include "daemon/base/err.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/units/zone.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#define AHEAD_S    300 /* clocks of two machines differ by this much */
#define SPAN_MAX_D 36500.0
#define TEXT_MAX   48

/* "07:30" -> second of the day; -1 when it is none. */
static int32_t clock_second(const char *s)
{
    size_t len = strlen(s);
    int h;
    int m;

    if (len != 5 || s[2] != ':' || strspn(s, "0123456789:") != 5) {
        return -1;
    }
    h = (s[0] - '0') * 10 + (s[1] - '0');
    m = (s[3] - '0') * 10 + (s[4] - '0');
    return h < 24 && m < 60 ? h * 3600 + m * 60 : -1;
}

/* 0 = Monday … 6 = Sunday; -1 when it names no weekday. Three letters are enough. */
static int weekday_of(const char *s)
{
    for (int w = 0; w < 7; w++) {
        const char *name = day_weekday_name(w);

        if (strcasecmp(s, name) == 0 || (strlen(s) == 3 && strncasecmp(s, name, 3) == 0)) {
            return w;
        }
    }
    return -1;
}

/* A word for a day. `ahead`: a weekday is the next one after today, else the last one before or
 * today. */
static int day_word(const char *s, int32_t today, bool ahead, int32_t *out, struct err *e)
{
    int weekday = weekday_of(s);
    int off;

    if (strcasecmp(s, "today") == 0) {
        *out = today;
    } else if (strcasecmp(s, "yesterday") == 0) {
        *out = today - 1;
    } else if (strcasecmp(s, "tomorrow") == 0) {
        *out = today + 1;
    } else if (weekday >= 0) {
        off = (weekday - day_weekday(today) + 7) % 7;
        *out = ahead ? today + (off == 0 ? 7 : off) : today - (7 - off) % 7;
    } else {
        return day_parse(s, out, e);
    }
    return 0;
}

/* "3 days", "2 h" -> days. */
static int span_days(const char *s, double *out)
{
    double d;

    if (quantity_parse(QUANTITY_SPAN, s, &d, NULL) < 0 || !(d >= 0 && d <= SPAN_MAX_D)) {
        return ERR_SYNTAX;
    }
    *out = d;
    return 0;
}

static int not_understood(const char *text, struct err *e)
{
    return err_set(e, ERR_SYNTAX,
                   "'%.40s' is not a time; say 18:00, yesterday 18:00, 2026-03-01 18:00 or 2 h ago",
                   text);
}

/* "DAY 18:00", "DAYT18:00" or a bare day (its 00:00). */
static int day_and_time(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                        struct err *e)
{
    char day_part[TEXT_MAX];
    const char *time_part = strpbrk(text, " ");
    size_t len;
    int32_t second = 0;
    int32_t day;
    int rc;

    if (!time_part && strlen(text) == 16 && text[10] == 'T') {
        time_part = text + 10;
    }
    len = time_part ? (size_t)(time_part - text) : strlen(text);
    if (len >= sizeof day_part) {
        return ERR_SYNTAX;
    }
    memcpy(day_part, text, len);
    day_part[len] = '\0';
    if (time_part) {
        second = clock_second(time_part + 1);
    }
    if (second < 0) {
        return ERR_SYNTAX;
    }
    rc = day_word(day_part, zone_day(z, now_s), false, &day, e);
    if (rc < 0) {
        return rc;
    }
    *out_s = zone_instant_s(z, day, second);
    /* "monday 18:00" said on a Monday at noon is the Monday before. */
    if (*out_s > now_s && weekday_of(day_part) >= 0) {
        *out_s = zone_instant_s(z, day - 7, second);
    }
    return 0;
}

int when_parse(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s, struct err *e)
{
    size_t len = strlen(text);
    char span[TEXT_MAX];
    double days;
    int32_t second = clock_second(text);
    int rc;

    if (len >= TEXT_MAX) {
        return not_understood(text, e);
    }
    if (strcasecmp(text, "now") == 0) {
        *out_s = now_s;
        return 0;
    }
    if (second >= 0) {
        *out_s = zone_instant_s(z, zone_day(z, now_s), second);
        return 0;
    }
    if (len > 4 && strcasecmp(text + len - 4, " ago") == 0) {
        memcpy(span, text, len - 4);
        span[len - 4] = '\0';
        if (span_days(span, &days) == 0) {
            *out_s = now_s - (int64_t)(days * 86400 + 0.5);
            return 0;
        }
    }
    rc = day_and_time(text, z, now_s, out_s, e);
    return rc == ERR_SYNTAX ? not_understood(text, e) : rc;
}

int when_parse_past(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                    struct err *e)
{
    int64_t t = 0;
    char now[ZONE_TEXT_MAX];
    int rc = when_parse(text, z, now_s, &t, e);

    if (rc < 0) {
        return rc;
    }
    if (t > now_s + AHEAD_S) {
        zone_format(now, z, now_s);
        if (clock_second(text) >= 0) {
            return err_set(e, ERR_RANGE,
                           "%s is still to come (it is %s); for the day before say 'yesterday %s'",
                           text, now, text);
        }
        return err_set(e, ERR_RANGE, "%.40s is still to come (it is %s)", text, now);
    }
    *out_s = t;
    return 0;
}

int when_parse_day(const char *text, int32_t today, int32_t *out, struct err *e)
{
    double days;
    int rc;

    if (text[0] == '+' && span_days(text + 1, &days) == 0 && fabs(days - round(days)) < 1e-9) {
        *out = today + (int32_t)round(days);
        return 0;
    }
    rc = day_word(text, today, true, out, e);
    if (rc != ERR_SYNTAX) {
        return rc;
    }
    return err_set(e, ERR_SYNTAX,
                   "'%.40s' is not a day; say tomorrow, monday, +3 days or 2026-03-01", text);
}
