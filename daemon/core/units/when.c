#include "daemon/core/units/when.h"

#include "daemon/base/err.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/quantity.h"
#include "daemon/core/units/zone.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#define SPAN_MAX_D                                                                                 \
    36500.0         /* a century: nobody means more, and an instant of it is whole in 64 bits */
#define TEXT_MAX 48 /* bytes; the longest that is read is an instant of RFC 3339 with a fraction */

/* A time of day as it was written. */
struct clock_time {
    int32_t second; /* of the day, 0 .. 86400 */
    bool leap;      /* hh:mm:60 */
};

/* Two digits, at most `most`; -1 when it is something else. */
static int two_digits(const char *s, int most)
{
    int v = -1;

    if (isdigit((unsigned char)s[0]) && isdigit((unsigned char)s[1])) {
        v = (s[0] - '0') * 10 + (s[1] - '0');
    }
    return v <= most ? v : -1;
}

/* ":15" or ":15.25" behind a time of day: a fraction is read and dropped, the journal keeps whole
 * seconds. Returns what follows; NULL when these are no seconds. */
static const char *read_seconds(const char *s, struct clock_time *out)
{
    int second = two_digits(s + 1, 60);
    size_t digits;

    if (second < 0) {
        return NULL;
    }
    out->second += second;
    out->leap = second == 60;
    s += 3;
    if (*s != '.') {
        return s;
    }
    digits = strspn(s + 1, "0123456789");
    return digits ? s + 1 + digits : NULL;
}

/* "07:30" or "07:30:15". Returns what follows; NULL when it is no time of day. */
static const char *read_clock(const char *s, struct clock_time *out)
{
    int h = two_digits(s, 23);
    int m = h >= 0 && s[2] == ':' ? two_digits(s + 3, 59) : -1;

    if (m < 0) {
        return NULL;
    }
    *out = (struct clock_time){.second = h * 3600 + m * 60};
    return s[5] == ':' ? read_seconds(s + 5, out) : s + 5;
}

/* The whole text is a time of day. A leap second is none by itself: it belongs to one day in
 * years. */
static bool is_clock(const char *s, struct clock_time *out)
{
    const char *end = read_clock(s, out);

    return end && *end == '\0' && !out->leap;
}

/* "Z", "+01:00", "-08:00": local minus UTC. "-00:00" says that the offset is not known, and the
 * time is that of UTC all the same (RFC 3339, section 4.3). */
static bool read_offset(const char *s, int32_t *out_s)
{
    int h;
    int m;

    if (strcasecmp(s, "z") == 0) {
        *out_s = 0;
        return true;
    }
    if ((*s != '+' && *s != '-') || strlen(s) != 6 || s[3] != ':') {
        return false;
    }
    h = two_digits(s + 1, 23);
    m = two_digits(s + 4, 59);
    *out_s = (*s == '-' ? -1 : 1) * (h * 3600 + m * 60);
    return h >= 0 && m >= 0;
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

/* An instant of a day that may stand in a leap second: those are the last ones of a day in UTC,
 * wherever the clock on the wall stands (RFC 3339, section 5.7). Seconds since 1970 do not count
 * them, so that it is the same as the second after it. */
static int in_day(const struct zone *z, int32_t day, const struct clock_time *c,
                  const int32_t *offset_s, int64_t *out_s)
{
    int32_t second = c->second - c->leap;
    int64_t t =
        offset_s ? (int64_t)day * 86400 + second - *offset_s : zone_instant_s(z, day, second);

    if (c->leap && (t + 1) % 86400 != 0) {
        return ERR_SYNTAX;
    }
    *out_s = t + c->leap;
    return 0;
}

/* Where the time starts in "DAY 18:00" or "2026-03-01T18:00"; NULL for a day alone. */
static const char *time_in(const char *text)
{
    const char *space = strchr(text, ' ');

    if (!space && strlen(text) > 10 && (text[10] == 'T' || text[10] == 't')) {
        return text + 10;
    }
    return space;
}

/* "DAY 18:00", "DAYT18:00:15+01:00" or a bare day (its 00:00). */
static int day_and_time(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                        struct err *e)
{
    char day_part[TEXT_MAX];
    const char *time_part = time_in(text);
    size_t len = time_part ? (size_t)(time_part - text) : strlen(text);
    struct clock_time c = {0};
    const char *end = time_part ? read_clock(time_part + 1, &c) : "";
    int32_t offset_s = 0;
    int64_t t = 0;
    bool has_offset;
    int32_t day;
    int rc;

    if (!end || len >= sizeof day_part) {
        return ERR_SYNTAX;
    }
    memcpy(day_part, text, len);
    day_part[len] = '\0';
    has_offset = *end != '\0';
    /* With an offset the day has to be a date: whose "yesterday" would it be? */
    if (has_offset && (!read_offset(end, &offset_s) || !isdigit((unsigned char)day_part[0]))) {
        return ERR_SYNTAX;
    }
    rc = day_word(day_part, zone_day(z, now_s), false, &day, e);
    if (rc == 0) {
        rc = in_day(z, day, &c, has_offset ? &offset_s : NULL, &t);
    }
    /* "monday 18:00" said on a Monday at noon is the Monday before. */
    if (rc == 0 && t > now_s && weekday_of(day_part) >= 0) {
        rc = in_day(z, day - 7, &c, NULL, &t);
    }
    *out_s = rc == 0 ? t : *out_s;
    return rc;
}

int when_parse(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s, struct err *e)
{
    size_t len = strlen(text);
    char span[TEXT_MAX];
    struct clock_time c;
    double days;
    int rc;

    if (len >= TEXT_MAX) {
        return not_understood(text, e);
    }
    if (strcasecmp(text, "now") == 0) {
        *out_s = now_s;
        return 0;
    }
    if (is_clock(text, &c)) {
        *out_s = zone_instant_s(z, zone_day(z, now_s), c.second);
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

bool when_is_past(int64_t t_s, int64_t now_s)
{
    return t_s <= now_s + WHEN_AHEAD_S;
}

int when_parse_past(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                    struct err *e)
{
    int64_t t = 0;
    struct clock_time c;
    char now[ZONE_TEXT_MAX];
    int32_t day;
    int rc = when_parse(text, z, now_s, &t, e);

    if (rc < 0) {
        return rc;
    }
    if (isalpha((unsigned char)text[0]) &&
        day_word(text, zone_day(z, now_s), false, &day, NULL) == 0) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is a whole day; say when on it: %.40s 18:00", text,
                       text);
    }
    if (!when_is_past(t, now_s)) {
        zone_format(now, z, now_s);
        if (is_clock(text, &c)) {
            return err_set(e, ERR_RANGE,
                           "%s is still to come (it is %s); for the day before say 'yesterday %s'",
                           text, now, text);
        }
        return err_set(e, ERR_RANGE, "%.40s is still to come (it is %s)", text, now);
    }
    *out_s = t;
    return 0;
}

int32_t when_clock_s(const char *text)
{
    struct clock_time c;

    return is_clock(text, &c) ? c.second : -1;
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
