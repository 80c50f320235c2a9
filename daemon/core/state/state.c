#include "daemon/core/state/state.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const condition_words[] = {"idle", "drawdown", "on float", NULL};

/* Level readings this much above the line still count as at the line: what a ruler in a bucket
 * shows. */
#define LEVEL_SLACK 0.02

/* After "not yet" where the forecast said "by now": it will be looked at again in this many days.
 */
#define LOOK_AGAIN_DAY 2.0

/* What is believed of a recipe before any mix was measured, and of an acid before any dose. */
#define GAIN_SD_FRAC      0.10
#define GUESS_SD_FRAC     0.15 /* where the EC was estimated */
#define GAIN_DRIFT_FRAC   0.005
#define PER_PH_DRIFT_FRAC 0.03

/* What an observation of them is worth. */
#define EC_NOISE_MS_CM 0.02
#define EC_NOISE_FRAC  0.03
#define SHARE_LEAST    0.02 /* of the full dose: less than this shows nothing */
#define SHARE_SPREAD   0.10 /* products dosed this unevenly are another recipe */
#define PH_NOISE       0.07 /* of the difference of two readings */
#define PH_NOISE_FRAC  0.10
#define PH_STEP_LEAST  0.1
#define PH_BEFORE_S    43200 /* an older reading is not the one before the dose */

void state_init(struct state *s, const struct room *room)
{
    memset(s, 0, sizeof *s);
    s->n_containers = room->n_containers;
    s->n_products = room->n_products;
    s->n_meters = room->n_meters;
    s->container = mem_array(s->n_containers, sizeof *s->container);
    s->product = mem_array(s->n_products, sizeof *s->product);
    s->meter = mem_array(s->n_meters, sizeof *s->meter);
    s->n_recipes = room->n_recipes;
    s->recipe = mem_array(s->n_recipes, sizeof *s->recipe);
    for (size_t i = 0; i < s->n_recipes; i++) {
        const struct recipe *r = &room->recipe[i];
        double sd = r->ec_gain_ms_cm * (r->ec_estimated ? GUESS_SD_FRAC : GAIN_SD_FRAC);

        s->recipe[i].gain = learned_from(r->ec_gain_ms_cm, sd, GAIN_DRIFT_FRAC);
    }
    for (size_t i = 0; i < s->n_containers; i++) {
        s->container[i].crop = -1;
        s->container[i].appetite = 1;
        s->container[i].drift = ph_drift_of_plant();
    }
    for (size_t i = 0; i < s->n_products; i++) {
        s->product[i].left = room->product[i].stock;
        for (int in = 0; in < TITRATED_N; in++) {
            s->product[i].per_ph[in] = learned_from(0, INFINITY, PER_PH_DRIFT_FRAC);
        }
    }
    for (size_t i = 0; i < s->n_meters; i++) {
        s->meter[i].slope_pct = NAN;
        s->meter[i].offset_mv = NAN;
    }
    s->reservoir.recipe = -1;
    s->factor = belief_room();
    s->drift = ph_drift_room();
}

void state_deinit(struct state *s)
{
    for (size_t i = 0; i < s->n_meters; i++) {
        free(s->meter[i].calibrated);
    }
    free(s->container);
    free(s->product);
    free(s->meter);
    free(s->recipe);
    free(s->aside);
    free(s->hold);
    memset(s, 0, sizeof *s);
}

void state_copy(struct state *to, const struct state *from)
{
    *to = *from;
    to->container = mem_copy(from->container, from->n_containers, sizeof *from->container);
    to->product = mem_copy(from->product, from->n_products, sizeof *from->product);
    to->meter = mem_copy(from->meter, from->n_meters, sizeof *from->meter);
    to->recipe = mem_copy(from->recipe, from->n_recipes, sizeof *from->recipe);
    for (size_t i = 0; i < to->n_meters; i++) {
        struct meter_state *m = &to->meter[i];

        m->calibrated = mem_copy(m->calibrated, m->n_calibrated, sizeof *m->calibrated);
        m->cap_calibrated = m->n_calibrated;
    }
    to->aside = mem_copy(from->aside, from->n_asides, sizeof *from->aside);
    to->cap_asides = from->n_asides;
    to->hold = mem_copy(from->hold, from->n_holds, sizeof *from->hold);
    to->cap_holds = from->hold ? from->n_holds : 0;
}

