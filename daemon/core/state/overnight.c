#include "daemon/core/state/overnight.h"

#include "daemon/core/state/reading_error.h"

#include <math.h>

#define DAY_S 86400.0

/* Set by tests/bench/predictbench. */
/* clang-format off */
#define LEAK_SD    1.5 /* the loss that is looked for, in standard deviations of a night … */
#define MOST       (OVERNIGHT_OPEN + 1.5)
#define TIGHT_SD   1.0 /* a night that lost less was tight … */
#define MENDED     3.0 /* … and less than a third of what opened the alarm says: mended */
#define FILLS_S    3600 /* a float lets in a litre in minutes; common practice, no source */
#define SUSPICIOUS 1.0 /* of the cusum of what the plants do not explain (cusum.h) … */
#define UNEASY     0.75 /* … and of the same where only plain days are allowed for */
/* clang-format on */

void overnight_told(const struct room *room, struct state *s, const struct entry *e)
{
    struct reservoir_state *r = &s->reservoir;
    const struct alarm_state *leak = &r->alarms.of[ALARM_LEAK];
    double lost_l = e->figure[FIGURE_ADDED_L];
    double z = lost_l / reading_overnight_sd_l(&room->reservoir);

    r->nights++;
    r->stood_s = e->happened_s;
    r->seeps = fmin(MOST, fmax(0, r->seeps + LEAK_SD * (z - LEAK_SD / 2)));
    if (z < TIGHT_SD) {
        r->excess = r->unease = 0;
    }
    if (leak->since_s && (z < TIGHT_SD || (leak->overnight && lost_l < leak->seen / MENDED))) {
        r->seeps = r->excess = r->unease = 0;
    }
}

bool overnight_floats_fill(const struct state *s, int64_t t_s)
{
    int64_t stood_s = s->reservoir.stood_s;

    return stood_s && t_s >= stood_s && t_s < stood_s + FILLS_S;
}

bool overnight_is_doubted(const struct state *s)
{
    const struct reservoir_state *r = &s->reservoir;

    return r->seeps > 0 || r->excess >= SUSPICIOUS || r->unease >= UNEASY;
}

static bool any_floats(const struct state *s)
{
    for (size_t i = 0; i < s->n_containers; i++) {
        if (s->container[i].crop >= 0 && s->container[i].reached_s) {
            return true;
        }
    }
    return false;
}

int64_t overnight_wanted_s(const struct room *room, const struct state *s)
{
    const struct reservoir_state *r = &s->reservoir;
    double every_day = room->care_every_day[CARE_OVERNIGHT];
    int64_t last_s = r->stood_s ? r->stood_s : r->filled_s;

    if (!(every_day > 0) || !r->at_s || r->holds_mix || !any_floats(s)) {
        return 0;
    }
    if (overnight_is_doubted(s)) {
        return r->seen_s > r->stood_s ? r->seen_s : r->stood_s;
    }
    return last_s + (int64_t)(every_day * DAY_S);
}
