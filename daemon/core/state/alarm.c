#include "daemon/core/state/alarm.h"

#include "daemon/base/mem.h"
#include "daemon/core/model/cusum.h"
#include "daemon/core/state/alarm_mark.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/heat.h"
#include "daemon/core/state/overnight.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/reading_error.h"
#include "daemon/core/state/sighted.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Where no other source is named these are common practice, no source; the false alarms that come
 * of them are counted by tests/bench/predictbench. */
/* clang-format off */
#define OPEN_SD   4.0  /* standard deviations of a reading: one in sixteen thousand by chance … */
#define SHUT_SD   2.0  /* … and one in twenty-two */
#define HIGH_FRAC 0.05 /* of the float line, over it; in small tubs OPEN_SD is the wider */
#define LOW_FRAC  0.08 /* of it, below: floats have that much play */

#define PACE_OPEN     0.9  /* ln of a factor: two and a half times as thirsty as its crop … */
#define PACE_SHUT     0.7  /* … and twice */
#define PACE_KNOWN_SD 0.25 /* of that ln: a plant of which less is known has no character yet */

#define PH_OUT      0.3           /* outside of the band by this, and outside before; or … */
#define PH_JUMP     0.7           /* … out of it by a leap that no healthy plant makes … */
#define PH_JUMP_S   (5 * 86400LL) /* … within so long */
#define PH_METER_SD 0.1           /* of a kept meter */

#define SALT_MS_CM 0.10 /* plain water over its source by this … */
#define SALT_FRAC  0.25 /* … and a quarter of the source: taps differ from week to week */
#define SALT_SHUT  0.6  /* of the two together */

#define GUSH 2.5 /* times what plants were to drink: no heat makes them do so */

#define EXCESS_MOST 0.3 /* what plants do not explain speaks for a leak, but not alone … */
#define SEEPS_LEAST 3.3 /* … and a night has to speak for it */

#define ODD_OPEN 3.8 /* of the cusums of a level: a bucket is read seldom */

#define MAY_BE_DRY 0.05 /* with more of a chance that the reservoir is dry no float is blamed */

#define METER_ODD 3 /* readings in a row that cannot be: two may be the solution's doing */
/* clang-format on */

/* What is not reckoned has a certainty all the same. */
#define PACE_SURE_PCT  95
#define FLOAT_SURE_PCT 95 /* a person looked */
#define METER_SURE_PCT 99
#define SWAP_SURE_PCT  99   /* e^6 to 1, and more */
#define MOST_SURE_PCT  99.9 /* nothing is surer */

/* How often chance alone lies so many standard deviations away, to either side. */
static double chance(double z)
{
    return 2 * normal_below(-fabs(z));
}

static void shut(struct alarm_states *m, enum alarm_kind kind)
{
    m->of[kind] = (struct alarm_state){0};
}

/* Does the reservoir give plain water, so that a level below a float line is the float's doing?
 * As long as nothing was told of it that is taken for granted. */
static bool reservoir_feeds(const struct room *room, const struct state *s, int64_t t_s)
{
    const struct reservoir_state *r = &s->reservoir;

    return !r->at_s ||
           (!r->holds_mix && !overnight_floats_fill(s, t_s) &&
            predict_reservoir_l(room, s, t_s, MAY_BE_DRY) > room->reservoir.remainder_l);
}

/* In drawdown a level only falls: it rises where a float sticks open, or water was let in unsaid.
 * It has to come down again to where it was. */
static void judge_rise(const struct room *room, struct container_state *cs, size_t i,
                       const struct entry *e)
{
    const struct container *c = &room->container[i];
    const struct alarm_state *open = &cs->alarms.of[ALARM_HIGH];
    double told_l = e->figure[FIGURE_VOLUME_L];
    bool waits = cs->odd_s > cs->level_s && isnan(cs->odd_meant_l);
    double last_l = waits ? cs->odd_l : cs->level_l;
    double was_l = open->since_s ? open->expected : last_l;
    double sd = M_SQRT2 * reading_level_sd_l(c);
    struct alarm_state evidence = {
        .seen = told_l, .expected = was_l, .sure_pct = 100 * (1 - chance((told_l - was_l) / sd))};

    alarm_mark(&cs->alarms, ALARM_HIGH,
               told_l - was_l > fmax(HIGH_FRAC * c->float_volume_l, OPEN_SD * sd),
               told_l - was_l <= SHUT_SD * sd, e->happened_s, evidence);
}