/* What an entry is folded with: the state, the room, and what the entry's subject is. */
struct fold {
    struct state *s;
    const struct room *room;
    const struct entry *e;
    size_t at;                      /* index of the subject */
    struct container_state *pot;    /* where the subject is a container, else NULL */
    const struct container *vessel; /* likewise */
};

static void measure(const struct fold *f, struct measured *m, enum figure figure)
{
    const struct entry *e = f->e;

    if (entry_has(e, figure) && e->happened_s >= m->at_s) {
        m->at_s = e->happened_s;
        m->value = e->figure[figure];
        m->meter = figure == FIGURE_EC_MS_CM ? room_meter_used(f->room, METER_EC, e->what)
                   : figure == FIGURE_PH     ? room_meter_used(f->room, METER_PH, e->what)
                                             : -1;
    }
}

static double figure_or(const struct entry *e, enum figure f, double otherwise)
{
    return entry_has(e, f) ? e->figure[f] : otherwise;
}

/* The pH of a solution that was made or set; where it was not told it is unknown. */
static void ph_is_set(const struct fold *f)
{
    if (entry_has(f->e, FIGURE_PH)) {
        ph_drift_set(&f->pot->drift, f->e->figure[FIGURE_PH], f->e->happened_s);
    } else {
        ph_drift_unknown(&f->pot->drift);
    }
}

static void measure_container(const struct fold *f, struct container_state *cs)
{
    const struct entry *e = f->e;

    measure(f, &cs->ec, FIGURE_EC_MS_CM);
    measure(f, &cs->ph, FIGURE_PH);
    measure(f, &cs->temp, FIGURE_TEMP_C);
    measure(f, &cs->volume, FIGURE_VOLUME_L);
    if (entry_has(e, FIGURE_EC_MS_CM) || entry_has(e, FIGURE_PH)) {
        cs->readings++;
    }
}

/* A strength that changed by what the plant took: of all nutrients alike, so they follow the EC. */
static void ec_becomes(struct liquid *body, struct nutrients *feed, double ec_ms_cm)
{
    if (body->ec_ms_cm > 0) {
        nutrients_scale(feed, ec_ms_cm / body->ec_ms_cm);
    }
    body->ec_ms_cm = ec_ms_cm;
}

/* Adds what the entry's amounts brought to volume_l. */
static void dose_feed(const struct fold *f, struct nutrients *feed, double volume_l)
{
    struct nutrients mg = dosing_brings(f->room, f->e->amount, f->e->n_amounts);

    if (volume_l > 0) {
        nutrients_add(feed, &mg, 1 / volume_l);
    }
}

/* Share of the recipe's full dose that the entry's amounts make in volume_l; NaN when not all of its
 * products were told of, or not in the recipe's proportion. */
static double told_share(const struct fold *f, const struct recipe *r, double volume_l)
{
    double lo = INFINITY;
    double hi = 0;

    for (size_t i = 0; i < r->n_doses; i++) {
        const char *name = f->room->product[r->dose[i].product].name;
        double share = 0;

        for (size_t k = 0; k < f->e->n_amounts; k++) {
            if (strcmp(f->e->amount[k].product, name) == 0) {
                share = f->e->amount[k].amount / (volume_l * r->dose[i].per_l);
            }
        }
        lo = fmin(lo, share);
        hi = fmax(hi, share);
    }
    return lo >= SHARE_LEAST && hi - lo <= SHARE_SPREAD * hi ? (lo + hi) / 2 : NAN;
}

/* A mix that was measured: what the dose really added to a water of base_ec. */
static void learn_gain(const struct fold *f, size_t recipe, double volume_l, double base_ec)
{
    double share = told_share(f, &f->room->recipe[recipe], volume_l);
    double rise = f->e->figure[FIGURE_EC_MS_CM] - base_ec;

    if (share > 0 && rise > 0) {
        (void)learned_take(&f->s->recipe[recipe].gain, share, rise,
                           EC_NOISE_MS_CM + EC_NOISE_FRAC * rise);
    }
}

