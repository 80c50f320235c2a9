#include "tests/season/hands.h"

#include "daemon/base/mem.h"
#include "daemon/core/room/portion.h"

#include <math.h>
#include <stdlib.h>

#define GAIN_SD       0.05   /* ln: a label and its products */
#define EC_DRIFT_DAY  0.0004 /* a cell fouls … */
#define EC_DRIFT_SD   0.0015
#define PH_DRIFT_SD   0.012
#define EC_NOISE_FRAC 0.01
#define EC_NOISE      0.005
#define PH_NOISE      0.03
#define SET_PH_SD     0.08
#define STIR_SD       0.005
#define FILM_L        0.15 /* of a mix, after a rinse */
#define CANS_L        100.0
#define PART_DAY_H    2.0  /* of making water while the reservoir is filled */
#define ODD_FRAC      0.10 /* of a level: seen without measuring */
#define PH_ML_L       0.06 /* of acid or base, for a unit in a litre */
#define ABOVE_FRAC    0.005
#define JUG_FRAC      1.2 /* a jug has room for a correction */

enum { DRAW_GAIN = 100, DRAW_METERS, DRAW_HANDS }; /* purposes of dice, apart from the truth's */

void hands_init(struct hands *h, const struct room *room, struct truth *t, struct ledger *l,
                uint64_t seed)
{
    *h = (struct hands){.room = room,
                        .t = t,
                        .l = l,
                        .seed = seed,
                        .dice = dice_of(seed, DRAW_HANDS, 0, 0),
                        .ec_slope = 1,
                        .gain = mem_array(room->n_recipes, sizeof *h->gain),
                        .stock = mem_array(room->n_products, sizeof *h->stock),
                        .source_l = room->source.stored_l,
                        .source_frac = 1};
    for (size_t i = 0; i < room->n_recipes; i++) {
        struct dice d = dice_of(seed, DRAW_GAIN, i, 0);

        h->gain[i] = room->recipe[i].ec_gain_ms_cm * exp(GAIN_SD * dice_normal(&d));
    }
    for (size_t i = 0; i < room->n_products; i++) {
        h->stock[i] = room->product[i].stock;
    }
}

void hands_deinit(struct hands *h)
{
    free(h->gain);
    free(h->stock);
    *h = (struct hands){0};
}

void hands_new_day(struct hands *h, size_t day)
{
    struct dice d = dice_of(h->seed, DRAW_METERS, 0, day);
    double made_l = h->room->source.rate_l_h * 24 * h->source_frac;

    h->day = day;
    h->ec_slope += EC_DRIFT_SD * dice_normal(&d) - EC_DRIFT_DAY;
    h->ph_offset += PH_DRIFT_SD * dice_normal(&d);
    h->source_l = fmin(h->room->source.stored_l, h->source_l + made_l);
}

static void work(struct hands *h, enum work what, double minutes)
{
    ledger_work(h->l, h->day, what, minutes);
}

/* ---- reading */

double hands_ec(struct hands *h, double ec_ms_cm)
{
    double noise = (EC_NOISE + EC_NOISE_FRAC * ec_ms_cm) * dice_normal(&h->dice);

    return fmax(0, round(100 * (ec_ms_cm * h->ec_slope + noise)) / 100);
}

double hands_ph(struct hands *h, double ph)
{
    return round(100 * (ph + h->ph_offset + PH_NOISE * dice_normal(&h->dice))) / 100;
}

double hands_level(struct hands *h, size_t i)
{
    double sd = 0.03 + 0.006 * h->room->container[i].start_volume_l;

    return fmin(fmax(0, h->t->plant[i].volume_l + sd * dice_normal(&h->dice)),
                h->room->container[i].start_volume_l);
}

double hands_tank(struct hands *h)
{
    double capacity_l = h->room->reservoir.capacity_l;
    double shown_l = h->t->reservoir_l + 0.01 * capacity_l * dice_normal(&h->dice);

    return fmin(fmax(0, shown_l), capacity_l);
}

bool hands_float_works(const struct hands *h, size_t i)
{
    const struct truth_plant *p = &h->t->plant[i];

    return !isnan(p->float_day) && !p->clogged;
}

bool hands_level_is_odd(const struct hands *h, size_t i)
{
    const struct truth_plant *p = &h->t->plant[i];
    double line_l = h->room->container[i].float_volume_l;

    return !isnan(p->float_day) && fabs(p->volume_l - line_l) > ODD_FRAC * line_l;
}

