#include "daemon/core/state.h"

#include "daemon/base/mem.h"
#include "daemon/core/day.h"
#include "daemon/core/forecast.h"

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

void state_init(struct state *s, const struct room *room)
{
    memset(s, 0, sizeof *s);
    s->n_containers = room->n_containers;
    s->n_products = room->n_products;
    s->n_meters = room->n_meters;
    s->container = mem_array(s->n_containers, sizeof *s->container);
    s->product = mem_array(s->n_products, sizeof *s->product);
    s->meter = mem_array(s->n_meters, sizeof *s->meter);
    for (size_t i = 0; i < s->n_containers; i++) {
        s->container[i].crop = -1;
        s->container[i].theta = 1;
    }
    for (size_t i = 0; i < s->n_products; i++) {
        s->product[i].left = room->product[i].stock;
    }
    for (size_t i = 0; i < s->n_meters; i++) {
        s->meter[i].slope_pct = NAN;
        s->meter[i].offset_mv = NAN;
    }
    s->reservoir.recipe = -1;
}

void state_deinit(struct state *s)
{
    free(s->container);
    free(s->product);
    free(s->meter);
    free(s->hold);
    memset(s, 0, sizeof *s);
}

void state_copy(struct state *to, const struct state *from)
{
    *to = *from;
    to->container = mem_copy(from->container, from->n_containers, sizeof *from->container);
    to->product = mem_copy(from->product, from->n_products, sizeof *from->product);
    to->meter = mem_copy(from->meter, from->n_meters, sizeof *from->meter);
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

static void measure(struct measured *m, const struct entry *e, enum figure f)
{
    if (entry_has(e, f) && e->happened_s >= m->at_s) {
        m->at_s = e->happened_s;
        m->value = e->figure[f];
    }
}

static double figure_or(const struct entry *e, enum figure f, double otherwise)
{
    return entry_has(e, f) ? e->figure[f] : otherwise;
}

static void measure_container(struct container_state *cs, const struct entry *e)
{
    measure(&cs->ec, e, FIGURE_EC_MS_CM);
    measure(&cs->ph, e, FIGURE_PH);
    measure(&cs->temp, e, FIGURE_TEMP_C);
    measure(&cs->volume, e, FIGURE_VOLUME_L);
    if (entry_has(e, FIGURE_EC_MS_CM) || entry_has(e, FIGURE_PH)) {
        cs->readings++;
    }
}

/* Moves the container's anchor to the entry's instant, with what the forecast says it holds then.
 */
static void anchor_container(const struct fold *f)
{
    struct container_state *cs = f->pot;
    struct forecast now = forecast_container(f->room, f->s, f->at, f->e->happened_s);

    if (now.condition == CONDITION_ON_FLOAT && !cs->reached_s) {
        cs->reached_s = forecast_float_s(f->room, f->s, f->at);
    }
    cs->condition = now.condition;
    cs->body = now.body;
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
        .body = {figure_or(f->e, FIGURE_VOLUME_L, f->vessel->start_volume_l),
                 f->e->figure[FIGURE_EC_MS_CM]},
        .drawn_l = cs->drawn_l,
        .strength_ms_cm = f->e->figure[FIGURE_EC_MS_CM],
        .theta = cs->theta,
        .cleaned_s = cs->cleaned_s,
        .harvested_s = cs->harvested_s,
    };
    measure_container(cs, f->e);
    use_amounts(f);
    return true;
}

/* A level that was seen. Above the line before the float was ever seen working, it is still
 * drawdown. */
static void take_level(const struct fold *f)
{
    struct container_state *cs = f->pot;
    double line_l = f->vessel->float_volume_l;

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

static bool fold_container_reading(const struct fold *f)
{
    if (f->pot->crop >= 0) {
        anchor_container(f);
    }
    if (entry_has(f->e, FIGURE_EC_MS_CM)) {
        f->pot->body.ec_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    }
    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        take_level(f);
    }
    measure_container(f->pot, f->e);
    return true;
}