/* A dose of acid or base, with the pH before and after it. */
static void learn_per_ph(const struct fold *f, const struct measured *before, enum titrated in,
                         double volume_l)
{
    double step = f->e->figure[FIGURE_PH] - before->value;
    const struct amount *a = &f->e->amount[0];
    struct subject p = f->e->n_amounts == 1 ? room_find(f->room, a->product) : (struct subject){0};
    enum product_kind kind = step < 0 ? PRODUCT_ACID : PRODUCT_BASE;
    double ml_l = a->amount / volume_l;

    if (p.kind != SUBJECT_PRODUCT || f->room->product[p.at].kind != kind || !(a->amount > 0) ||
        !(volume_l > 0) || !before->at_s || fabs(step) < PH_STEP_LEAST ||
        f->e->happened_s - before->at_s > PH_BEFORE_S || f->e->happened_s < before->at_s) {
        return;
    }
    (void)learned_take(&f->s->product[p.at].per_ph[in], fabs(step), ml_l,
                       ml_l * hypot(PH_NOISE_FRAC, PH_NOISE / fabs(step)));
}

/* Moves the container's anchor to the entry's instant, with what the forecast says it holds then.
 */
static void anchor_container(const struct fold *f)
{
    struct container_state *cs = f->pot;
    struct forecast now = forecast_container(f->room, f->s, f->at, f->e->happened_s);
    double ec_by[EC_BY_N] = {0};

    if (cs->crop >= 0) {
        observe_ec_forecast(f->room, f->s, f->at, f->e->happened_s, ec_by);
        memcpy(cs->ec_by, ec_by, sizeof ec_by);
    }
    if (now.condition == CONDITION_ON_FLOAT && !cs->reached_s) {
        cs->reached_s = forecast_float_s(f->room, f->s, f->at);
    }
    cs->condition = now.condition;
    ec_becomes(&cs->body, &cs->feed, now.body.ec_ms_cm);
    cs->body.volume_l = now.body.volume_l;
    cs->drawn_l = now.drawn_l;
    if (f->e->happened_s > cs->at_s) {
        cs->at_s = f->e->happened_s;
    }
}

static void anchor_reservoir(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    r->body = forecast_reservoir(f->room, f->s, f->e->happened_s);
    r->drawn_l = forecast_drawn_l(f->room, f->s, f->e->happened_s);
    r->at_s = f->e->happened_s;
}

static void use_amounts(const struct fold *f)
{
    for (size_t i = 0; i < f->e->n_amounts; i++) {
        struct subject p = room_find(f->room, f->e->amount[i].product);

        if (p.kind == SUBJECT_PRODUCT) {
            f->s->product[p.at].left -= f->e->amount[i].amount;
        }
    }
}

/* A new planting counts its cycles from the start: what was put off in the last one is forgotten.
 */
static void forget_holds(const struct fold *f)
{
    size_t kept = 0;

    for (size_t i = 0; i < f->s->n_holds; i++) {
        const struct hold *h = &f->s->hold[i];

        if (h->subject.kind != SUBJECT_CONTAINER || h->subject.at != f->at) {
            f->s->hold[kept++] = *h;
        }
    }
    f->s->n_holds = kept;
}

static bool fold_started(const struct fold *f)
{
    struct container_state *cs = f->pot;
    int crop = room_find_crop(f->room, f->e->what);

    if (crop < 0) {
        return false;
    }
    forget_holds(f);
    *cs = (struct container_state){
        .condition = CONDITION_DRAWDOWN,
        .crop = crop,
        .planting = cs->planting + 1,
        .solution = 1,
        .started_s = f->e->happened_s,
        .changed_s = f->e->happened_s,
        .at_s = f->e->happened_s,
        .body = {figure_or(f->e,                FIGURE_VOLUME_L, f->vessel->start_volume_l),
                 f->e->figure[FIGURE_EC_MS_CM]},
        .drawn_l = cs->drawn_l,
        .strength_ms_cm = f->e->figure[FIGURE_EC_MS_CM],
        .appetite = 1,
        .drawn_seen_l = cs->drawn_seen_l,
        .drift = ph_drift_of_plant(),
        .alarms = {.opened = cs->alarms.opened, .seen = cs->alarms.seen               },
        .cleaned_s = cs->cleaned_s,
        .harvested_s = cs->harvested_s,
    };
    observe_start(f->room, f->s, f->at);
    dose_feed(f, &cs->feed, cs->body.volume_l);
    learn_gain(f, f->room->crop[crop].stage[0].recipe_at, cs->body.volume_l,
               f->room->source.ec_ms_cm);
    measure_container(f, cs);
    ph_is_set(f);
    use_amounts(f);
    return true;
}

