/* solution.h - strengths: what pouring, drinking and topping up do to a body of water.
 *
 * Pure; owns nothing. The amount of nutrient in a body of water is EC times volume (dilute
 * solutions); mixing adds both. Strengths are mS/cm at 25 C. */
#ifndef TARN_CORE_MODEL_SOLUTION_H
#define TARN_CORE_MODEL_SOLUTION_H

struct liquid {
    double volume_l;    /* >= 0 */
    double ec_ms_cm;    /* >= 0; what a meter shows … */
    double water_ms_cm; /* … of it, what came with the source's water: 0 to ec_ms_cm */
};

/* The rest of its strength, which is what a plant can live on. */
double solution_food_ms_cm(struct liquid body);

/* A strength that was measured: the water's part stays as it was, as far as that can be. */
void solution_shows(struct liquid *body, double ec_ms_cm);

/* What is there after pouring b into a. */
struct liquid solution_mix(struct liquid a, struct liquid b);

/* Dose units (mL/L or g/L per dose 1) that take water of ec_water to ec_target, given that dose 1
 * raises the EC by ec_per_dose > 0: (target - water) / ec_per_dose, and 0 where the water is
 * stronger. */
double solution_dose(double ec_target, double ec_water, double ec_per_dose);

/* Share of water a, the rest being water b, that blends to ec_target; NaN when that lies outside of
 * the two, or they are the same. */
double solution_blend_share(double ec_target, double ec_a, double ec_b);

/* Litres of water of ec_water to add to volume_l of ec_now > ec_target so that it reads ec_target;
 * 0 when it is not too strong, INFINITY when that water cannot weaken it so far. */
double solution_dilution_l(double ec_now, double ec_target, double ec_water, double volume_l);

/* Strength to mix so that a container of volume v_l holds ec_target although rest_l of ec_rest
 * stayed in it: (target * V - rest_ec * rest) / (V - rest). Needs 0 <= rest_l < v_l; never below 0.
 */
double solution_mix_for_rest(double ec_target, double v_l, double ec_rest, double rest_l);

/* What is left after a plant drank use_l at an uptake concentration of uptake (mS/cm): not topped
 * up (drawdown), or topped up as it drinks with water like *top. Of what the source brought it
 * takes a share, mostly calcium and magnesium, and of food the rest of its uptake; of food that is
 * scarce it takes less (uptake.h), so nothing falls below 0. With plenty of it the strength goes
 * (C0 V0 - uptake W) / (V0 - W), or C0 + (top - uptake) W / V. A body that is drawn dry, or has no
 * volume, keeps its strength. Mass balance with constant uptake concentration: Sonneveld & Voogt
 * 2009; Langenfeld et al. 2022, Sustainability 14:10204. */
struct liquid solution_drawn(struct liquid body, double use_l, double uptake_ms_cm);
struct liquid solution_topped(struct liquid body, double use_l, double uptake_ms_cm,
                              struct liquid top);

/* Litres of use after which the food in a body of constant volume, topped with water like *top, has
 * fallen to food_low; 0 where it is no more than that already, INFINITY where it stays above for
 * SOLUTION_TOPPED_MOST volumes. */
#define SOLUTION_TOPPED_MOST 1000
double solution_use_until(struct liquid body, double food_low, double uptake_ms_cm,
                          struct liquid top);

/* The next strength of a plant: min(target, last + step), or target when that is weaker than last.
 */
double solution_next_strength(double ec_target, double ec_last, double ec_step);

#endif
