/* hands_meters.c - what meters, rulers and eyes show of the truth, and how meters drift. */
#include "tests/season/hands.h"

#include <math.h>

#define EC_DRIFT_DAY  0.0004 /* a cell fouls … */
#define EC_DRIFT_SD   0.0015
#define PH_DRIFT_SD   0.012
#define EC_NOISE_FRAC 0.01
#define EC_NOISE      0.005
#define PH_NOISE      0.03
#define ODD_FRAC      0.10 /* of a level: seen without measuring */
#define DRAW_METERS   101  /* a purpose of dice, beside those of hands.c */

void hands_new_day(struct hands *h, size_t day)
{
    struct dice d = dice_of(h->seed, DRAW_METERS, 0, day);
    double made_l = h->room->source.rate_l_h * 24 * h->source_frac;

    h->day = day;
    h->ec_slope += EC_DRIFT_SD * dice_normal(&d) - EC_DRIFT_DAY;
    h->ph_offset += PH_DRIFT_SD * dice_normal(&d);
    h->source_l = fmin(h->room->source.stored_l, h->source_l + made_l);
}

double hands_ec(struct hands *h, const struct water_body *w)
{
    double ec_ms_cm = water_ec_ms_cm(w);
    double noise = (EC_NOISE + EC_NOISE_FRAC * ec_ms_cm) * dice_normal(&h->dice);

    return fmax(0, round(100 * (ec_ms_cm * h->ec_slope + noise)) / 100);
}

double hands_ph(struct hands *h, const struct water_body *w)
{
    return round(100 * (water_ph(w) + h->ph_offset + PH_NOISE * dice_normal(&h->dice))) / 100;
}

double hands_temp(const struct hands *h)
{
    return round(10 * truth_temp_c(h->t)) / 10;
}

double hands_level(struct hands *h, size_t i)
{
    double sd = 0.03 + 0.006 * h->room->container[i].start_volume_l;

    return fmin(fmax(0, h->t->plant[i].water.volume_l + sd * dice_normal(&h->dice)),
                h->room->container[i].start_volume_l);
}

double hands_tank(struct hands *h)
{
    double capacity_l = h->room->reservoir.capacity_l;
    double shown_l = h->t->reservoir.volume_l + 0.01 * capacity_l * dice_normal(&h->dice);

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

    return !isnan(p->float_day) && fabs(p->water.volume_l - line_l) > ODD_FRAC * line_l;
}

double hands_calibrate(struct hands *h, enum meter_kind kind)
{
    double slope_pct;

    ledger_work(h->l, h->day, WORK_CARE, h->room->labour.calibrate_min);
    if (kind == METER_EC) {
        slope_pct = 100 * h->ec_slope;
        h->ec_slope = 1 + 0.005 * dice_normal(&h->dice);
    } else {
        slope_pct = 98 + 0.5 * dice_normal(&h->dice);
        h->ph_offset = 0.015 * dice_normal(&h->dice);
    }
    return round(10 * slope_pct) / 10;
}