/* A level that was seen. Above the line before the float was ever seen working, it is still
 * drawdown. */
static void take_level(const struct fold *f)
{
    struct container_state *cs = f->pot;
    double line_l = f->vessel->float_volume_l;
    bool drawdown = cs->crop >= 0 && !cs->float_s && !cs->drained && cs->level_s;

    if (drawdown && f->e->figure[FIGURE_VOLUME_L] <= line_l * (1 + LEVEL_SLACK)) {
        observe_float(f->room, f->s, f->at, f->e, true);
    } else if (drawdown && !observe_level(f->room, f->s, f->at, f->e)) {
        return;
    }
    cs->body.volume_l = f->e->figure[FIGURE_VOLUME_L];
    cs->looks++;
    cs->looked_s = f->e->happened_s;
    if (cs->float_s) {
        return;
    }
    if (cs->body.volume_l > line_l * (1 + LEVEL_SLACK)) {
        cs->condition = CONDITION_DRAWDOWN;
        cs->reached_s = 0;
    } else if (!cs->reached_s) {
        cs->condition = CONDITION_ON_FLOAT;
        cs->reached_s = f->e->happened_s;
    }
}

/* The anchor's strength as a meter showed it. */
static void see_strength(const struct fold *f, enum figure figure)
{
    if (f->pot->crop >= 0) {
        observe_ec(f->room, f->s, f->at, f->e, figure);
    }
    ec_becomes(&f->pot->body, &f->pot->feed, f->e->figure[figure]);
    observe_ec_known(f->pot);
}

static bool fold_container_reading(const struct fold *f)
{
    if (f->pot->crop >= 0) {
        anchor_container(f);
        alarm_container_reading(f->room, f->s, f->at, f->e);
    }
    if (entry_has(f->e, FIGURE_EC_MS_CM)) {
        see_strength(f, FIGURE_EC_MS_CM);
    }
    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        take_level(f);
    }
    if (entry_has(f->e, FIGURE_PH)) {
        ph_drift_read(&f->pot->drift, &f->s->drift, f->e->figure[FIGURE_PH], f->e->happened_s);
    }
    measure_container(f, f->pot);
    return true;
}

/* All containers at the entry's instant: what the reservoir shows is about all of them. */
static void anchor_all(const struct fold *f)
{
    for (size_t i = 0; i < f->s->n_containers; i++) {
        struct fold one = *f;

        one.at = i;
        one.pot = &f->s->container[i];
        one.vessel = &f->room->container[i];
        if (one.pot->crop >= 0 && one.pot->at_s <= f->e->happened_s) {
            anchor_container(&one);
        }
    }
}

static bool fold_reservoir_reading(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    if (entry_has(f->e, FIGURE_VOLUME_L) && !r->holds_mix) {
        anchor_all(f);
        observe_reservoir(f->room, f->s, f->e);
    }
    alarm_reservoir_reading(f->room, f->s, f->e);
    anchor_reservoir(f);
    r->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    ec_becomes(&r->body, &r->feed, figure_or(f->e, FIGURE_EC_MS_CM, r->body.ec_ms_cm));
    measure(f, &r->ec, FIGURE_EC_MS_CM);
    measure(f, &r->ph, FIGURE_PH);
    measure(f, &r->temp, FIGURE_TEMP_C);
    if (entry_has(f->e, FIGURE_EC_MS_CM) || entry_has(f->e, FIGURE_PH)) {
        r->readings++;
    }
    return true;
}

static bool fold_reading(const struct fold *f)
{
    return f->pot ? fold_container_reading(f) : fold_reservoir_reading(f);
}

static void float_is_working(const struct fold *f)
{
    struct container_state *cs = f->pot;

    cs->condition = CONDITION_ON_FLOAT;
    cs->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, f->vessel->float_volume_l);
    if (!cs->reached_s) {
        cs->reached_s = f->e->happened_s;
    }
    if (!cs->float_s) {
        cs->float_s = f->e->happened_s;
    }
}