static bool fold_reservoir_reading(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    anchor_reservoir(f);
    r->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    r->body.ec_ms_cm = figure_or(f->e, FIGURE_EC_MS_CM, r->body.ec_ms_cm);
    measure(&r->ec, f->e, FIGURE_EC_MS_CM);
    measure(&r->ph, f->e, FIGURE_PH);
    measure(&r->temp, f->e, FIGURE_TEMP_C);
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
    double again_l =
        curve_use_l(&f->room->crop[cs->crop].use, cs->theta, age_day, age_day + LOOK_AGAIN_DAY);

    cs->not_float_s = f->e->happened_s;
    if (cs->float_s) {
        return;
    }
    cs->condition = CONDITION_DRAWDOWN;
    cs->reached_s = 0;
    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        cs->body.volume_l = f->e->figure[FIGURE_VOLUME_L];
    }
    cs->body.volume_l = fmax(cs->body.volume_l, line_l + again_l);
}

static bool fold_float_seen(const struct fold *f)
{
    if (f->pot->crop < 0) {
        return false;
    }
    anchor_container(f);
    f->pot->looks++;
    f->pot->looked_s = f->e->happened_s;
    measure(&f->pot->volume, f->e, FIGURE_VOLUME_L);
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
    f->pot->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, f->vessel->remainder_l);
    f->pot->drained = true;
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
    cs->bumps = 0;
    cs->step_mood = 0;
    measure_container(cs, f->e);
    if (r->holds_mix) {
        anchor_reservoir(f);
        r->body.volume_l = fmax(0, r->body.volume_l - fmax(0, cs->body.volume_l - before_l));
    }
    use_amounts(f);
    return true;
}

static bool fold_bumped(const struct fold *f)
{
    anchor_container(f);
    f->pot->body.ec_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    f->pot->strength_ms_cm = f->e->figure[FIGURE_EC_MS_CM];
    f->pot->bumps++;
    f->pot->bumped_s = f->e->happened_s;
    f->pot->step_mood = 0;
    measure_container(f->pot, f->e);
    use_amounts(f);
    return true;
}

static bool fold_topped_up(const struct fold *f)
{
    double ec = figure_or(f->e, FIGURE_EC_MS_CM, f->room->source.ec_ms_cm);

    anchor_container(f);
    f->pot->body = solution_mix(f->pot->body, (struct liquid){f->e->figure[FIGURE_ADDED_L], ec});
    return true;
}

static bool fold_reservoir_filled(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    double added_l;

    anchor_reservoir(f);
    added_l = entry_has(f->e, FIGURE_VOLUME_L) ? f->e->figure[FIGURE_VOLUME_L] - r->body.volume_l
                                               : f->e->figure[FIGURE_ADDED_L];
    r->body = solution_mix(r->body, (struct liquid){fmax(0, added_l), f->room->source.ec_ms_cm});
    r->body.volume_l = figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    r->body.ec_ms_cm = figure_or(f->e, FIGURE_EC_MS_CM, r->body.ec_ms_cm);
    measure(&r->ec, f->e, FIGURE_EC_MS_CM);
    measure(&r->ph, f->e, FIGURE_PH);
    measure(&r->temp, f->e, FIGURE_TEMP_C);
    r->fills++;
    return true;
}

static bool fold_mix_made(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct subject recipe = room_find(f->room, f->e->what);

    anchor_reservoir(f);
    r->body = (struct liquid){f->e->figure[FIGURE_VOLUME_L], f->e->figure[FIGURE_EC_MS_CM]};
    r->holds_mix = true;
    r->recipe = recipe.kind == SUBJECT_RECIPE ? (int)recipe.at : -1;
    use_amounts(f);
    return true;
}

static bool fold_reservoir_rinsed(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    anchor_reservoir(f);
    r->body = (struct liquid){0, f->room->source.ec_ms_cm};
    r->holds_mix = false;
    r->recipe = -1;
    r->ph = (struct measured){0};
    r->ec = (struct measured){0};
    return true;
}

static bool fold_ph_adjusted(const struct fold *f)
{
    if (f->pot) {
        measure_container(f->pot, f->e);
    } else {
        measure(&f->s->reservoir.ph, f->e, FIGURE_PH);
        f->s->reservoir.readings++;
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
        f->pot->at_s = f->e->happened_s;
    }
    return true;
}

static bool fold_calibrated(const struct fold *f)
{
    struct meter_state *m = &f->s->meter[f->at];

    m->calibrated_s = f->e->happened_s;
    m->calibrations++;
    m->slope_pct = f->e->figure[FIGURE_SLOPE_PCT];
    m->offset_mv = figure_or(f->e, FIGURE_OFFSET_MV, NAN);
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
    struct fold f = {
        .s = s,
        .room = room,
        .e = e,
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