static void judge_level(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    const struct container *c = &room->container[i];
    struct container_state *cs = &s->container[i];
    double told_l = e->figure[FIGURE_VOLUME_L];
    double off_l = told_l - c->float_volume_l;
    double sd = reading_level_sd_l(c);
    struct alarm_state evidence = {
        .seen = told_l, .expected = c->float_volume_l, .sure_pct = 100 * (1 - chance(off_l / sd))};

    if (cs->drained) {
        return;
    }
    if (!cs->float_s) {
        if (cs->level_s) {
            judge_rise(room, cs, i, e);
        }
        return;
    }
    alarm_mark(&cs->alarms, ALARM_HIGH, off_l > fmax(HIGH_FRAC * c->float_volume_l, OPEN_SD * sd),
               off_l <= SHUT_SD * sd, e->happened_s, evidence);
    alarm_mark(&cs->alarms, ALARM_LOW,
               -off_l > fmax(LOW_FRAC * c->float_volume_l, OPEN_SD * sd) &&
                   reservoir_feeds(room, s, e->happened_s),
               -off_l <= SHUT_SD * sd, e->happened_s, evidence);
}

void alarm_level(struct state *s, size_t i, double lost_l_day, double expected_l_day, int64_t t_s)
{
    struct container_state *cs = &s->container[i];
    double most = fmax(cs->fast, cs->slow);

    shut(&cs->alarms, ALARM_SWAP);
    alarm_mark(&cs->alarms, ALARM_ODD, most >= ODD_OPEN, most <= CUSUM_SHUT, t_s,
               (struct alarm_state){.seen = lost_l_day,
                                    .expected = expected_l_day,
                                    .sure_pct = cusum_sure_pct(most)});
}

void alarm_swapped(struct state *s, size_t i, size_t other, int64_t t_s)
{
    size_t pair[] = {i, other};

    for (int k = 0; k < 2; k++) {
        struct container_state *cs = &s->container[pair[k]];

        cs->fast = cs->slow = 0;
        shut(&cs->alarms, ALARM_ODD);
        alarm_mark(&cs->alarms, ALARM_SWAP, true, false, t_s,
                   (struct alarm_state){.seen = (double)pair[1 - k],
                                        .expected = cs->look.expected_l,
                                        .sure_pct = SWAP_SURE_PCT});
    }
}

/* On float nothing but concentrate and evaporation makes a solution stronger. */
void alarm_strength(struct state *s, size_t i, double ec_ms_cm, double z, int64_t t_s)
{
    struct container_state *cs = &s->container[i];
    struct alarm_state evidence = {
        .seen = ec_ms_cm, .expected = cs->body.ec_ms_cm, .sure_pct = 100 * (1 - chance(z))};

    if (cs->reached_s && !cs->drained) {
        alarm_mark(&cs->alarms, ALARM_STRONG, z > OPEN_SD, z < SHUT_SD, t_s, evidence);
    }
}

/* How far outside of its band a pH lies; 0 inside. */
static double ph_outside(double ph, double lo, double hi)
{
    return ph < lo ? ph - lo : ph > hi ? ph - hi : 0;
}

static void judge_ph(struct alarm_states *m, const struct measured *last, double lo, double hi,
                     const struct entry *e)
{
    double told = e->figure[FIGURE_PH];
    double out = ph_outside(told, lo, hi);
    double before = last->at_s ? ph_outside(last->value, lo, hi) : 0;
    bool again = out * before > 0 && fabs(out) >= PH_OUT;
    bool jumped = last->at_s && e->happened_s - last->at_s <= PH_JUMP_S &&
                  fabs(told - last->value) >= PH_JUMP && out != 0;
    struct alarm_state evidence = {.seen = told,
                                   .expected = told < lo ? lo : hi,
                                   .sure_pct = 100 * (1 - chance(out / PH_METER_SD))};

    alarm_mark(m, ALARM_PH, again || jumped, out == 0, e->happened_s, evidence);
}

static void judge_pace(const struct room *room, struct state *s, size_t i, int64_t t_s)
{
    static const struct lean whole = {{1}};
    struct container_state *cs = &s->container[i];
    const struct curve *prior = &room->crop[cs->crop].use;
    double ln = log(cs->curve.most_l_day / prior->most_l_day);
    bool known = sqrt(belief_var(&cs->belief, &s->common, &whole)) < PACE_KNOWN_SD;
    struct alarm_state evidence = {.seen = exp(ln), .expected = 1, .sure_pct = PACE_SURE_PCT};

    alarm_mark(&cs->alarms, ALARM_PACE, known && fabs(ln) > PACE_OPEN, fabs(ln) < PACE_SHUT, t_s,
               evidence);
}

void alarm_container_reading(const struct room *room, struct state *s, size_t i,
                             const struct entry *e)
{
    struct container_state *cs = &s->container[i];
    const struct stage *stage;

    if (cs->crop < 0) {
        return;
    }
    stage = &room->crop[cs->crop].stage[forecast_container(room, s, i, e->happened_s).stage];
    if (entry_has(e, FIGURE_VOLUME_L)) {
        judge_level(room, s, i, e);
        judge_pace(room, s, i, e->happened_s);
    }
    if (entry_has(e, FIGURE_PH)) {
        judge_ph(&cs->alarms, &cs->ph, stage->ph_min, stage->ph_max, e);
    }
}

