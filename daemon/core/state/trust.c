#include "daemon/core/state/trust.h"

#include "daemon/core/chem/standards.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>

/* The calibration that stood at an instant: the last one up to then. NULL = none. */
static const struct calibrated *calibration_at(const struct meter_state *m, int64_t t_s)
{
    const struct calibrated *last = NULL;

    for (size_t i = 0; i < m->n_calibrated; i++) {
        if (m->calibrated[i].at_s <= t_s) {
            last = &m->calibrated[i];
        }
    }
    return last;
}

/* What a slope and an offset have to be is the chemistry's business (standards.h). */
static enum verdict judge(enum meter_kind kind, const struct calibrated *c,
                          char why[VERDICT_WHY_MAX])
{
    struct calibration figures = {c->slope_pct, c->offset_mv};

    return kind == METER_PH ? calibration_judge_ph(&figures, why)
                            : calibration_judge_ec(&figures, why);
}

enum trust trust_of_meter(const struct room *room, const struct state *s, size_t meter, int64_t t_s,
                          char why[TRUST_WHY_MAX])
{
    const struct meter *m = &room->meter[meter];
    const struct calibrated *c = calibration_at(&s->meter[meter], t_s);
    char verdict[VERDICT_WHY_MAX];
    char day[DAY_WORDS_MAX];
    int64_t due_s;

    *why = '\0';
    if (!c || isnan(c->slope_pct)) { /* never, or not since another took its place */
        (void)snprintf(why, TRUST_WHY_MAX, "%s was not calibrated yet", m->name);
        return TRUST_UNCALIBRATED;
    }
    /* Unfit is worse than old: a bad electrode reads wrong the day it is calibrated, an old one
     * has drifted a little. */
    if (judge(m->kind, c, verdict) == VERDICT_BAD) {
        (void)snprintf(why, TRUST_WHY_MAX, "%s was unfit: %s", m->name, verdict);
        return TRUST_BAD;
    }
    due_s = c->at_s + (int64_t)(m->calibrate_every_day * 86400);
    /* Due on a day, so good until that day is over. */
    if (zone_day(&room->zone, t_s) > zone_day(&room->zone, due_s)) {
        (void)snprintf(why, TRUST_WHY_MAX, "%s was to be calibrated by %s", m->name,
                       day_words(day, zone_day(&room->zone, due_s), zone_day(&room->zone, t_s)));
        return TRUST_EXPIRED;
    }
    return TRUST_GOOD;
}

/* An entry is as good as the worst of the meters that it was read with. */
enum trust trust_of_entry(const struct room *room, const struct state *s, const struct entry *e,
                          char why[TRUST_WHY_MAX])
{
    static const struct {
        enum figure figure;
        enum meter_kind kind;
    } measured[] = {
        {FIGURE_EC_MS_CM, METER_EC},
        {FIGURE_PH,       METER_PH},
    };
    enum trust worst = TRUST_GOOD;
    char one[TRUST_WHY_MAX];

    *why = '\0';
    for (size_t i = 0; i < sizeof measured / sizeof *measured; i++) {
        int meter = entry_has(e, measured[i].figure)
                        ? room_meter_used(room, measured[i].kind, e->what)
                        : -1;
        enum trust t =
            meter < 0 ? TRUST_GOOD : trust_of_meter(room, s, (size_t)meter, e->happened_s, one);

        /* The first of two alike is told: one reason is enough to go and calibrate. */
        if (t > worst) {
            worst = t;
            (void)snprintf(why, TRUST_WHY_MAX, "%s", one);
        }
    }
    return worst;
}