/* Not yet, although the forecast had it there: the level is taken to lie a few days' use above. */
static void float_is_not_working(const struct fold *f)
{
    struct container_state *cs = f->pot;
    double line_l = f->vessel->float_volume_l;
    double age_day = (double)(f->e->happened_s - cs->started_s) / 86400.0;
    double again_l = curve_use_l(&cs->curve, 1, age_day, age_day + LOOK_AGAIN_DAY);

    cs->not_float_s = f->e->happened_s;
    if (cs->float_s) {
        return;
    }
    cs->condition = CONDITION_DRAWDOWN;
    cs->reached_s = 0;
    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        cs->body.volume_l = f->e->figure[FIGURE_VOLUME_L];
    } else if (cs->level_s) { /* by what is believed of it now */
        double from_day = (double)(cs->level_s - cs->started_s) / 86400.0;

        cs->body.volume_l = cs->level_l - curve_use_l(&cs->curve, 1, from_day, age_day);
    }
    cs->body.volume_l = fmax(cs->body.volume_l, line_l + again_l);
}

static bool fold_float_seen(const struct fold *f)
{
    if (f->pot->crop < 0) {
        return false;
    }
    anchor_container(f);
    alarm_float_seen(f->room, f->s, f->at, f->e);
    f->pot->looks++;
    f->pot->looked_s = f->e->happened_s;
    measure(f, &f->pot->volume, FIGURE_VOLUME_L);
    if (!f->pot->float_s && f->pot->level_s) {
        observe_float(f->room, f->s, f->at, f->e, strcmp(f->e->what, "no") != 0);
    }
    if (strcmp(f->e->what, "no") == 0) {
        float_is_not_working(f);
    } else {
        float_is_working(f);
    }
    return true;
}

static bool fold_drained(const struct fold *f)
{
    anchor_container(f);
    if (entry_has(f->e, FIGURE_WAS_MS_CM)) {
        see_strength(f, FIGURE_WAS_MS_CM);
    }
    f->pot->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, f->vessel->remainder_l);
    f->pot->drained = true;
    f->pot->level_s = 0;
    return true;
}

static bool fold_refilled(const struct fold *f)
{
    struct container_state *cs = f->pot;
    struct reservoir_state *r = &f->s->reservoir;
    double before_l;

    if (cs->crop < 0) {
        return false;
    }
    anchor_container(f);
    before_l = cs->body.volume_l;
    cs->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, f->vessel->float_volume_l);
    cs->body.ec_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    cs->strength_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    cs->changed_s = f->e->happened_s;
    cs->drained = false;
    cs->solution++;
    alarm_new_solution(f->s, f->at);
    cs->bumps = 0;
    cs->step_mood = 0;
    observe_ec_known(cs);
    measure_container(f, cs);
    ph_is_set(f);
    if (r->holds_mix) {
        double poured_l = fmax(0, cs->body.volume_l - before_l);

        anchor_reservoir(f);
        if (!cs->drift.from_s && r->ph.at_s) {
            ph_drift_set(&cs->drift, r->ph.value, f->e->happened_s);
        }
        nutrients_pour(&cs->feed, before_l, &r->feed, poured_l);
        r->body.volume_l = fmax(0, r->body.volume_l - poured_l);
    } else {
        nutrients_pour(&cs->feed, before_l, NULL, fmax(0, cs->body.volume_l - before_l));
    }
    dose_feed(f, &cs->feed, cs->body.volume_l);
    use_amounts(f);
    return true;
}

static bool fold_bumped(const struct fold *f)
{
    anchor_container(f);
    if (entry_has(f->e, FIGURE_WAS_MS_CM)) {
        see_strength(f, FIGURE_WAS_MS_CM);
    }
    f->pot->body.ec_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    f->pot->strength_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    f->pot->bumps++;
    alarm_new_solution(f->s, f->at);
    observe_ec_known(f->pot);
    f->pot->bumped_s = f->e->happened_s;
    f->pot->step_mood = 0;
    dose_feed(f, &f->pot->feed, f->pot->body.volume_l);
    measure_container(f, f->pot);
    ph_is_set(f);
    use_amounts(f);
    return true;
}

static bool fold_topped_up(const struct fold *f)
{
    double ec = figure_or(f->e, FIGURE_EC_MS_CM, f->room->source.ec_ms_cm);

    anchor_container(f);
    nutrients_pour(&f->pot->feed, f->pot->body.volume_l, NULL, f->e->figure[FIGURE_ADDED_L]);
    f->pot->body = solution_mix(f->pot->body, (struct liquid){f->e->figure[FIGURE_ADDED_L], ec});
    f->pot->level_l += f->e->figure[FIGURE_ADDED_L];
    return true;
}

