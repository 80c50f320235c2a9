#include "tests/sim/truth.h"

#include "daemon/base/mem.h"
#include "daemon/core/model/curve.h"

#include <math.h>
#include <stdlib.h>

#define HOUR_DAY      (1.0 / 24)
#define WEATHER_LEANS 0.5
#define STUCK_L_H     2.0 /* through a float that does not shut */
#define TOP_BUFFERS   0.3 /* plain water moves a solution's pH by this share of its volume's */

enum { DRAW_ROOM, DRAW_PLANT, DRAW_PH, DRAW_WEATHER, DRAW_OWN_WEATHER };

const struct truth_spread truth_usual = {
    .room = 0.20,
    .plant = 0.29,
    .half_frac = 0.12,
    .spread = 0.15,
    .appetite = 0.25,
    .weather = 0.20,
    .own_weather = 0.10,
};

const struct truth_season truth_season_usual = {
    .evaporates_l_day = 0.01,
    .evaporates_frac_day = 0.001,
    .ph_rest = 6.1,
    .ph_rest_sd = 0.35,
    .ph_pull_day = 0.07,
    .ph_pull_sd = 0.4,
    .tank_ph_day = 0.02,
};

static uint64_t dice_next(struct dice *d)
{
    uint64_t z = d->state += 0x9E3779B97F4A7C15ULL;

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

struct dice dice_of(uint64_t seed, uint64_t purpose, uint64_t subject, uint64_t day)
{
    struct dice d = {seed};

    d.state = dice_next(&d) ^ purpose;
    d.state = dice_next(&d) ^ subject;
    d.state = dice_next(&d) ^ day;
    (void)dice_next(&d);
    return d;
}

double dice_even(struct dice *d)
{
    return (double)(dice_next(d) >> 11) * 0x1p-53;
}

double dice_normal(struct dice *d)
{
    double u = dice_even(d);
    double v = dice_even(d);

    return sqrt(-2 * log(1 - u)) * cos(2 * M_PI * v); /* Box & Muller 1958 */
}

void truth_init(struct truth *t, const struct room *room, uint64_t seed, struct truth_spread spread)
{
    *t = (struct truth){.room = room,
                        .spread = spread,
                        .dice = {seed},
                        .reservoir_l = room->reservoir.capacity_l,
                        .reservoir_ec = room->source.ec_ms_cm};
    t->plant = mem_array(room->n_containers, sizeof *t->plant);
    t->room_factor = exp(spread.room * dice_normal(&t->dice));
}

void truth_deinit(struct truth *t)
{
    free(t->plant);
    *t = (struct truth){0};
}

void truth_live(struct truth *t, uint64_t seed, const struct truth_season *season)
{
    struct dice d = dice_of(seed, DRAW_ROOM, 0, 0);

    t->seed = seed;
    t->season = season;
    t->source_ec = t->room->source.ec_ms_cm;
    t->reservoir_ph = t->room->reservoir.ph_target;
    t->room_factor = exp(t->spread.room * dice_normal(&d));
}

static void give_ph(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    struct dice d = dice_of(t->seed, DRAW_PH, i, p->planting);

    p->ph_rest = t->season->ph_rest + t->season->ph_rest_sd * dice_normal(&d);
    p->ph_pull_day = t->season->ph_pull_day * exp(t->season->ph_pull_sd * dice_normal(&d));
}

void truth_start(struct truth *t, size_t i, double ec_ms_cm)
{
    const struct container *c = &t->room->container[i];
    const struct curve *prior = &t->room->crop[c->crop].use;
    uint64_t planting = t->plant[i].planting + 1;
    struct dice own = dice_of(t->seed, DRAW_PLANT, i, planting);
    struct dice *d = t->season ? &own : &t->dice;

    t->plant[i] = (struct truth_plant){
        .growing = true,
        .planting = planting,
        .curve = {prior->most_l_day, prior->half_day * (1 + t->spread.half_frac * dice_normal(d)),
                  prior->spread_day * exp(t->spread.spread * dice_normal(d))},
        .factor = t->room_factor * exp(t->spread.plant * dice_normal(d)),
        .appetite = exp(t->spread.appetite * dice_normal(d)),
        .volume_l = c->start_volume_l,
        .ec_ms_cm = ec_ms_cm,
        .float_day = NAN,
        .weather = t->spread.own_weather * dice_normal(d),
    };
    if (t->season) {
        give_ph(t, i);
    }
}

void truth_harvest(struct truth *t, size_t i)
{
    t->plant[i].growing = false;
    t->plant[i].clogged = t->plant[i].stuck = false;
}

void truth_change(struct truth *t, size_t i, double mix_ec_ms_cm)
{
    const struct container *c = &t->room->container[i];
    struct truth_plant *p = &t->plant[i];
    double rest_l = fmin(p->volume_l, c->remainder_l);

    p->ec_ms_cm =
        (rest_l * p->ec_ms_cm + (c->float_volume_l - rest_l) * mix_ec_ms_cm) / c->float_volume_l;
    p->volume_l = c->float_volume_l;
}

double truth_rate_l_day(const struct truth *t, size_t i)
{
    const struct truth_plant *p = &t->plant[i];

    (void)t;
    return p->growing ? curve_rate_l_day(&p->curve, p->factor, p->age_day) : 0;
}

const struct stage *truth_stage(const struct truth *t, size_t i)
{
    const struct crop *crop = &t->room->crop[t->room->container[i].crop];
    size_t k = 0;

    while (k + 1 < crop->n_stages && !crop->stage[k + 1].seen_only &&
           crop->stage[k + 1].from_day <= t->plant[i].age_day) {
        k++;
    }
    return &crop->stage[k];
}

/* The float lets in what is missing, as far as the reservoir has it. */
static void top_up(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    double line_l = t->room->container[i].float_volume_l;
    double want_l = line_l - p->volume_l;
    double have_l = fmax(0, t->reservoir_l - t->room->reservoir.remainder_l);
    double gets_l = fmin(want_l, have_l);

    if (isnan(p->float_day)) {
        p->float_day = p->age_day;
    }
    if (p->clogged || t->holds_mix) {
        return;
    }
    if (gets_l < want_l) {
        t->dry_h += 1;
    }
    p->ec_ms_cm = (p->volume_l * p->ec_ms_cm + gets_l * t->reservoir_ec) / (p->volume_l + gets_l);
    p->ph += TOP_BUFFERS * gets_l / (p->volume_l + gets_l) * (t->reservoir_ph - p->ph);
    p->volume_l += gets_l;
    t->reservoir_l -= gets_l;
    t->drawn_l += gets_l;
}

/* Water comes all the time; what is over the start line runs off. */
static void flood(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    double gets_l = fmin(STUCK_L_H, fmax(0, t->reservoir_l - t->room->reservoir.remainder_l));

    if (t->holds_mix) {
        return;
    }
    p->ec_ms_cm = (p->volume_l * p->ec_ms_cm + gets_l * t->reservoir_ec) / (p->volume_l + gets_l);
    p->volume_l = fmin(p->volume_l + gets_l, t->room->container[i].start_volume_l);
    t->reservoir_l -= gets_l;
    t->leaked_l += gets_l;
}

/* Lids are not tight, and roots change the acidity. */
static void age(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    double gone_l = t->season->evaporates_l_day * HOUR_DAY;

    p->ec_ms_cm *= p->volume_l / (p->volume_l - gone_l);
    p->volume_l -= gone_l;
    p->ph += (p->ph_rest - p->ph) * p->ph_pull_day * HOUR_DAY;
}

static void drink(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    const struct stage *stage = truth_stage(t, i);
    double use_l =
        fmin(truth_rate_l_day(t, i) * HOUR_DAY * exp(t->weather + p->weather), 0.95 * p->volume_l);
    double left_l = p->volume_l - use_l;
    double kept = p->volume_l * p->ec_ms_cm - use_l * stage->uptake_ms_cm * p->appetite;

    p->ec_ms_cm = fmax(0, kept / left_l);
    p->volume_l = left_l;
    p->age_day += HOUR_DAY;
    if (t->season) {
        age(t, i);
    }
    if (p->stuck) {
        flood(t, i);
    }
    if (p->volume_l < t->room->container[i].float_volume_l) {
        top_up(t, i);
    }
}

/* The same, drawn by counters. */
static void new_season_day(struct truth *t)
{
    uint64_t day = (uint64_t)llround(t->day);
    double rest = sqrt(1 - WEATHER_LEANS * WEATHER_LEANS);
    struct dice d = dice_of(t->seed, DRAW_WEATHER, 0, day);

    t->weather = WEATHER_LEANS * t->weather + rest * t->spread.weather * dice_normal(&d);
    for (size_t i = 0; i < t->room->n_containers; i++) {
        d = dice_of(t->seed, DRAW_OWN_WEATHER, i, day);
        t->plant[i].weather = t->spread.own_weather * dice_normal(&d);
    }
}

static void new_day(struct truth *t)
{
    double rest = sqrt(1 - WEATHER_LEANS * WEATHER_LEANS);

    if (t->season) {
        new_season_day(t);
        return;
    }
    t->weather = WEATHER_LEANS * t->weather + rest * t->spread.weather * dice_normal(&t->dice);
    for (size_t i = 0; i < t->room->n_containers; i++) {
        t->plant[i].weather = t->spread.own_weather * dice_normal(&t->dice);
    }
}

/* Open to the air, with little to buffer it. */
static void age_reservoir(struct truth *t)
{
    double gone_l = t->reservoir_l * t->season->evaporates_frac_day * HOUR_DAY;

    if (t->reservoir_l > gone_l) {
        t->reservoir_ec *= t->reservoir_l / (t->reservoir_l - gone_l);
        t->reservoir_l -= gone_l;
        t->drawn_l += gone_l;
    }
    t->reservoir_ph += t->season->tank_ph_day * HOUR_DAY;
}

void truth_hour(struct truth *t)
{
    double dry_h = t->dry_h;
    double leak_l = fmin(t->leak_l_day * HOUR_DAY, t->reservoir_l);

    if (floor(t->day + HOUR_DAY) > floor(t->day) || t->day == 0) {
        new_day(t);
    }
    t->day += HOUR_DAY;
    for (size_t i = 0; i < t->room->n_containers; i++) {
        if (t->plant[i].growing) {
            drink(t, i);
        }
    }
    t->reservoir_l -= leak_l;
    t->leaked_l += leak_l;
    t->dry_hours += t->dry_h > dry_h;
    if (t->season) {
        age_reservoir(t);
    }
}

double truth_read_level(struct truth *t, size_t i)
{
    double sd = 0.03 + 0.006 * t->room->container[i].start_volume_l;

    return fmax(0, t->plant[i].volume_l + sd * dice_normal(&t->dice));
}

double truth_read_reservoir(struct truth *t)
{
    double sd = 0.01 * t->room->reservoir.capacity_l;

    return fmin(fmax(0, t->reservoir_l + sd * dice_normal(&t->dice)),
                t->room->reservoir.capacity_l);
}

double truth_read_ec(struct truth *t, double ec_ms_cm)
{
    return fmax(0, ec_ms_cm + (0.02 + 0.02 * ec_ms_cm) * dice_normal(&t->dice));
}
