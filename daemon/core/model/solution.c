#include "daemon/core/model/solution.h"

#include "daemon/core/model/uptake.h"

#include <math.h>

/* Of what the source brought, the share of its concentration that a plant takes with a litre.
 * Calcium and magnesium carry about half of a supply's charge and of them it takes about half, of
 * sodium a seventh (shared reference OD-TOM: 0.07 of 0.3 to 0.5 mmol/L). Our own estimate. */
#define TAKES_OF_WATER 0.25

/* However much of its uptake the water's salts might meet, so much of it is food at the least. */
#define FOOD_LEAST_FRAC 0.25

/* Food below this is scarce: nitrate or potassium is near its end, whatever else is there. Our own
 * estimate, a fifth of the weakest solution that the crops start with. */
#define SCARCE_MS_CM 0.15

#define HALVINGS 50

double solution_food_ms_cm(struct liquid body)
{
    return fmax(0, body.ec_ms_cm - body.water_ms_cm);
}

void solution_shows(struct liquid *body, double ec_ms_cm)
{
    body->ec_ms_cm = ec_ms_cm;
    body->water_ms_cm = fmin(body->water_ms_cm, ec_ms_cm);
}

/* The amount of salt, EC times litres, adds up; an empty body keeps a strength, so that nothing
 * divides by no litres. */
struct liquid solution_mix(struct liquid a, struct liquid b)
{
    double volume_l = a.volume_l + b.volume_l;

    if (!(volume_l > 0)) {
        return (struct liquid){0, a.ec_ms_cm, a.water_ms_cm};
    }
    return (struct liquid){volume_l, (a.volume_l * a.ec_ms_cm + b.volume_l * b.ec_ms_cm) / volume_l,
                           (a.volume_l * a.water_ms_cm + b.volume_l * b.water_ms_cm) / volume_l};
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

/* What of its uptake a plant takes of food, where the water's salts meet the rest: mS/cm with each
 * litre, by what went of them in use_volumes. */
static struct uptake of_food(double uptake_ms_cm, double water_went_ms_cm, double use_volumes)
{
    double food = uptake_ms_cm - water_went_ms_cm / use_volumes;

    return (struct uptake){fmax(food, FOOD_LEAST_FRAC * uptake_ms_cm), SCARCE_MS_CM};
}

/* The plant takes water and salt, and what it takes of salt is its uptake times the water: what
 * stays is weaker or stronger as the uptake lies above or below. Down to nothing left the
 * strength has no meaning and stays. */
struct liquid solution_drawn(struct liquid body, double use_l, double uptake_ms_cm)
{
    double left_frac = (body.volume_l - use_l) / body.volume_l;
    double water;
    double food;

    if (!(left_frac > 0) || !(use_l > 0)) {
        return (struct liquid){fmax(0, body.volume_l - use_l), body.ec_ms_cm, body.water_ms_cm};
    }
    water = uptake_share_drawn(body.water_ms_cm, left_frac, TAKES_OF_WATER);
    food = uptake_drawn(solution_food_ms_cm(body), left_frac,
                        of_food(uptake_ms_cm, body.water_ms_cm - water * left_frac, 1 - left_frac));
    return (struct liquid){body.volume_l - use_l, food + water, water};
}

/* On float the volume stands: what is drunk is made up for at once, so the strength moves in a
 * straight line with the litres. */
struct liquid solution_topped(struct liquid body, double use_l, double uptake_ms_cm,
                              struct liquid top)
{
    double volumes = use_l / body.volume_l;
    double water;
    double food;

    if (!(body.volume_l > 0) || !(use_l > 0)) {
        return body;
    }
    water = uptake_share_topped(body.water_ms_cm, volumes, TAKES_OF_WATER, top.water_ms_cm);
    food = uptake_topped(
        solution_food_ms_cm(body), volumes,
        of_food(uptake_ms_cm, body.water_ms_cm + top.water_ms_cm * volumes - water, volumes),
        solution_food_ms_cm(top));
    return (struct liquid){body.volume_l, food + water, water};
}

/* By halves: what goes of the water's salts has no inverse in closed form. */
double solution_use_until(struct liquid body, double food_low, double uptake_ms_cm,
                          struct liquid top)
{
    double few_l = 0;
    double many_l = body.volume_l;

    if (solution_food_ms_cm(body) <= food_low) {
        return 0;
    }
    while (solution_food_ms_cm(solution_topped(body, many_l, uptake_ms_cm, top)) > food_low) {
        few_l = many_l;
        many_l *= 2;
        if (!(many_l < SOLUTION_TOPPED_MOST * body.volume_l)) {
            return INFINITY;
        }
    }
    for (int i = 0; i < HALVINGS; i++) {
        double l = (few_l + many_l) / 2;

        if (solution_food_ms_cm(solution_topped(body, l, uptake_ms_cm, top)) > food_low) {
            few_l = l;
        } else {
            many_l = l;
        }
    }
    return many_l;
}

/* By steps, since roots bear a rise of strength less well than the strength itself (common
 * practice, no source); down at once. */
double solution_next_strength(double ec_target, double ec_last, double ec_step)
{
    return fmin(ec_target, ec_last + ec_step);
}