/* Up to a mark: its level is known. So many litres: they add to what it was last seen to hold. */
static void fill_is_seen(const struct fold *f, double added_l)
{
    struct reservoir_state *r = &f->s->reservoir;

    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        observe_reservoir_known(f->s, r->body.volume_l, f->e->happened_s);
    } else if (r->seen_s) {
        r->let_in_l += added_l;
    } else {
        anchor_all(f);
        observe_reservoir_known(f->s, r->body.volume_l, f->e->happened_s);
    }
}

/* How much it holds and how much was let in say what it held before: as good as a reading. */
static void see_before_fill(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct entry before = *f->e;

    before.has = FIGURE_BIT(FIGURE_VOLUME_L);
    before.figure[FIGURE_VOLUME_L] =
        fmax(0, f->e->figure[FIGURE_VOLUME_L] - f->e->figure[FIGURE_ADDED_L]);
    observe_reservoir(f->room, f->s, &before);
    alarm_reservoir_reading(f->room, f->s, &before);
    r->body.volume_l = before.figure[FIGURE_VOLUME_L];
}

static bool fold_reservoir_filled(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    bool mark = entry_has(f->e, FIGURE_VOLUME_L);
    double added_l;

    if (mark) {
        anchor_all(f);
    }
    anchor_reservoir(f);
    if (mark && entry_has(f->e, FIGURE_ADDED_L)) {
        see_before_fill(f);
    }
    added_l =
        mark ? f->e->figure[FIGURE_VOLUME_L] - r->body.volume_l : f->e->figure[FIGURE_ADDED_L];
    nutrients_pour(&r->feed, r->body.volume_l, NULL, fmax(0, added_l));
    r->body = solution_mix(r->body, (struct liquid){fmax(0, added_l), f->room->source.ec_ms_cm});
    r->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    r->body.ec_ms_cm = figure_or(f->e, FIGURE_EC_MS_CM, r->body.ec_ms_cm);
    fill_is_seen(f, fmax(0, added_l));
    measure(f, &r->ec, FIGURE_EC_MS_CM);
    measure(f, &r->ph, FIGURE_PH);
    measure(f, &r->temp, FIGURE_TEMP_C);
    r->fills++;
    r->filled_s = f->e->happened_s;
    return true;
}

static bool fold_mix_made(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct subject recipe = room_find(f->room, f->e->what);

    anchor_reservoir(f);
    if (recipe.kind == SUBJECT_RECIPE) {
        learn_gain(f, recipe.at, f->e->figure[FIGURE_VOLUME_L],
                   dosing_mix_base_ec(f->room, f->s, recipe.at, f->e->figure[FIGURE_VOLUME_L]));
    }
    if (r->body.volume_l > f->e->figure[FIGURE_VOLUME_L]) { /* drawn off before it was mixed */
        r->body.volume_l = f->e->figure[FIGURE_VOLUME_L];
    }
    nutrients_pour(&r->feed, r->body.volume_l, NULL,
                   f->e->figure[FIGURE_VOLUME_L] - r->body.volume_l);
    dose_feed(f, &r->feed, f->e->figure[FIGURE_VOLUME_L]);
    r->body = (struct liquid){f->e->figure[FIGURE_VOLUME_L], f->e->figure[FIGURE_EC_MS_CM]};
    r->holds_mix = true;
    r->seen_s = 0;
    r->recipe = recipe.kind == SUBJECT_RECIPE ? (int)recipe.at : -1;
    r->mix_task = f->e->task;
    r->ec = r->ph = r->temp = (struct measured){0};
    measure(f, &r->ec, FIGURE_EC_MS_CM);
    measure(f, &r->ph, FIGURE_PH);
    measure(f, &r->temp, FIGURE_TEMP_C);
    use_amounts(f);
    return true;
}

static bool fold_reservoir_rinsed(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    anchor_reservoir(f);
    r->body = (struct liquid){0, f->room->source.ec_ms_cm};
    r->rinsed_s = f->e->happened_s;
    r->feed = (struct nutrients){0};
    r->seen_s = 0;
    r->alarms.of[ALARM_SALT] = (struct alarm_state){0};
    r->holds_mix = false;
    r->recipe = -1;
    r->ph = (struct measured){0};
    r->ec = (struct measured){0};
    return true;
}

