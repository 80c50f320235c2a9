#include "tests/sim/truth.h"

#include "daemon/base/mem.h"
#include "tests/sim/bottle.h"

#include <math.h>
#include <stdlib.h>

#define HOUR_DAY      (1.0 / 24)
#define WEATHER_LEANS 0.5
#define STUCK_L_H     2.0    /* through a float that does not shut */
#define BREATHES_H    6      /* air and water are brought together every so many hours */
#define ROOTS_CO2_ATM 1.3e-3 /* roots respire: three times the air's; an estimate */
#define AIR_CO2_ATM   4.2e-4
/* Of the way to the air's balance, e-folds in a day: a lake at low wind passes 0.5 m a day (Cole &
 * Caraco 1998, from memory), and these are 0.4 m deep. */
#define AIRED_DAY       1.2
#define TAKES_OF_SODIUM 0.15 /* of its concentration: OD-TOM, 0.07 of 0.3 to 0.5 */
#define UPTAKE_MS_CM    2.9  /* of OD-TOM's ratios */
#define HALVINGS        40
#define MILD_C          20.0
#define WARMS_C         15.0 /* for each ln of thirst: 3 degrees from day to day; an estimate */

enum { DRAW_ROOM, DRAW_PLANT, DRAW_WEATHER, DRAW_OWN_WEATHER };

const struct truth_spread truth_usual = {
    .room = 0.20,
    .plant = 0.29,
    .half_frac = 0.12,
    .spread = 0.15,
    .appetite = 0.25,
    .nitrate = 0.03,
    .weather = 0.20,
    .own_weather = 0.10,
};

const struct truth_season truth_season_usual = {
    .evaporates_l_day = 0.01,
    .evaporates_frac_day = 0.001,
};

void truth_init(struct truth *t, const struct room *room, uint64_t seed, struct truth_spread spread)
{
    *t = (struct truth){
        .room = room,
        .spread = spread,
        .dice = {seed},
        .source = bottle_source(&room->source),
    };
    t->way.size = t->way.pace = 1;
    water_pour_like(&t->reservoir, &t->source, room->reservoir.capacity_l);
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
    t->room_factor = exp(t->spread.room * dice_normal(&d));
}

struct water_body truth_solution(const struct truth *t, size_t recipe, double volume_l,
                                 double ec_ms_cm)
{
    const struct recipe *r = &t->room->recipe[recipe];
    struct water_body w = {0};
    double lo = 0;
    double hi = 4 * ec_ms_cm / r->ec_gain_ms_cm;

    for (int i = 0; i < HALVINGS; i++) {
        double share = (lo + hi) / 2;

        w = (struct water_body){0};
        water_pour_like(&w, &t->source, volume_l);
        for (size_t k = 0; k < r->n_doses; k++) {
            bottle_add(&w, t->room, r->dose[k].product, share * r->dose[k].per_l * volume_l);
        }
        if (water_ec_ms_cm(&w) < ec_ms_cm) {
            lo = share;
        } else {
            hi = share;
        }
    }
    return w;
}

/* Another crop's days at this plant's size. */
static void follow_series(const struct truth *t, size_t i, const struct curve *prior)
{
    struct truth_plant *p = &t->plant[i];
    double theirs = 0;
    double own = 0;

    p->series = t->way.series + (i % t->way.n_series) * t->way.n_days;
    for (int day = 0; day < (int)t->way.series_days; day++) {
        theirs += p->series[day];
        own += prior->most_l_day / (1 + exp(-(day + 0.5 - prior->half_day) / prior->spread_day));
    }
    p->series_scale = own / theirs;
}

void truth_start(struct truth *t, size_t i, const struct water_body *solution)
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
        .nitrate = 1 + t->spread.nitrate * dice_normal(d),
        .water = *solution,
        .float_day = NAN,
        .weather = t->spread.own_weather * dice_normal(d),
    };
    t->plant[i].factor *= t->way.size;
    t->plant[i].curve.half_day *= t->way.pace;
    t->plant[i].curve.spread_day *= t->way.pace;
    if (t->way.series) {
        follow_series(t, i, prior);
    }
}

void truth_harvest(struct truth *t, size_t i)
{
    t->plant[i].growing = false;
    t->plant[i].clogged = t->plant[i].stuck = false;
}

