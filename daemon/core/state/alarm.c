#include "daemon/core/state/alarm.h"

#include "daemon/base/mem.h"
#include "daemon/core/model/cusum.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/reading_error.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define HIGH_FRAC 0.05 /* over the float line: not a ruler's error */
#define LOW_FRAC  0.10 /* below it, with the valve open */
#define OPEN_SD   4.0
#define SHUT_SD   2.0
#define PACE_OPEN                                                                                  \
    0.9 /* ln of a factor: two and a half times as thirsty as its crop, or as little */
#define PACE_SHUT     0.7
#define PACE_KNOWN_SD 0.25
#define PH_OUT        0.3           /* outside of the band by this */
#define PH_JUMP       0.7           /* from one reading to the next … */
#define PH_JUMP_S     (5 * 86400LL) /* … within so long */
#define SALT_MS_CM    0.10 /* plain water over the source's EC by this and a quarter of it */
#define SALT_FRAC     0.25
#define SALT_SHUT     0.6
#define METER_ODD     3 /* readings that cannot be, one after another */

const char *const alarm_words[] = {"level-high", "leak",       "level-low", "reservoir-salt",
                                   "air-lock",   "too-strong", "ph-drift",  "pace",
                                   "meter",      NULL};

static const char *const looks[ALARM_KIND_N] = {
    [ALARM_HIGH] = "does its float stick open? Shut its valve, and drain what is too much",
    [ALARM_LEAK] = "a float that sticks open, then the line, its fittings and the tank",
    [ALARM_LOW] = "is its shut-off open, the float free and its inlet clear?",
    [ALARM_SALT] =
        "solution was left in it: rinse it and fill it anew; then the filter of the source",
    [ALARM_LACK] = "a shut-off left closed, air in the line, a clogged filter",
    [ALARM_STRONG] =
        "solution left in the reservoir, a wrong refill, or an open lid; measure again",
    [ALARM_PH] = "measure again with a calibrated meter; then the roots",
    [ALARM_PACE] = "the plant's health and its light; is the crop of the room file right?",
    [ALARM_METER] = "clean it, calibrate it, and measure something you know",
};

static double chance(double z)
{
    return 2 * normal_below(-fabs(z));
}

/* Opens and shuts by two thresholds; in between it stays as it is. */
static void weigh(struct alarm_states *m, enum alarm_kind kind, bool opens, bool shuts, int64_t t_s,
                  struct alarm_state evidence)
{
    struct alarm_state *mark = &m->of[kind];

    if (!mark->since_s && opens) {
        *mark = evidence;
        mark->since_s = t_s;
        m->opened++;
    } else if (mark->since_s && shuts) {
        *mark = (struct alarm_state){0};
    } else if (mark->since_s && opens) {
        int64_t since_s = mark->since_s;

        *mark = evidence;
        mark->since_s = since_s;
    }
}

/* Does the reservoir give plain water, so that a level below a float line is the float's doing? As long
 * as nothing was told of it that is taken for granted. */
static bool reservoir_feeds(const struct room *room, const struct state *s, int64_t t_s)
{
    const struct reservoir *v = &room->reservoir;
    double least_l = v->remainder_l + reading_reservoir_sd_l(v);

    return !s->reservoir.at_s ||
           (!s->reservoir.holds_mix && forecast_reservoir(room, s, t_s).volume_l > least_l);
}

/* In drawdown a level only falls: it rises where a float sticks open, or water was let in unsaid. It has
 * to come down again to where it was. */
static void weigh_rise(const struct room *room, struct container_state *cs, size_t i,
                       const struct entry *e)
{
    const struct container *c = &room->container[i];
    const struct alarm_state *open = &cs->alarms.of[ALARM_HIGH];
    double told_l = e->figure[FIGURE_VOLUME_L];
    double was_l = open->since_s ? open->expected : cs->level_l;
    double sd = M_SQRT2 * reading_level_sd_l(c);
    struct alarm_state evidence = {
        .seen = told_l, .expected = was_l, .sure_pct = 100 * (1 - chance((told_l - was_l) / sd))};

    weigh(&cs->alarms, ALARM_HIGH,
          told_l - was_l > fmax(HIGH_FRAC * c->float_volume_l, OPEN_SD * sd),
          told_l - was_l <= SHUT_SD * sd, e->happened_s, evidence);
}