static bool fold_ph_adjusted(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    if (f->pot) {
        if (f->pot->crop >= 0) {
            anchor_container(f);
        }
        learn_per_ph(f, &f->pot->ph, TITRATED_SOLUTION, f->pot->body.volume_l);
        dose_feed(f, &f->pot->feed, f->pot->body.volume_l);
        measure_container(f, f->pot);
        ph_is_set(f);
    } else {
        anchor_reservoir(f);
        learn_per_ph(f, &r->ph, r->holds_mix ? TITRATED_SOLUTION : TITRATED_WATER,
                     r->body.volume_l);
        dose_feed(f, &r->feed, r->body.volume_l);
        measure(f, &r->ph, FIGURE_PH);
        r->readings++;
    }
    use_amounts(f);
    return true;
}

static bool fold_stage_seen(const struct fold *f)
{
    int stage = f->pot->crop < 0 ? -1 : crop_find_stage(&f->room->crop[f->pot->crop], f->e->what);

    if (stage < 0) {
        return false;
    }
    anchor_container(f);
    if (stage > f->pot->stage) {
        f->pot->stage = stage;
    }
    return true;
}

static bool fold_observation(const struct fold *f)
{
    if (f->pot && strcmp(f->e->what, "tip-burn") == 0) {
        f->pot->step_mood = -1;
    } else if (f->pot && strcmp(f->e->what, "pale-growth") == 0) {
        f->pot->step_mood = 1;
    }
    return true;
}

static bool fold_harvested(const struct fold *f)
{
    if (strcmp(f->e->what, "part") == 0) {
        return true;
    }
    anchor_container(f);
    f->pot->condition = CONDITION_IDLE;
    f->pot->crop = -1;
    f->pot->needs_cleaning = true;
    alarm_new_plant(f->s, f->at);
    f->pot->harvested_s = f->e->happened_s;
    return true;
}

static bool fold_cleaned(const struct fold *f)
{
    f->pot->needs_cleaning = false;
    f->pot->drained = false;
    f->pot->cleaned_s = f->e->happened_s;
    if (f->pot->crop < 0) {
        f->pot->body = (struct liquid){0};
        f->pot->feed = (struct nutrients){0};
        f->pot->at_s = f->e->happened_s;
    }
    return true;
}

static bool fold_calibrated(const struct fold *f)
{
    struct meter_state *m = &f->s->meter[f->at];

    m->calibrated_s = f->e->happened_s;
    m->calibrations++;
    alarm_meter(f->s, (int)f->at, false, f->e->happened_s);
    m->slope_pct = f->e->figure[FIGURE_SLOPE_PCT];
    m->offset_mv = figure_or(f->e, FIGURE_OFFSET_MV, NAN);
    m->calibrated =
        mem_grow(m->calibrated, &m->cap_calibrated, m->n_calibrated + 1, sizeof *m->calibrated);
    m->calibrated[m->n_calibrated++] =
        (struct calibrated){m->calibrated_s, m->slope_pct, m->offset_mv};
    return true;
}

static int find_care(const char *word)
{
    for (int k = 0; k < CARE_KIND_N; k++) {
        if (strcmp(care_word((enum care_kind)k), word) == 0) {
            return k;
        }
    }
    return -1;
}

static bool fold_cared_for(const struct fold *f)
{
    int k = find_care(f->e->what);

    if (k < 0) {
        return false;
    }
    if (f->pot) {
        f->pot->care_s[k] = f->e->happened_s;
        f->pot->cares[k]++;
    } else {
        f->s->care_s[k] = f->e->happened_s;
        f->s->cares[k]++;
    }
    return true;
}

static bool fold_stock_received(const struct fold *f)
{
    struct product_state *p = &f->s->product[f->at];

    p->left += f->e->figure[FIGURE_AMOUNT];
    p->receipts++;
    p->ordered = false;
    return true;
}

static bool fold_note(const struct fold *f)
{
    (void)f;
    return true;
}

/* One hold a job word and subject: the last word counts, so that holds stay as few as the room's
 * things. */