/* ---- doses */

struct doses hands_by_label(const struct hands *h, size_t recipe, double volume_l,
                            double gain_ms_cm)
{
    const struct recipe *r = &h->room->recipe[recipe];
    double share = fmax(0, gain_ms_cm) / r->ec_gain_ms_cm;
    struct doses d = {{0}};

    for (size_t k = 0; k < r->n_doses; k++) {
        bool dry = h->room->product[r->dose[k].product].kind == PRODUCT_DRY;

        d.amount[k] =
            portion_of(&h->room->measures, dry, volume_l * share * r->dose[k].per_l).product;
    }
    return d;
}

bool hands_have(const struct hands *h, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &h->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        if (h->stock[r->dose[k].product] < d->amount[k]) {
            return false;
        }
    }
    return true;
}

/* What doses add to the strength of volume_l. */
static double stir_in(struct hands *h, size_t recipe, double volume_l, const struct doses *d)
{
    const struct recipe *r = &h->room->recipe[recipe];
    double share = 0;

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;

        h->stock[product] = fmax(0, h->stock[product] - d->amount[k]);
        h->l->used[product] += d->amount[k];
        h->stirred.amount[k] += d->amount[k];
        share += d->amount[k] / (r->dose[k].per_l * volume_l) / (double)r->n_doses;
    }
    return h->gain[recipe] * share * exp(STIR_SD * dice_normal(&h->dice));
}

/* The same, into a solution that is new. */
static double stir_anew(struct hands *h, size_t recipe, double volume_l, const struct doses *d)
{
    h->stirred = (struct doses){{0}};
    return stir_in(h, recipe, volume_l, d);
}

/* A solution in the making: what it truly is, and how much the vessel takes. */
struct stirring {
    size_t recipe;
    double ec_ms_cm, volume_l, fits_l;
};

/* Measures a solution and corrects it once: concentrate where it is too weak, water where it is too
 * strong and the vessel takes it. Gives what it shows then. */
static double correct(struct hands *h, struct stirring *m, double wanted_ms_cm)
{
    double serves = h->room->tolerance_pct / 200;
    double shows = hands_ec(h, m->ec_ms_cm);
    double water = h->room->source.ec_ms_cm;

    if (shows < wanted_ms_cm * (1 - serves)) {
        struct doses more = hands_by_label(h, m->recipe, m->volume_l, wanted_ms_cm - shows);

        if (hands_have(h, m->recipe, &more)) {
            m->ec_ms_cm += stir_in(h, m->recipe, m->volume_l, &more);
        }
        shows = hands_ec(h, m->ec_ms_cm);
    } else if (shows > wanted_ms_cm * (1 + serves) && wanted_ms_cm > water) {
        double want_l = m->volume_l * (shows - wanted_ms_cm) / (wanted_ms_cm - water);
        double add_l = fmax(0, fmin(m->fits_l - m->volume_l, want_l));

        m->ec_ms_cm = (m->ec_ms_cm * m->volume_l + water * add_l) / (m->volume_l + add_l);
        m->volume_l += add_l;
        h->l->water_l += add_l;
        shows = hands_ec(h, m->ec_ms_cm);
    }
    return shows;
}

static double about_ph(struct hands *h, double wanted)
{
    return wanted - h->ph_offset + SET_PH_SD * dice_normal(&h->dice);
}

/* ---- the reservoir */

static double source_has_l(const struct hands *h)
{
    return h->source_l + PART_DAY_H * h->room->source.rate_l_h * h->source_frac;
}

double hands_water_l(const struct hands *h)
{
    return source_has_l(h) + h->cans_l + (h->t->holds_mix ? 0 : h->t->reservoir_l);
}

/* Lets plain water in, as far as there is any: from the cans first. */
static double let_in(struct hands *h, double want_l)
{
    struct truth *t = h->t;
    double again_l = fmin(want_l, h->cans_l);
    double fresh_l = fmax(0, fmin(want_l - again_l, source_has_l(h)));
    double gets_l = again_l + fresh_l;
    double after_l = t->reservoir_l + gets_l;

    if (after_l > 0) {
        t->reservoir_ec =
            (t->reservoir_l * t->reservoir_ec + gets_l * t->source_ec + h->film) / after_l;
        t->reservoir_ph =
            (t->reservoir_l * t->reservoir_ph + gets_l * h->room->source.ph) / after_l;
        h->film = 0;
    }
    t->reservoir_l = after_l;
    h->cans_l -= again_l;
    h->source_l = fmax(0, h->source_l - fresh_l);
    h->l->water_l += fresh_l;
    return gets_l;
}

