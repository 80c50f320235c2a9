#include "daemon/core/state/dosed_water.h"
#include "daemon/core/state/fold_rules.h"

#include "daemon/core/state/alarm.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/overnight.h"

#include <math.h>

/* Of plain water all of the strength is the water's; a mix has lost or gained of its food. */
static void see_strength(const struct fold *f, double ec_ms_cm)
{
    struct reservoir_state *r = &f->s->reservoir;

    fold_ec_shows(&r->body, &r->feed, NULL, ec_ms_cm);
    if (!r->holds_mix && !room_feeds(f->room)) {
        r->body.water_ms_cm = ec_ms_cm;
    }
}

/* Nutrients go into it with a fill where a weak solution is kept: by what was told of them, or else
 * the sheet's dose is taken to be in it. A strength that was told is compared with that. */
static void feed_is_made(const struct fold *f)
{
    struct liquid *body = &f->s->reservoir.body;
    double rise = fold_told_rise(f, f->room->reservoir.feed_at, body->volume_l, body->ec_ms_cm);

    if (room_feeds(f->room)) {
        body->ec_ms_cm =
            rise > 0 ? body->ec_ms_cm + rise : fmax(body->ec_ms_cm, f->room->reservoir.feed_ms_cm);
    }
}

/* The containers are brought up to the instant first: what they were to draw until now is what
 * the level is compared with. A mix is drawn by nobody, so its level teaches nothing of thirst. */
bool fold_reservoir_reading(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    if (entry_has(f->e, FIGURE_VOLUME_L) && !r->holds_mix &&
        !overnight_floats_fill(f->s, f->e->happened_s)) {
        fold_anchor_all(f);
        observe_reservoir(f->room, f->s, f->e);
    }
    alarm_reservoir_reading(f->room, f->s, f->e);
    fold_anchor_reservoir(f);
    r->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    if (entry_has(f->e, FIGURE_EC_MS_CM)) {
        see_strength(f, f->e->figure[FIGURE_EC_MS_CM]);
    }
    fold_measure(f, &r->ec, FIGURE_EC_MS_CM);
    fold_measure(f, &r->ph, FIGURE_PH);
    fold_measure_reservoir_temp(f);
    if (entry_has(f->e, FIGURE_EC_MS_CM) || entry_has(f->e, FIGURE_PH)) {
        r->readings++;
    }
    return true;
}

static struct liquid source_water(const struct room *room, double volume_l)
{
    return (struct liquid){volume_l, room->source.ec_ms_cm, room->source.ec_ms_cm};
}