void truth_change(struct truth *t, size_t i, const struct water_body *like)
{
    const struct container *c = &t->room->container[i];
    struct water_body *w = &t->plant[i].water;

    water_drain_to(w, c->remainder_l);
    water_pour_like(w, like, c->float_volume_l - w->volume_l);
}

double truth_rate_l_day(const struct truth *t, size_t i)
{
    const struct truth_plant *p = &t->plant[i];

    if (p->growing && p->series) {
        size_t day = (size_t)p->age_day;

        return p->factor * p->series_scale *
               p->series[day < t->way.n_days ? day : t->way.n_days - 1];
    }
    return p->growing ? p->factor * p->curve.most_l_day /
                            (1 + exp(-(p->age_day - p->curve.half_day) / p->curve.spread_day))
                      : 0;
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
    double want_l = t->room->container[i].float_volume_l - p->water.volume_l;
    double have_l = fmax(0, t->reservoir.volume_l - t->room->reservoir.remainder_l);
    double gets_l = fmin(want_l, have_l);

    if (isnan(p->float_day)) {
        p->float_day = p->age_day;
    }
    if (p->clogged || t->holds_mix || t->closed) {
        return;
    }
    if (gets_l < want_l) {
        t->dry_h += 1;
    }
    water_pour(&p->water, &t->reservoir, gets_l);
    t->drawn_l += gets_l;
}

/* Water comes all the time; what is over the start line runs off. */
static void flood(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    double gets_l =
        fmin(STUCK_L_H, fmax(0, t->reservoir.volume_l - t->room->reservoir.remainder_l));

    if (t->holds_mix || t->closed) {
        return;
    }
    water_pour(&p->water, &t->reservoir, gets_l);
    water_drain_to(&p->water, t->room->container[i].start_volume_l);
    t->leaked_l += gets_l;
}

/* What a plant would take with a litre. mmol/L of OD-TOM (medians), and the concentrations at
 * which it takes half as fast (Barber 1995, Soil Nutrient Bioavailability, orders of magnitude;
 * from memory). */
static void wants(const struct truth *t, size_t i, double out[WATER_ION_N])
{
    /* clang-format off */
    static const struct {
        double mmol_l, half_mmol_l;
    } takes[WATER_ION_N] = {
        [WATER_NO3] = {14.4, 0.10}, [WATER_NH4] = {1.5,  0.05}, [WATER_P]   = {2.2, 0.02},
        [WATER_K]   = {12.1, 0.05}, [WATER_CA]  = {4.4,  0.30}, [WATER_MG]  = {1.35, 0.15},
        [WATER_SO4] = {2.0,  0.10}, [WATER_CL]  = {3.2,  3.0 },
    };
    /* clang-format on */
    const struct truth_plant *p = &t->plant[i];
    double scale = truth_stage(t, i)->uptake_ms_cm * p->appetite / UPTAKE_MS_CM;
    double no_chloride;

    for (int k = 0; k < WATER_ION_N; k++) {
        double there = water_mmol_l(&p->water, (enum water_ion)k);

        out[k] = k == WATER_NA ? TAKES_OF_SODIUM * there
                               : takes[k].mmol_l * scale * there / (there + takes[k].half_mmol_l);
    }
    /* Nitrate stands in where there is little chloride. The crop of the ratios had 2.8 to 6 mmol/L
     * of it; without, its cations would outweigh its anions by far. */
    no_chloride = 1 - out[WATER_CL] / (takes[WATER_CL].mmol_l * scale);
    out[WATER_NO3] *= p->nitrate + no_chloride * takes[WATER_CL].mmol_l / takes[WATER_NO3].mmol_l;
}

/* Roots push no acid out into water that is sour already, below pH 4.5 or so (Marschner, Mineral
 * Nutrition of Higher Plants; from memory): there they take no more cations than anions. */
static void spare_sour_water(const struct water_body *w, double takes[WATER_ION_N])
{
    double anions = takes[WATER_NO3] + takes[WATER_P] + 2 * takes[WATER_SO4] + takes[WATER_CL];
    double cations = takes[WATER_NH4] + takes[WATER_K] + 2 * takes[WATER_CA] + 2 * takes[WATER_MG] +
                     takes[WATER_NA];
    double share = anions / cations;

    if (water_alkalinity_meq_l(w) > 0 || cations <= anions) {
        return;
    }
    takes[WATER_NH4] *= share;
    takes[WATER_K] *= share;
    takes[WATER_CA] *= share;
    takes[WATER_MG] *= share;
    takes[WATER_NA] *= share;
}