static struct hold *hold_of(const struct fold *f)
{
    struct state *s = f->s;
    struct subject subject = room_find(f->room, f->e->subject);

    for (size_t i = 0; i < s->n_holds; i++) {
        struct hold *h = &s->hold[i];

        if (h->subject.kind == subject.kind && h->subject.at == subject.at &&
            strcmp(h->what, f->e->what) == 0) {
            return h;
        }
    }
    s->hold = mem_grow(s->hold, &s->cap_holds, s->n_holds + 1, sizeof *s->hold);
    memset(&s->hold[s->n_holds], 0, sizeof *s->hold);
    s->hold[s->n_holds].subject = subject;
    return &s->hold[s->n_holds++];
}

static bool fold_deferred(const struct fold *f)
{
    struct hold *h = hold_of(f);

    (void)snprintf(h->what, sizeof h->what, "%s", f->e->what);
    h->cycle = f->e->cycle;
    h->until_day = f->e->until_day;
    h->dropped = false;
    return true;
}

/* The entry says until when a dropped job rests; deed_drop knows the kind's interval. */
static bool fold_dropped(const struct fold *f)
{
    struct hold *h = hold_of(f);

    (void)snprintf(h->what, sizeof h->what, "%s", f->e->what);
    h->cycle = f->e->cycle;
    h->until_day = f->e->until_day == DAY_NONE ? INT32_MAX : f->e->until_day;
    h->dropped = true;
    return true;
}

static bool fold_acknowledged(const struct fold *f)
{
    struct subject subject = room_find(f->room, f->e->subject);

    if (subject.kind == SUBJECT_PRODUCT && strcmp(f->e->what, "reorder") == 0) {
        f->s->product[subject.at].ordered = true;
    }
    if (strcmp(f->e->what, "look") == 0) {
        alarm_acknowledge(f->s, subject);
    }
    return true;
}

static bool (*const fold_of_kind[ENTRY_KIND_N])(const struct fold *) = {
    [ENTRY_STARTED] = fold_started,
    [ENTRY_READING] = fold_reading,
    [ENTRY_FLOAT_SEEN] = fold_float_seen,
    [ENTRY_DRAINED] = fold_drained,
    [ENTRY_REFILLED] = fold_refilled,
    [ENTRY_BUMPED] = fold_bumped,
    [ENTRY_TOPPED_UP] = fold_topped_up,
    [ENTRY_RESERVOIR_FILLED] = fold_reservoir_filled,
    [ENTRY_MIX_MADE] = fold_mix_made,
    [ENTRY_RESERVOIR_RINSED] = fold_reservoir_rinsed,
    [ENTRY_PH_ADJUSTED] = fold_ph_adjusted,
    [ENTRY_STAGE_SEEN] = fold_stage_seen,
    [ENTRY_OBSERVATION] = fold_observation,
    [ENTRY_HARVESTED] = fold_harvested,
    [ENTRY_CLEANED] = fold_cleaned,
    [ENTRY_CALIBRATED] = fold_calibrated,
    [ENTRY_CARED_FOR] = fold_cared_for,
    [ENTRY_STOCK_RECEIVED] = fold_stock_received,
    [ENTRY_NOTE] = fold_note,
    [ENTRY_DEFERRED] = fold_deferred,
    [ENTRY_DROPPED] = fold_dropped,
    [ENTRY_ACKNOWLEDGED] = fold_acknowledged,
    [ENTRY_VOIDED] = fold_note,
};

void state_apply(struct state *s, const struct room *room, const struct entry *e)
{
    struct subject subject = room_find(room, e->subject);
    bool pot = subject.kind == SUBJECT_CONTAINER;
    struct entry scratch;
    struct fold f = {
        .s = s,
        .room = room,
        .e = entry_at_25(room, e, &scratch),
        .at = subject.at,
        .pot = pot ? &s->container[subject.at] : NULL,
        .vessel = pot ? &room->container[subject.at] : NULL,
    };

    if (!s->first_s) {
        s->first_s = e->happened_s;
    }
    if (e->happened_s > s->latest_s) {
        s->latest_s = e->happened_s;
    }
    s->n_entries++;
    if (!(entry_kinds[e->kind].subjects & (1U << (unsigned)subject.kind)) ||
        !fold_of_kind[e->kind](&f)) {
        s->n_skipped++;
    }
}