/* It worked once, and does not now: the level is below the line, and nothing comes. */
void alarm_float_seen(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    struct container_state *cs = &s->container[i];
    bool no = strcmp(e->what, "no") == 0;
    struct alarm_state evidence = {
        .seen = NAN, .expected = room->container[i].float_volume_l, .sure_pct = FLOAT_SURE_PCT};

    if (cs->crop >= 0) {
        if (entry_has(e, FIGURE_VOLUME_L) && !cs->float_s) {
            judge_level(room, s, i, e);
        }
        alarm_mark(&cs->alarms, ALARM_LOW,
                   no && cs->float_s && reservoir_feeds(room, s, e->happened_s), !no, e->happened_s,
                   evidence);
        judge_pace(room, s, i, e->happened_s);
    }
}

void alarm_new_solution(struct state *s, size_t i)
{
    struct alarm_states *m = &s->container[i].alarms;

    shut(m, ALARM_HIGH);
    shut(m, ALARM_LOW);
    shut(m, ALARM_STRONG);
    shut(m, ALARM_PH);
}

void alarm_new_plant(struct state *s, size_t i)
{
    struct alarm_states *m = &s->container[i].alarms;

    for (int k = 0; k < ALARM_KIND_N; k++) {
        shut(m, (enum alarm_kind)k);
    }
}

/* Where nights tell a leak from thirst, thirst is not called one: what the plants cannot drink is.
 * Elsewhere there is nothing but the sum of what they did not explain. */
static void judge_draw(const struct room *room, struct reservoir_state *r, int64_t t_s)
{
    double sure_leak = cusum_sure_pct(r->excess);
    double sure_lack = cusum_sure_pct(r->lack);
    bool nights = room->care_every_day[CARE_OVERNIGHT] > 0;
    double gush_l_day =
        nights ? GUSH * r->expected_l_day + OPEN_SD * reading_reservoir_sd_l(&room->reservoir)
               : r->expected_l_day;

    alarm_mark(&r->alarms, ALARM_LEAK, r->excess >= CUSUM_OPEN && r->lost_l_day >= gush_l_day,
               r->excess <= CUSUM_SHUT && r->seeps < OVERNIGHT_OPEN, t_s,
               (struct alarm_state){
                   .seen = r->lost_l_day, .expected = r->expected_l_day, .sure_pct = sure_leak});
    alarm_mark(&r->alarms, ALARM_LACK, r->lack >= CUSUM_OPEN, r->lack <= CUSUM_SHUT, t_s,
               (struct alarm_state){
                   .seen = r->lost_l_day, .expected = r->expected_l_day, .sure_pct = sure_lack});
}

void alarm_reservoir_reading(const struct room *room, struct state *s, const struct entry *e)
{
    struct reservoir_state *r = &s->reservoir;
    const struct reservoir *v = &room->reservoir;
    double kept = room_kept_ms_cm(room);
    double over;

    if (r->holds_mix) {
        return;
    }
    if (entry_has(e, FIGURE_VOLUME_L)) {
        judge_draw(room, r, e->happened_s);
    }
    if (entry_has(e, FIGURE_EC_MS_CM)) {
        over = (e->figure[FIGURE_EC_MS_CM] - kept) / (SALT_MS_CM + SALT_FRAC * kept);
        alarm_mark(&r->alarms, ALARM_SALT, over > 1, over < SALT_SHUT, e->happened_s,
                   (struct alarm_state){.seen = e->figure[FIGURE_EC_MS_CM],
                                        .expected = kept,
                                        .sure_pct = 100 * (1 - chance(OPEN_SD * over))});
    }
    if (entry_has(e, FIGURE_PH)) {
        judge_ph(&r->alarms, &r->ph, v->ph_target - v->ph_tolerance, v->ph_target + v->ph_tolerance,
                 e);
    }
}

void alarm_overnight(struct state *s, double lost_l, int64_t t_s)
{
    struct reservoir_state *r = &s->reservoir;

    alarm_mark(&r->alarms, ALARM_LEAK,
               r->seeps >= SEEPS_LEAST && r->seeps + fmin(r->excess, EXCESS_MOST) >= OVERNIGHT_OPEN,
               r->seeps <= CUSUM_SHUT && r->excess <= CUSUM_SHUT, t_s,
               (struct alarm_state){
                   .seen = lost_l, .overnight = true, .sure_pct = cusum_sure_pct(r->seeps)});
}