static void feed(struct truth *t, size_t i, double use_l)
{
    struct water_body *w = &t->plant[i].water;
    double takes[WATER_ION_N];

    wants(t, i, takes);
    spare_sour_water(w, takes);
    for (int k = 0; k < WATER_ION_N; k++) {
        w->mmol[k] = fmax(0, w->mmol[k] - takes[k] * use_l);
    }
}

static double heat_ln(const struct truth *t)
{
    int week = (int)(t->day / 7);

    return week == t->way.heat_week[0] || week == t->way.heat_week[1] ? t->way.heat_ln : 0;
}

double truth_temp_c(const struct truth *t)
{
    return MILD_C + WARMS_C * (t->weather + heat_ln(t));
}

/* What an accident takes along goes with all that is in it. */
static void lose(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];

    water_evaporate(&p->water, t->way.evaporates_l_day * HOUR_DAY);
    water_drain_to(&p->water, fmax(0.1, p->water.volume_l - p->leak_l_day * HOUR_DAY));
}

static void drink(struct truth *t, size_t i)
{
    struct truth_plant *p = &t->plant[i];
    double use_l =
        fmin(truth_rate_l_day(t, i) * HOUR_DAY * exp(t->weather + p->weather + heat_ln(t)),
             0.95 * p->water.volume_l);

    feed(t, i, use_l);
    p->water.volume_l -= use_l;
    p->age_day += HOUR_DAY;
    if (t->season) {
        water_evaporate(&p->water, t->season->evaporates_l_day * HOUR_DAY);
    }
    lose(t, i);
    if (p->stuck) {
        flood(t, i);
    }
    if (p->water.volume_l < t->room->container[i].float_volume_l) {
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

static void evaporate(struct truth *t)
{
    double gone_l = t->reservoir.volume_l * t->season->evaporates_frac_day * HOUR_DAY;

    water_evaporate(&t->reservoir, gone_l);
    t->drawn_l += gone_l;
}

static void breathe(struct truth *t)
{
    water_breathe(&t->reservoir, BREATHES_H, AIR_CO2_ATM, AIRED_DAY);
    for (size_t i = 0; i < t->room->n_containers; i++) {
        if (t->plant[i].growing) {
            water_breathe(&t->plant[i].water, BREATHES_H, ROOTS_CO2_ATM, AIRED_DAY);
        }
    }
}

void truth_hour(struct truth *t)
{
    double dry_h = t->dry_h;
    double leak_l = fmin(t->leak_l_day * HOUR_DAY, t->reservoir.volume_l);

    if (floor(t->day + HOUR_DAY) > floor(t->day) || t->day == 0) {
        new_day(t);
    }
    t->day += HOUR_DAY;
    for (size_t i = 0; i < t->room->n_containers; i++) {
        if (t->plant[i].growing) {
            drink(t, i);
        }
    }
    water_drain_to(&t->reservoir, t->reservoir.volume_l - leak_l);
    t->leaked_l += leak_l;
    t->dry_hours += t->dry_h > dry_h;
    if (t->season) {
        evaporate(t);
    }
    if (t->season && llround(24 * t->day) % BREATHES_H == 0) {
        breathe(t);
    }
}

double truth_read_level(struct truth *t, size_t i)
{
    double sd = 0.03 + 0.006 * t->room->container[i].start_volume_l;

    return fmax(0, t->plant[i].water.volume_l + sd * dice_normal(&t->dice));
}

double truth_read_reservoir(struct truth *t)
{
    double sd = 0.01 * t->room->reservoir.capacity_l;

    return fmin(fmax(0, t->reservoir.volume_l + sd * dice_normal(&t->dice)),
                t->room->reservoir.capacity_l);
}

/* Two lines met to a millimetre or so, in a tank of half a metre. */
double truth_jug_to(struct truth *t, double mark_l)
{
    double sd = 0.0025 * t->room->reservoir.capacity_l;

    return fmax(0, mark_l - t->reservoir.volume_l + sd * dice_normal(&t->dice));
}

double truth_read_ec(struct truth *t, double ec_ms_cm)
{
    return fmax(0, ec_ms_cm + (0.02 + 0.02 * ec_ms_cm) * dice_normal(&t->dice));
}