/* Up to a mark: its level is known. So many litres: they add to what it was last seen to hold. */
static void fill_is_seen(const struct fold *f, double added_l)
{
    struct reservoir_state *r = &f->s->reservoir;

    bool fill = overnight_floats_fill(f->s, f->e->happened_s);

    if (entry_has(f->e, FIGURE_VOLUME_L) && !(fill && r->seen_s)) {
        if (r->seen_s != f->e->happened_s) { /* what it lost since the last look nobody saw */
            r->pledge.from_s = 0;
        }
        observe_reservoir_known(f->s, r->body.volume_l, f->e->happened_s);
    } else if (r->seen_s) {
        r->let_in_l += added_l;
    } else {
        fold_anchor_all(f);
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

/* The water that was let in, before its acid: by what the dose tells of the cans or, where all else
 * was known, by what it taught of the bottle. */
static struct dissolved understood(const struct fold *f, double *out_volume_l)
{
    struct dissolved w = dosed_water(f->room, f->s, f->e, out_volume_l);

    if (!fold_is_all_known(f, *out_volume_l)) {
        fold_count_cans(f);
    } else if (!fold_learn_acid(f, &w, *out_volume_l)) {
        return w;
    }
    return dosed_water(f->room, f->s, f->e, out_volume_l);
}

/* With the acid that was told, or that the pH tells of. Where neither was, the sheet's dose
 * is taken to be in it: the next one is reckoned from less, which is the safe side. Told later that
 * day, it is reckoned from the water as it was let in. */
static void water_was_let_in(const struct fold *f)
{
    double volume_l;
    struct dissolved w = understood(f, &volume_l);
    size_t product;
    double target = f->room->reservoir.ph_target;

    f->s->reservoir.let_in.at_s = 0;
    if (!entry_has(f->e, FIGURE_PH) && waters_acid_of(f->room, f->e, &product) < 0 &&
        waters_known(&w) && balance_ph_closed(&w) > target) {
        f->s->reservoir.let_in = (struct ph_buffer){w.alkalinity_meq_l, w.carbonate_mmol_l,
                                                    w.citrate_mmol_l, f->e->happened_s};
        waters_show(&w, target);
    }
    fold_keep_water(f, &w, volume_l);
}

/* What is let in comes out of the cans first, and brings what had been stirred into it. */
static void feed_is_let_in(const struct fold *f, double before_l, double added_l)
{
    struct reservoir_state *r = &f->s->reservoir;
    double again_l = fmin(added_l, r->cans.volume_l);

    r->again = r->cans;
    r->again.volume_l = again_l;
    nutrients_pour(&r->feed, before_l, &r->cans.feed, again_l);
    nutrients_pour(&r->feed, before_l + again_l, &f->room->source.brings, added_l - again_l);
    r->cans.volume_l -= again_l;
}

bool fold_reservoir_filled(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    bool mark = entry_has(f->e, FIGURE_VOLUME_L);
    double added_l;

    if (mark) {
        fold_anchor_all(f);
    }
    fold_anchor_reservoir(f);
    water_was_let_in(f);
    if (mark && entry_has(f->e, FIGURE_ADDED_L) && !overnight_floats_fill(f->s, f->e->happened_s)) {
        see_before_fill(f);
    }
    added_l =
        mark ? f->e->figure[FIGURE_VOLUME_L] - r->body.volume_l : f->e->figure[FIGURE_ADDED_L];
    feed_is_let_in(f, r->body.volume_l, fmax(0, added_l));
    r->body = solution_mix(r->body, source_water(f->room, fmax(0, added_l)));
    r->body.volume_l = entry_figure_or(f->e, FIGURE_VOLUME_L, r->body.volume_l);
    feed_is_made(f);
    fold_dose_feed(f, &r->feed, r->body.volume_l);
    if (entry_has(f->e, FIGURE_EC_MS_CM)) {
        see_strength(f, f->e->figure[FIGURE_EC_MS_CM]);
    }
    fold_use_amounts(f);
    fill_is_seen(f, fmax(0, added_l));
    fold_measure(f, &r->ec, FIGURE_EC_MS_CM);
    fold_measure(f, &r->ph, FIGURE_PH);
    fold_measure_reservoir_temp(f);
    r->fills++;
    r->filled_s = f->e->happened_s;
    return true;
}

/* Water becomes solution: learned from what was in it before, then all that was measured of the
 * water is forgotten. Its level is not counted on again before it is filled with water. */
bool fold_mix_made(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct subject recipe = room_find(f->room, f->e->what);
    struct dissolved w;
    double volume_l;
    double added_l;

    fold_anchor_reservoir(f);
    w = understood(f, &volume_l);
    if (!r->holds_mix) { /* what is too much of it makes way */
        r->cans =
            waters_drawn_off(f->room, f->s, f->e->happened_s, fmax(0, r->body.volume_l - volume_l));
    }
    fold_keep_water(f, &w, volume_l);
    r->let_in.at_s = 0;
    if (recipe.kind == SUBJECT_RECIPE) {
        fold_learn_gain(
            f, recipe.at, f->e->figure[FIGURE_VOLUME_L],
            dosing_mix_base_ec(f->room, f->s, recipe.at, f->e->figure[FIGURE_VOLUME_L]));
    }
    r->body.volume_l = fmin(r->body.volume_l, volume_l); /* drawn off before it was mixed */
    added_l = volume_l - r->body.volume_l;
    feed_is_let_in(f, r->body.volume_l, added_l);
    fold_dose_feed(f, &r->feed, volume_l);
    r->body = solution_mix(r->body, source_water(f->room, added_l));
    solution_shows(&r->body, f->e->figure[FIGURE_EC_MS_CM]);
    r->holds_mix = true;
    r->seen_s = 0;
    r->recipe = recipe.kind == SUBJECT_RECIPE ? (int)recipe.at : -1;
    r->mix_task = f->e->task;
    r->ec = r->ph = r->temp = (struct measured){0};
    fold_measure(f, &r->ec, FIGURE_EC_MS_CM);
    fold_measure(f, &r->ph, FIGURE_PH);
    fold_measure_reservoir_temp(f);
    fold_use_amounts(f);
    return true;
}

/* Back to plain water: salt in it is no longer to be expected, while a leak may be there as
 * before. */
bool fold_reservoir_rinsed(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    fold_anchor_reservoir(f);
    r->body = source_water(f->room, 0);
    r->rinsed_s = f->e->happened_s;
    r->feed = (struct nutrients){0};
    r->buffer = (struct ph_buffer){.alkalinity_meq_l = NAN};
    r->let_in.at_s = 0;
    r->seen_s = 0;
    r->alarms.of[ALARM_SALT] = (struct alarm_state){0};
    r->holds_mix = false;
    r->recipe = -1;
    r->ph = (struct measured){0};
    r->ec = (struct measured){0};
    return true;
}

/* What was lost is back in it, and floats were shut meanwhile: they draw it in the morning. So
 * nothing is new but what the night says of a leak. */
bool fold_stood(const struct fold *f)
{
    overnight_told(f->room, f->s, f->e);
    alarm_overnight(f->s, f->e->figure[FIGURE_ADDED_L], f->e->happened_s);
    return true;
}