void alarm_meter(struct state *s, int meter, bool odd, int64_t t_s)
{
    struct meter_state *m;

    if (meter < 0) {
        return;
    }
    m = &s->meter[meter];
    m->odd = odd ? m->odd + 1 : 0;
    alarm_mark(&m->alarms, ALARM_METER, m->odd >= METER_ODD, m->odd == 0, t_s,
               (struct alarm_state){.seen = m->odd, .expected = 0, .sure_pct = METER_SURE_PCT});
}

void alarms_deinit(struct alarms *a)
{
    free(a->alarm);
    *a = (struct alarms){0};
}

/* Is what opened it too old to be true still? What a meter or a ruler showed stays until another
 * reading; a warm solution has cooled by itself in a few days, and a person looks again. */
static bool is_old(const struct state *s, struct subject subject, enum alarm_kind kind,
                   int64_t now_s)
{
    switch (kind) {
    case ALARM_HOT:
        return heat_is_old(s, subject, now_s);
    case ALARM_WILT:
        return !sighted_s(s, subject, SIGHTING_WILTING, now_s);
    case ALARM_ROOTS:
        return !sighted_s(s, subject, SIGHTING_BROWN_ROOTS, now_s);
    case ALARM_ROT:
        return !sighted_s(s, subject, SIGHTING_BLOSSOM_ROT, now_s);
    case ALARM_HIGH:
    case ALARM_LEAK:
    case ALARM_LOW:
    case ALARM_SALT:
    case ALARM_LACK:
    case ALARM_ODD:
    case ALARM_SWAP:
    case ALARM_STRONG:
    case ALARM_PH:
    case ALARM_PACE:
    case ALARM_METER:
    case ALARM_KIND_N:
        break;
    }
    return false;
}

static void add_marks(const struct room *room, const struct state *s, struct subject subject,
                      int64_t now_s, struct alarms *out)
{
    const struct alarm_states *marks = alarm_states_of(s, subject);

    for (int k = 0; k < ALARM_KIND_N; k++) {
        const struct alarm_state *m = &marks->of[k];
        struct alarm *a;

        if (!m->since_s || is_old(s, subject, (enum alarm_kind)k, now_s)) {
            continue;
        }
        out->alarm = mem_grow(out->alarm, &out->cap, out->n + 1, sizeof *out->alarm);
        a = &out->alarm[out->n++];
        *a = (struct alarm){.kind = (enum alarm_kind)k,
                            .subject = subject,
                            .since_s = m->since_s,
                            .seen = marks->seen == marks->opened,
                            .sure_pct = fmin(m->sure_pct, MOST_SURE_PCT),
                            .look = alarm_looks[k]};
        alarm_say(room, a->kind, subject, m, a->says);
    }
}

static int by_gravity(const void *pa, const void *pb)
{
    const struct alarm *a = pa;
    const struct alarm *b = pb;

    if (a->kind != b->kind) {
        return a->kind < b->kind ? -1 : 1;
    }
    return a->subject.at < b->subject.at ? -1 : a->subject.at > b->subject.at;
}

void alarms_derive(const struct room *room, const struct state *s, int64_t now_s,
                   struct alarms *out)
{
    *out = (struct alarms){0};
    for (size_t i = 0; i < s->n_containers; i++) {
        add_marks(room, s, (struct subject){SUBJECT_CONTAINER, i}, now_s, out);
    }
    add_marks(room, s, (struct subject){SUBJECT_RESERVOIR, 0}, now_s, out);
    for (size_t i = 0; i < s->n_meters; i++) {
        add_marks(room, s, (struct subject){SUBJECT_METER, i}, now_s, out);
    }
    if (out->n > 1) {
        qsort(out->alarm, out->n, sizeof *out->alarm, by_gravity);
    }
}

const struct alarm_states *alarm_states_of(const struct state *s, struct subject subject)
{
    switch (subject.kind) {
    case SUBJECT_CONTAINER:
        return &s->container[subject.at].alarms;
    case SUBJECT_RESERVOIR:
        return &s->reservoir.alarms;
    case SUBJECT_METER:
        return &s->meter[subject.at].alarms;
    case SUBJECT_NONE:
    case SUBJECT_ROOM:
    case SUBJECT_PRODUCT:
    case SUBJECT_RECIPE:
    case SUBJECT_KIND_N:
        break;
    }
    return NULL;
}

void alarm_acknowledge(struct state *s, struct subject subject)
{
    if (subject.kind == SUBJECT_CONTAINER) {
        s->container[subject.at].alarms.seen = s->container[subject.at].alarms.opened;
    } else if (subject.kind == SUBJECT_RESERVOIR) {
        s->reservoir.alarms.seen = s->reservoir.alarms.opened;
    } else if (subject.kind == SUBJECT_METER) {
        s->meter[subject.at].alarms.seen = s->meter[subject.at].alarms.opened;
    }
}
