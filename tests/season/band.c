#include "tests/season/band.h"

#include <math.h>

struct band band_ec(const struct truth *t, size_t i)
{
    const struct truth_plant *p = &t->plant[i];
    const struct crop *crop = &t->room->crop[t->room->container[i].crop];
    const struct stage *stage = truth_stage(t, i);
    double on_float_day = isnan(p->float_day) ? 0 : p->age_day - p->float_day;
    double rungs = floor(on_float_day / stage->life_min_day);
    double water = t->room->source.ec_ms_cm;
    double asked = fmin(stage->ec_ms_cm, crop->start_ec_ms_cm + rungs * crop->step_ec_ms_cm);

    if (rungs < 1) {
        return (struct band){
            water + stage->spent_frac * crop->start_ec_ms_cm,
            water + fmax(stage->ec_ms_cm, crop->start_ec_ms_cm) + crop->step_ec_ms_cm, true};
    }
    return (struct band){water + stage->spent_frac * asked, water + BAND_OVER * stage->ec_ms_cm,
                         false};
}

bool band_ph_in(const struct truth *t, size_t i, double ph)
{
    const struct stage *stage = truth_stage(t, i);

    return ph >= stage->ph_min && ph <= stage->ph_max;
}
