#include "daemon/core/model/solution.h"

#include <math.h>

/* The amount of salt, EC times litres, adds up; an empty body keeps a strength, so that nothing
 * divides by no litres. */
struct liquid solution_mix(struct liquid a, struct liquid b)
{
    double volume_l = a.volume_l + b.volume_l;

    if (!(volume_l > 0)) {
        return (struct liquid){0, a.ec_ms_cm};
    }
    return (struct liquid){volume_l,
                           (a.volume_l * a.ec_ms_cm + b.volume_l * b.ec_ms_cm) / volume_l};
}

double solution_dose(double ec_target, double ec_water, double ec_per_dose)
{
    return fmax(0, (ec_target - ec_water) / ec_per_dose);
}

/* Written so that equal waters, whose share would be 0 / 0, come out as NaN too. */
double solution_blend_share(double ec_target, double ec_a, double ec_b)
{
    double share = (ec_target - ec_b) / (ec_a - ec_b);

    return share >= 0 && share <= 1 ? share : NAN;
}

/* Water that is as strong as what is wanted never gets there, however much of it is poured. */
double solution_dilution_l(double ec_now, double ec_target, double ec_water, double volume_l)
{
    if (ec_now <= ec_target) {
        return 0;
    }
    return ec_water < ec_target ? volume_l * (ec_now - ec_target) / (ec_target - ec_water)
                                : INFINITY;
}

double solution_mix_for_rest(double ec_target, double v_l, double ec_rest, double rest_l)
{
    return fmax(0, (ec_target * v_l - ec_rest * rest_l) / (v_l - rest_l));
}

/* The plant takes water and salt, and what it takes of salt is its uptake times the water: what
 * stays is weaker or stronger as the uptake lies above or below. Down to nothing left the
 * strength has no meaning and stays. */
double solution_ec_drawn(struct liquid body, double use_l, double uptake_ms_cm)
{
    double left_l = body.volume_l - use_l;

    if (!(left_l > 0)) {
        return body.ec_ms_cm;
    }
    return fmax(0, (body.ec_ms_cm * body.volume_l - uptake_ms_cm * use_l) / left_l);
}

/* On float the volume stands: what is drunk is made up for at once, so the strength moves in a
 * straight line with the litres. */
double solution_ec_topped(struct liquid body, double use_l, double uptake_ms_cm,
                          double ec_top_ms_cm)
{
    if (!(body.volume_l > 0)) {
        return body.ec_ms_cm;
    }
    return fmax(0, body.ec_ms_cm + (ec_top_ms_cm - uptake_ms_cm) * use_l / body.volume_l);
}

double solution_use_until(struct liquid body, double ec_low, double uptake_ms_cm,
                          double ec_top_ms_cm)
{
    double falls = uptake_ms_cm - ec_top_ms_cm;

    if (body.ec_ms_cm <= ec_low) {
        return 0;
    }
    if (!(falls > 0) || ec_low < 0) {
        return INFINITY;
    }
    return (body.ec_ms_cm - ec_low) * body.volume_l / falls;
}

/* By steps, since roots bear a rise of strength less well than the strength itself (common
 * practice, no source); down at once. */
double solution_next_strength(double ec_target, double ec_last, double ec_step)
{
    return fmin(ec_target, ec_last + ec_step);
}
