#include "daemon/core/state/fold_rules.h"

#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/root_gas.h"
#include "daemon/core/state/rooted.h"

#include <math.h>
#include <string.h>

/* Level readings this much above the line still count as at the line: what a ruler in a bucket
 * shows (common practice, no source). */
#define GAS_GONE_S  1209600 /* two weeks: less is left of it than any meter shows (root_gas.h) */
#define LEVEL_SLACK 0.02

/* After "not yet" where the forecast said "by now": it will be looked at again in this many days.
 */
#define LOOK_AGAIN_DAY 2.0

void fold_forget_holds(const struct fold *f, size_t container)
{
    size_t kept = 0;

    for (size_t i = 0; i < f->s->n_holds; i++) {
        const struct hold *h = &f->s->hold[i];

        if (h->subject.kind != SUBJECT_CONTAINER || h->subject.at != container) {
            f->s->hold[kept++] = *h;
        }
    }
    f->s->n_holds = kept;
}

/* A solution that was made of source water: with the gas that it brought. */
static void keep_gas_of_source(const struct fold *f)
{
    struct dissolved w = waters_source(f->room, f->s);

    if (waters_known(&w)) {
        if (!nutrients_none(&f->pot->feed)) {
            waters_feed(&w, &f->pot->feed);
        }
        fold_keep_gas(f, &w, f->pot->body.volume_l);
    } else {
        f->pot->stirred_s = 0;
    }
}

/* All of the last plant is forgotten. What counts over plantings stays: how often it was started,
 * what was drawn, the alarms so far, and when it was harvested and cleaned. */
bool fold_started(const struct fold *f)
{
    struct container_state *cs = f->pot;
    int crop = room_find_crop(f->room, f->e->what);

    if (crop < 0) {
        return false;
    }
    fold_forget_holds(f, f->at); /* a new planting counts its cycles from the start */
    *cs = (struct container_state){
        .condition = CONDITION_DRAWDOWN,
        .crop = crop,
        .planting = cs->planting + 1,
        .solution = 1,
        .started_s = f->e->happened_s,
        .changed_s = f->e->happened_s,
        .at_s = f->e->happened_s,
        .drawn_l = cs->drawn_l,
        .appetite = 1,
        .drawn_seen_l = cs->drawn_seen_l,
        .drift = ph_drift_of_plant(),
        .alarms = {.opened = cs->alarms.opened, .seen = cs->alarms.seen},
        .cleaned_s = cs->cleaned_s,
        .harvested_s = cs->harvested_s,
        .home = cs->home, /* empty: it has stood nowhere else */
        .cap_homes = cs->cap_homes,
    };
    cs->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, f->vessel->start_volume_l);
    cs->body.water_ms_cm = f->room->source.ec_ms_cm;
    solution_shows(&cs->body, f->e->figure[FIGURE_EC_MS_CM]);
    cs->feed = f->room->source.brings;
    observe_start(f->room, f->s, f->at);
    fold_dose_feed(f, &cs->feed, cs->body.volume_l);
    fold_strength_is_made(f);
    fold_learn_gain(f, f->room->crop[crop].stage[0].recipe_at, cs->body.volume_l,
                    f->room->source.ec_ms_cm);
    fold_measure_container(f, cs);
    fold_ph_is_set(f);
    keep_gas_of_source(f);
    fold_use_amounts(f);
    return true;
}

void fold_level_is(const struct fold *f, double volume_l)
{
    struct container_state *cs = f->pot;

    cs->body.volume_l = volume_l;
    if (cs->float_s) {
        return;
    }
    if (volume_l > f->vessel->float_volume_l * (1 + LEVEL_SLACK)) {
        cs->condition = CONDITION_DRAWDOWN;
        cs->reached_s = 0;
    } else if (!cs->reached_s) {
        cs->condition = CONDITION_ON_FLOAT;
        cs->reached_s = f->e->happened_s;
    }
}

/* A level that was seen. Above the line before the float was ever seen working, it is still
 * drawdown. */
static void take_level(const struct fold *f)
{
    struct container_state *cs = f->pot;
    double line_l = f->vessel->float_volume_l;
    bool drawdown = cs->crop >= 0 && !cs->float_s && !cs->drained && cs->level_s;

    if (drawdown && !cs->alarms.of[ALARM_ODD].since_s &&
        f->e->figure[FIGURE_VOLUME_L] <= line_l * (1 + LEVEL_SLACK)) {
        observe_float(f->room, f->s, f->at, f->e, true);
    } else if (drawdown) {
        observe_level(f->room, f->s, f->at, f->e);
    }
    cs->looks++;
    cs->looked_s = f->e->happened_s;
    fold_level_is(f, f->e->figure[FIGURE_VOLUME_L]);
}