static void weigh_level(const struct room *room, struct state *s, size_t i, const struct entry *e)
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
            weigh_rise(room, cs, i, e);
        }
        return;
    }
    weigh(&cs->alarms, ALARM_HIGH, off_l > fmax(HIGH_FRAC * c->float_volume_l, OPEN_SD * sd),
          off_l <= SHUT_SD * sd, e->happened_s, evidence);
    weigh(&cs->alarms, ALARM_LOW,
          -off_l > fmax(LOW_FRAC * c->float_volume_l, OPEN_SD * sd) &&
              reservoir_feeds(room, s, e->happened_s),
          -off_l <= SHUT_SD * sd, e->happened_s, evidence);
}

/* On float nothing but concentrate and evaporation makes a solution stronger. */
void alarm_strength(struct state *s, size_t i, double ec_ms_cm, double z, int64_t t_s)
{
    struct container_state *cs = &s->container[i];
    struct alarm_state evidence = {
        .seen = ec_ms_cm, .expected = cs->body.ec_ms_cm, .sure_pct = 100 * (1 - chance(z))};

    if (cs->reached_s && !cs->drained) {
        weigh(&cs->alarms, ALARM_STRONG, z > OPEN_SD, z < SHUT_SD, t_s, evidence);
    }
}

/* How far outside of its band a pH lies; 0 inside. */
static double ph_outside(double ph, double lo, double hi)
{
    return ph < lo ? ph - lo : ph > hi ? ph - hi : 0;
}

static void weigh_ph(struct alarm_states *m, const struct measured *last, double lo, double hi,
                     const struct entry *e)
{
    double told = e->figure[FIGURE_PH];
    double out = ph_outside(told, lo, hi);
    double before = last->at_s ? ph_outside(last->value, lo, hi) : 0;
    bool again = out * before > 0 && fabs(out) >= PH_OUT;
    bool jumped = last->at_s && e->happened_s - last->at_s <= PH_JUMP_S &&
                  fabs(told - last->value) >= PH_JUMP && out != 0;
    struct alarm_state evidence = {
        .seen = told, .expected = told < lo ? lo : hi, .sure_pct = 100 * (1 - chance(out / 0.1))};

    weigh(m, ALARM_PH, again || jumped, out == 0, e->happened_s, evidence);
}

static void weigh_pace(const struct room *room, struct state *s, size_t i, int64_t t_s)
{
    static const struct lean whole = {{1}};
    struct container_state *cs = &s->container[i];
    const struct curve *prior = &room->crop[cs->crop].use;
    double ln = log(cs->curve.most_l_day / prior->most_l_day);
    bool known = sqrt(belief_var(&cs->belief, &s->factor, &whole)) < PACE_KNOWN_SD;
    struct alarm_state evidence = {.seen = exp(ln), .expected = 1, .sure_pct = 95};

    weigh(&cs->alarms, ALARM_PACE, known && fabs(ln) > PACE_OPEN, fabs(ln) < PACE_SHUT, t_s,
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
        weigh_level(room, s, i, e);
        weigh_pace(room, s, i, e->happened_s);
    }
    if (entry_has(e, FIGURE_PH)) {
        weigh_ph(&cs->alarms, &cs->ph, stage->ph_min, stage->ph_max, e);
    }
}

/* It worked once, and does not now: the level is below the line, and nothing comes. */
void alarm_float_seen(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    struct container_state *cs = &s->container[i];
    bool no = e->what[0] == 'n';
    struct alarm_state evidence = {
        .seen = NAN, .expected = room->container[i].float_volume_l, .sure_pct = 95};

    if (cs->crop >= 0) {
        if (entry_has(e, FIGURE_VOLUME_L) && !cs->float_s) {
            weigh_level(room, s, i, e);
        }
        weigh(&cs->alarms, ALARM_LOW, no && cs->float_s && reservoir_feeds(room, s, e->happened_s),
              !no, e->happened_s, evidence);
        weigh_pace(room, s, i, e->happened_s);
    }
}

