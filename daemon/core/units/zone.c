#include "daemon/core/units/zone.h"

#include "daemon/core/units/day.h"

#include <stdio.h>
#include <stdlib.h>

#define DAY_S 86400 /* of UTC, which the steps of a zone are counted in */

void zone_deinit(struct zone *z)
{
    free(z->step);
    *z = (struct zone){0};
}

int32_t zone_offset_s(const struct zone *z, int64_t t_s)
{
    size_t lo = 0;
    size_t hi = z->n;

    if (z->n == 0) {
        return 0;
    }
    while (hi - lo > 1) {
        size_t mid = lo + (hi - lo) / 2;

        if (z->step[mid].from_s <= t_s) {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    return z->step[lo].offset_s;
}

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

int32_t zone_day(const struct zone *z, int64_t t_s)
{
    return t_s == INT64_MAX ? DAY_NEVER : (int32_t)floor_div(t_s + zone_offset_s(z, t_s), DAY_S);
}

int32_t zone_second_of_day(const struct zone *z, int64_t t_s)
{
    int64_t local = t_s + zone_offset_s(z, t_s);

    return (int32_t)(local - floor_div(local, DAY_S) * DAY_S);
}

int64_t zone_instant_s(const struct zone *z, int32_t day, int32_t second)
{
    int64_t local = (int64_t)day * DAY_S + second;

    /* Offsets lie within a day of UTC: only steps near by can matter, and the earliest fit is
     * wanted. */
    int32_t before = zone_offset_s(z, local - 2 * DAY_S);
    int64_t t = local - before;

    if (zone_offset_s(z, t) == before) {
        return t;
    }
    for (size_t i = 0; i < z->n; i++) {
        const struct zone_step *s = &z->step[i];

        if (s->from_s > local + 2 * DAY_S) {
            break;
        }
        if (s->from_s < local - 2 * DAY_S) {
            continue;
        }
        t = local - s->offset_s;
        if (t >= s->from_s && zone_offset_s(z, t) == s->offset_s) {
            return t;
        }
        if (t < s->from_s) {
            return s->from_s; /* the clock skips this time */
        }
    }
    return t; /* by the last step near by */
}

char *zone_format(char buf[ZONE_TEXT_MAX], const struct zone *z, int64_t t_s)
{
    char day[DAY_TEXT_MAX];
    int32_t second = zone_second_of_day(z, t_s);

    day_format(day, zone_day(z, t_s));
    (void)snprintf(buf, ZONE_TEXT_MAX, "%.10s %02d:%02d", day, second / 3600 % 24,
                   second / 60 % 60);
    return buf;
}