/* What the plant takes for an uptake of 1 mS/cm; NULL where nothing grows. */
static const struct nutrients *taken_by(const struct fold *f)
{
    int stage = forecast_container(f->room, f->s, f->at, f->e->happened_s).stage;

    return stage < 0 ? NULL : crop_takes(&f->room->crop[f->pot->crop], stage);
}

/* The anchor's strength as a meter showed it. */
static void see_strength(const struct fold *f, enum figure figure)
{
    if (f->pot->crop >= 0) {
        double told = f->e->figure[figure];
        double z;
        bool believed = observe_ec(f->room, f->s, f->at, f->e, figure, &z);

        alarm_strength(f->s, f->at, told, z, f->e->happened_s);
        alarm_meter(f->s, room_meter_used(f->room, METER_EC, f->e->what), !believed,
                    f->e->happened_s);
    }
    fold_ec_shows(&f->pot->body, &f->pot->feed, taken_by(f), f->e->figure[figure]);
    observe_ec_known(f->pot);
}

/* What a pH that is read comes to once the gas has left that is in there since it was stirred: that
 * rise is no drift of the plant's, neither behind it nor ahead. */
static double comes_to(const struct fold *f, double ph)
{
    int64_t since_s = f->pot->stirred_s;
    struct dissolved w;

    if (!since_s || f->e->happened_s - since_s >= GAS_GONE_S) {
        return ph;
    }
    w = waters_container(f->room, f->s, f->at, ph, f->e->happened_s);
    return fmax(ph, root_gas_rests_ph(&w));
}

bool fold_container_reading(const struct fold *f)
{
    if (f->pot->crop >= 0) {
        fold_anchor_container(f);
        alarm_container_reading(f->room, f->s, f->at, f->e);
    }
    if (entry_has(f->e, FIGURE_EC_MS_CM)) {
        see_strength(f, FIGURE_EC_MS_CM);
    }
    if (entry_has(f->e, FIGURE_VOLUME_L)) {
        take_level(f);
    }
    if (entry_has(f->e, FIGURE_PH)) {
        ph_drift_read(&f->pot->drift, &f->s->drift, comes_to(f, f->e->figure[FIGURE_PH]),
                      f->e->happened_s, f->pot->turns);
    }
    fold_measure_container(f, f->pot);
    return true;
}

static void float_is_working(const struct fold *f)
{
    struct container_state *cs = f->pot;

    cs->condition = CONDITION_ON_FLOAT;
    cs->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, f->vessel->float_volume_l);
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
    } else if (cs->level_s) { /* by what is believed of it now, and the last that was told */
        bool odd = cs->odd_s > cs->level_s;
        double from_day = (double)((odd ? cs->odd_s : cs->level_s) - cs->started_s) / 86400.0;

        cs->body.volume_l =
            (odd ? cs->odd_l : cs->level_l) - curve_use_l(&cs->curve, 1, from_day, age_day);
    }
    /* Without a level the eye says only that it is above the line: so far above that the next
     * look is worth its walk. */
    cs->body.volume_l = fmax(cs->body.volume_l, line_l + again_l);
}

bool fold_float_seen(const struct fold *f)
{
    if (f->pot->crop < 0) {
        return false;
    }
    fold_anchor_container(f);
    alarm_float_seen(f->room, f->s, f->at, f->e);
    f->pot->looks++;
    f->pot->looked_s = f->e->happened_s;
    fold_measure(f, &f->pot->volume, FIGURE_VOLUME_L);
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

/* What was measured of the solution on its way out is the last that can be learned of it. Shut
 * off as it is now its level says nothing of thirst. */
bool fold_drained(const struct fold *f)
{
    fold_anchor_container(f);
    if (entry_has(f->e, FIGURE_WAS_MS_CM)) {
        see_strength(f, FIGURE_WAS_MS_CM);
    }
    f->pot->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, f->vessel->remainder_l);
    f->pot->drained = true;
    f->pot->level_s = 0;
    return true;
}

/* A solution that came out of the reservoir: with the gas that the mix holds. */
static void keep_gas_of_mix(const struct fold *f)
{
    struct dissolved w = waters_reservoir(f->room, f->s, f->e->happened_s);

    if (waters_known(&w)) {
        fold_keep_gas(f, &w, f->pot->body.volume_l);
    } else {
        f->pot->stirred_s = 0;
    }
}

/* Out of the mix in the reservoir, where it holds one: its litres, nutrients and pH go along.
 * Else it was mixed in a jug, and all that is known of it was told. */