static void shut(struct alarm_states *m, enum alarm_kind kind)
{
    m->of[kind] = (struct alarm_state){0};
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

static void weigh_draw(struct reservoir_state *r, int64_t t_s)
{
    double sure_leak = cusum_sure_pct(r->excess);
    double sure_lack = cusum_sure_pct(r->lack);

    weigh(&r->alarms, ALARM_LEAK, r->excess >= CUSUM_OPEN, r->excess <= CUSUM_SHUT, t_s,
          (struct alarm_state){
              .seen = r->lost_l_day, .expected = r->expected_l_day, .sure_pct = sure_leak});
    weigh(&r->alarms, ALARM_LACK, r->lack >= CUSUM_OPEN, r->lack <= CUSUM_SHUT, t_s,
          (struct alarm_state){
              .seen = r->lost_l_day, .expected = r->expected_l_day, .sure_pct = sure_lack});
}

void alarm_reservoir_reading(const struct room *room, struct state *s, const struct entry *e)
{
    struct reservoir_state *r = &s->reservoir;
    const struct reservoir *v = &room->reservoir;
    double source = room->source.ec_ms_cm;
    double over;

    if (r->holds_mix) {
        return;
    }
    if (entry_has(e, FIGURE_VOLUME_L)) {
        weigh_draw(r, e->happened_s);
    }
    if (entry_has(e, FIGURE_EC_MS_CM)) {
        over = (e->figure[FIGURE_EC_MS_CM] - source) / (SALT_MS_CM + SALT_FRAC * source);
        weigh(&r->alarms, ALARM_SALT, over > 1, over < SALT_SHUT, e->happened_s,
              (struct alarm_state){.seen = e->figure[FIGURE_EC_MS_CM],
                                   .expected = source,
                                   .sure_pct = 100 * (1 - chance(OPEN_SD * over))});
    }
    if (entry_has(e, FIGURE_PH)) {
        weigh_ph(&r->alarms, &r->ph, v->ph_target - v->ph_tolerance, v->ph_target + v->ph_tolerance,
                 e);
    }
}

void alarm_meter(struct state *s, int meter, bool odd, int64_t t_s)
{
    struct meter_state *m;

    if (meter < 0) {
        return;
    }
    m = &s->meter[meter];
    m->odd = odd ? m->odd + 1 : 0;
    weigh(&m->alarms, ALARM_METER, m->odd >= METER_ODD, m->odd == 0, t_s,
          (struct alarm_state){.seen = m->odd, .expected = 0, .sure_pct = 99});
}

void alarms_deinit(struct alarms *a)
{
    free(a->alarm);
    *a = (struct alarms){0};
}

static void say_level(const struct room *room, struct subject subject, const struct alarm_state *m,
                      char says[200])
{
    char seen[QUANTITY_TEXT_MAX];
    char line[QUANTITY_TEXT_MAX];
    bool high = m->seen > m->expected;

    quantity_format(seen, QUANTITY_VOLUME, m->seen, &room->units);
    quantity_format(line, QUANTITY_VOLUME, m->expected, &room->units);
    if (isnan(m->seen)) {
        (void)snprintf(says, 200, "the float of %s lets in no water, below its line of %s",
                       room->container[subject.at].name, line);
    } else if (high && m->expected != room->container[subject.at].float_volume_l) {
        (void)snprintf(says, 200, "%s was read at %s, and held %s before: its air roots drown",
                       room->container[subject.at].name, seen, line);
    } else {
        (void)snprintf(says, 200, "%s was read at %s, %s its float line of %s%s",
                       room->container[subject.at].name, seen, high ? "above" : "below", line,
                       high ? ": its air roots drown" : ": nothing lets water in");
    }
}

static void say_draw(const struct room *room, const struct alarm_state *m, char says[200])
{
    char seen[QUANTITY_TEXT_MAX];
    char expected[QUANTITY_TEXT_MAX];

    (void)snprintf(says, 200, "the reservoir lost %s a day, and the plants were to drink %s",
                   quantity_format(seen, QUANTITY_VOLUME, m->seen, &room->units),
                   quantity_format(expected, QUANTITY_VOLUME, m->expected, &room->units));
}

static void say_ec(const struct room *room, const char *name, const char *of,
                   const struct alarm_state *m, char says[200])
{
    char seen[QUANTITY_TEXT_MAX];
    char expected[QUANTITY_TEXT_MAX];

    (void)snprintf(says, 200, "%s reads %s; %s is %s", name,
                   quantity_format(seen, QUANTITY_EC, m->seen, &room->units), of,
                   quantity_format(expected, QUANTITY_EC, m->expected, &room->units));
}

static void say(const struct room *room, enum alarm_kind kind, struct subject subject,
                const struct alarm_state *m, char says[200])
{
    const char *name = room_subject_name(room, subject);

    switch (kind) {
    case ALARM_HIGH:
    case ALARM_LOW:
        say_level(room, subject, m, says);
        break;
    case ALARM_LEAK:
    case ALARM_LACK:
        say_draw(room, m, says);
        break;
    case ALARM_SALT:
        say_ec(room, "the reservoir", "the plain water", m, says);
        break;
    case ALARM_STRONG:
        say_ec(room, name, "on float it only falls: expected", m, says);
        break;
    case ALARM_PH:
        (void)snprintf(says, 200, "pH of %s drifts: %.1f was read, and its band ends at %.1f", name,
                       m->seen, m->expected);
        break;
    case ALARM_PACE:
        (void)snprintf(says, 200, "%s drinks %.1f times what its crop does", name, m->seen);
        break;
    case ALARM_METER:
    case ALARM_KIND_N:
        (void)snprintf(says, 200, "the last %.0f readings with %s cannot be", m->seen, name);
        break;
    }
}

static void add_marks(const struct room *room, struct subject subject,
                      const struct alarm_states *marks, struct alarms *out)
{
    for (int k = 0; k < ALARM_KIND_N; k++) {
        const struct alarm_state *m = &marks->of[k];
        struct alarm *a;

        if (!m->since_s) {
            continue;
        }
        out->alarm = mem_grow(out->alarm, &out->cap, out->n + 1, sizeof *out->alarm);
        a = &out->alarm[out->n++];
        *a = (struct alarm){.kind = (enum alarm_kind)k,
                            .subject = subject,
                            .since_s = m->since_s,
                            .seen = marks->seen == marks->opened,
                            .sure_pct = fmin(m->sure_pct, 99.9),
                            .look = looks[k]};
        say(room, a->kind, subject, m, a->says);
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

void alarms_derive(const struct room *room, const struct state *s, struct alarms *out)
{
    *out = (struct alarms){0};
    for (size_t i = 0; i < s->n_containers; i++) {
        add_marks(room, (struct subject){SUBJECT_CONTAINER, i}, &s->container[i].alarms, out);
    }
    add_marks(room, (struct subject){SUBJECT_RESERVOIR, 0}, &s->reservoir.alarms, out);
    for (size_t i = 0; i < s->n_meters; i++) {
        add_marks(room, (struct subject){SUBJECT_METER, i}, &s->meter[i].alarms, out);
    }
    if (out->n > 1) {
        qsort(out->alarm, out->n, sizeof *out->alarm, by_gravity);
    }
}

static struct alarm_states *marks_of(struct state *s, struct subject subject)
{
    switch (subject.kind) {
    case SUBJECT_CONTAINER:
        return &s->container[subject.at].alarms;
    case SUBJECT_RESERVOIR:
        return &s->reservoir.alarms;
    case SUBJECT_METER:
        return &s->meter[subject.at].alarms;
    default:
        return NULL;
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
    default:
        return NULL;
    }
}

void alarm_acknowledge(struct state *s, struct subject subject)
{
    struct alarm_states *m = marks_of(s, subject);

    if (m) {
        m->seen = m->opened;
    }
}