/* What the reservoir holds too much of makes way: plain water into cans, as far as
 * there are any. */
static void draw_off(struct hands *h, double volume_l)
{
    struct truth *t = h->t;
    double kept_l = t->holds_mix ? 0 : fmin(volume_l, CANS_L - h->cans_l);

    h->cans_l += kept_l;
    h->l->plain_l += t->holds_mix ? 0 : volume_l - kept_l;
    h->l->rest_l += t->holds_mix ? volume_l : 0;
    t->reservoir_l -= volume_l;
}

double hands_bring(struct hands *h, double volume_l, double *out_l)
{
    struct truth *t = h->t;

    if (!h->open) {
        h->open = true;
        h->l->changeovers++;
        h->l->changeover_days += !h->l->opened[h->day];
        h->l->opened[h->day] = true;
        work(h, WORK_CHANGEOVER, h->room->labour.changeover_min);
    }
    if (t->reservoir_l > volume_l) {
        draw_off(h, t->reservoir_l - volume_l);
    } else {
        (void)let_in(h, volume_l - t->reservoir_l);
    }
    *out_l = t->reservoir_l;
    return hands_ec(h, t->reservoir_ec);
}

struct shown hands_mix(struct hands *h, size_t recipe, double ec_ms_cm, double ph,
                       const struct doses *d)
{
    struct truth *t = h->t;
    double was_mix_l = t->holds_mix ? t->reservoir_l : 0;
    struct stirring m = {recipe, t->reservoir_ec, t->reservoir_l, h->room->reservoir.capacity_l};
    struct shown shown;

    work(h, WORK_CHANGEOVER, h->room->labour.load_min);
    h->l->mixes++;
    m.ec_ms_cm += stir_anew(h, recipe, m.volume_l, d);
    shown.ec_ms_cm = correct(h, &m, ec_ms_cm);
    t->reservoir_ec = m.ec_ms_cm;
    t->reservoir_l = shown.volume_l = m.volume_l;
    t->reservoir_ph = about_ph(h, ph);
    shown.ph = hands_ph(h, t->reservoir_ph);
    t->holds_mix = true;
    h->l->mixed_l += m.volume_l - was_mix_l;
    return shown;
}

static void note_level(struct hands *h, size_t i)
{
    const struct truth_plant *p = &h->t->plant[i];
    double line_l = h->room->container[i].float_volume_l;

    h->l->above += p->float_day <= p->age_day && p->volume_l > line_l * (1 + ABOVE_FRAC);
}

/* Gives what stays. */
static double drain(struct hands *h, size_t i)
{
    struct truth_plant *p = &h->t->plant[i];
    double rest_l = fmin(p->volume_l, h->room->container[i].remainder_l);

    h->l->drained_l += p->volume_l - rest_l;
    p->volume_l = rest_l;
    return rest_l;
}

static void pour(struct hands *h, size_t i, double volume_l, double ec_ms_cm, double ph)
{
    struct truth_plant *p = &h->t->plant[i];
    double after_l = p->volume_l + volume_l;

    p->ec_ms_cm = (p->volume_l * p->ec_ms_cm + volume_l * ec_ms_cm) / after_l;
    p->ph = (p->volume_l * p->ph + volume_l * ph) / after_l;
    p->volume_l = after_l;
    if (isnan(p->float_day)) {
        p->float_day = p->age_day;
    }
    h->l->changes++;
    work(h, WORK_CHANGE, h->room->labour.change_min);
    note_level(h, i);
}

void hands_change(struct hands *h, size_t i)
{
    struct truth *t = h->t;
    const struct container *c = &h->room->container[i];
    double rest_l = drain(h, i);
    double to_l = t->plant[i].stuck ? c->start_volume_l : c->float_volume_l;
    double has_l = fmax(0, t->reservoir_l - h->room->reservoir.remainder_l);
    double poured_l = fmin(to_l - rest_l, has_l);

    pour(h, i, poured_l, t->reservoir_ec, t->reservoir_ph);
    t->reservoir_l -= poured_l;
}