bool fold_refilled(const struct fold *f)
{
    struct container_state *cs = f->pot;
    struct reservoir_state *r = &f->s->reservoir;
    struct liquid poured = {0, f->room->source.ec_ms_cm, f->room->source.ec_ms_cm};

    if (cs->crop < 0) {
        return false;
    }
    fold_anchor_container(f);
    cs->changed_s = f->e->happened_s;
    cs->drained = false;
    cs->solution++;
    alarm_new_solution(f->s, f->at);
    cs->bumps = 0;
    cs->step_mood = 0;
    fold_measure_container(f, cs);
    fold_ph_is_set(f);
    if (r->holds_mix) {
        fold_anchor_reservoir(f);
        poured = r->body;
        if (!cs->drift.from_s && r->ph.at_s) {
            ph_drift_set(&cs->drift, r->ph.value, f->e->happened_s, cs->turns);
        }
        keep_gas_of_mix(f);
    }
    poured.volume_l = fmax(0, entry_figure_or(f->e, FIGURE_VOLUME_L, f->vessel->float_volume_l) -
                                  cs->body.volume_l);
    nutrients_pour(&cs->feed, cs->body.volume_l, r->holds_mix ? &r->feed : &f->room->source.brings,
                   poured.volume_l);
    rooted_pour(cs, cs->body.volume_l, r->holds_mix ? &r->feed : NULL, poured.volume_l);
    cs->body = solution_mix(cs->body, poured);
    cs->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, f->vessel->float_volume_l);
    solution_shows(&cs->body, f->e->figure[FIGURE_EC_MS_CM]);
    observe_ec_known(cs);
    if (r->holds_mix) {
        r->body.volume_l = fmax(0, r->body.volume_l - poured.volume_l);
    }
    fold_dose_feed(f, &cs->feed, cs->body.volume_l);
    fold_strength_is_made(f);
    observe_solution_made(f->room, f->s, f->at, f->e->happened_s);
    fold_use_amounts(f);
    return true;
}

/* As strong as it was made: the next step of strength goes by what the plant was given last, and
 * burnt or pale leaves were answered by it. What it was before is the last word on the old
 * solution, and is learned from. */
bool fold_bumped(const struct fold *f)
{
    fold_anchor_container(f);
    if (entry_has(f->e, FIGURE_WAS_MS_CM)) {
        see_strength(f, FIGURE_WAS_MS_CM);
    }
    solution_shows(&f->pot->body, f->e->figure[FIGURE_EC_MS_CM]);
    f->pot->bumps++;
    alarm_new_solution(f->s, f->at);
    observe_ec_known(f->pot);
    f->pot->bumped_s = f->e->happened_s;
    f->pot->step_mood = 0;
    fold_dose_feed(f, &f->pot->feed, f->pot->body.volume_l);
    fold_strength_is_made(f);
    observe_solution_made(f->room, f->s, f->at, f->e->happened_s);
    fold_measure_container(f, f->pot);
    fold_ph_is_set(f);
    fold_use_amounts(f);
    return true;
}

/* The level that is compared with later ones rises by what was added, or it would pass for a
 * leak. */
bool fold_topped_up(const struct fold *f)
{
    double ec = entry_figure_or(f->e, FIGURE_EC_MS_CM, f->room->source.ec_ms_cm);
    struct liquid added = {f->e->figure[FIGURE_ADDED_L], ec, fmin(ec, f->room->source.ec_ms_cm)};

    fold_anchor_container(f);
    nutrients_pour(&f->pot->feed, f->pot->body.volume_l, &f->room->source.brings,
                   f->e->figure[FIGURE_ADDED_L]);
    rooted_pour(f->pot, f->pot->body.volume_l, NULL, f->e->figure[FIGURE_ADDED_L]);
    f->pot->body = solution_mix(f->pot->body, added);
    f->pot->level_l += f->e->figure[FIGURE_ADDED_L];
    f->pot->odd_l += f->e->figure[FIGURE_ADDED_L];
    f->pot->look.told_l += f->e->figure[FIGURE_ADDED_L];
    f->pot->look.expected_l += f->e->figure[FIGURE_ADDED_L];
    return true;
}

/* A stage does not go back: fruit that was seen is not unseen, and a late entry of a younger
 * stage is only late. */
bool fold_stage_seen(const struct fold *f)
{
    int stage = f->pot->crop < 0 ? -1 : crop_find_stage(&f->room->crop[f->pot->crop], f->e->what);

    if (stage < 0) {
        return false;
    }
    fold_anchor_container(f);
    if (stage > f->pot->stage) {
        f->pot->stage = stage;
    }
    return true;
}

void fold_ends_planting(const struct fold *f)
{
    fold_anchor_container(f);
    f->pot->condition = CONDITION_IDLE;
    f->pot->crop = -1;
    f->pot->needs_cleaning = true;
    alarm_new_plant(f->s, f->at);
    f->pot->harvested_s = f->e->happened_s;
}

/* A part that was picked leaves the plant where it is, with all its work. */
bool fold_harvested(const struct fold *f)
{
    if (strcmp(f->e->what, "part") == 0) {
        return true;
    }
    fold_ends_planting(f);
    return true;
}

/* A planted tub may be cleaned around its plant; only an idle one is empty afterwards. */
bool fold_cleaned(const struct fold *f)
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