struct shown hands_pour(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, double ph,
                        const struct doses *d)
{
    const struct container *c = &h->room->container[i];
    double volume_l = c->float_volume_l - c->remainder_l;
    double set_ph = about_ph(h, ph);
    struct stirring m = {recipe, h->t->source_ec, volume_l, JUG_FRAC * volume_l};
    struct shown shown = {.ph = hands_ph(h, set_ph), .volume_l = volume_l};

    m.ec_ms_cm += stir_anew(h, recipe, volume_l, d);
    shown.ec_ms_cm = correct(h, &m, ec_ms_cm);
    h->l->jugs++;
    h->l->mixed_l += m.volume_l;
    h->l->water_l += volume_l;
    h->l->rest_l += m.volume_l - volume_l;
    work(h, WORK_CHANGE, h->room->labour.pour_min);
    (void)drain(h, i);
    pour(h, i, volume_l, m.ec_ms_cm, set_ph);
    return shown;
}

void hands_rinse(struct hands *h)
{
    if (h->t->holds_mix) {
        h->film = FILM_L * h->t->reservoir_ec;
    }
    draw_off(h, h->t->reservoir_l);
    h->t->holds_mix = false;
}

double hands_fill(struct hands *h)
{
    double gets_l = let_in(h, h->room->reservoir.capacity_l - h->t->reservoir_l);

    h->open = false;
    h->t->reservoir_ph = about_ph(h, h->room->reservoir.ph_target);
    return gets_l;
}

/* ---- containers */

struct shown hands_start(struct hands *h, size_t i, double ec_ms_cm, double ph,
                         const struct doses *d)
{
    const struct container *c = &h->room->container[i];
    size_t recipe = h->room->crop[c->crop].stage[0].recipe_at;
    struct stirring m = {recipe, h->t->source_ec, c->start_volume_l, c->start_volume_l};
    struct shown shown = {.volume_l = m.volume_l};

    m.ec_ms_cm += stir_anew(h, recipe, m.volume_l, d);
    shown.ec_ms_cm = correct(h, &m, ec_ms_cm);
    truth_start(h->t, i, m.ec_ms_cm);
    h->t->plant[i].ph = about_ph(h, ph);
    shown.ph = hands_ph(h, h->t->plant[i].ph);
    h->l->mixed_l += m.volume_l;
    h->l->water_l += m.volume_l;
    work(h, WORK_OTHER, h->room->labour.start_min);
    return shown;
}

double hands_bump(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, const struct doses *d)
{
    struct truth_plant *p = &h->t->plant[i];
    struct stirring m = {recipe, p->ec_ms_cm, p->volume_l, p->volume_l};
    double shows;

    m.ec_ms_cm += stir_anew(h, recipe, p->volume_l, d);
    shows = correct(h, &m, ec_ms_cm);
    p->ec_ms_cm = m.ec_ms_cm;
    h->l->bumps++;
    work(h, WORK_BUMP, h->room->labour.bump_min);
    note_level(h, i);
    return shows;
}

double hands_set_ph(struct hands *h, size_t i, double ph, double *out_shown)
{
    struct truth *t = h->t;
    double *at = i == SIZE_MAX ? &t->reservoir_ph : &t->plant[i].ph;
    double volume_l = i == SIZE_MAX ? t->reservoir_l : t->plant[i].volume_l;
    double was = *at;

    *at = about_ph(h, ph);
    *out_shown = hands_ph(h, *at);
    work(h, WORK_PH, h->room->labour.ph_min);
    return PH_ML_L * volume_l * fabs(*at - was);
}

void hands_harvest(struct hands *h, size_t i)
{
    h->l->drained_l += h->t->plant[i].volume_l;
    truth_harvest(h->t, i);
    work(h, WORK_OTHER, h->room->labour.harvest_min);
}

/* ---- the rest */

double hands_calibrate(struct hands *h, enum meter_kind kind)
{
    double slope_pct;

    work(h, WORK_CARE, h->room->labour.calibrate_min);
    if (kind == METER_EC) {
        slope_pct = 100 * h->ec_slope;
        h->ec_slope = 1 + 0.005 * dice_normal(&h->dice);
    } else {
        slope_pct = 98 + 0.5 * dice_normal(&h->dice);
        h->ph_offset = 0.015 * dice_normal(&h->dice);
    }
    return round(10 * slope_pct) / 10;
}

void hands_receive(struct hands *h, size_t product, double amount)
{
    h->stock[product] += amount;
}
