/* solution.h - strengths: what pouring, drinking and topping up do to a body of water.
 *
 * Pure; owns nothing. The amount of nutrient in a body of water is EC times volume (dilute
 * solutions); mixing adds both. Strengths are mS/cm at 25 C. */
#ifndef TARN_CORE_MODEL_SOLUTION_H
#define TARN_CORE_MODEL_SOLUTION_H

struct liquid {
    double volume_l; /* >= 0 */
    double ec_ms_cm; /* >= 0 */
};

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

/* Strength after a plant drank use_l at an uptake concentration of uptake (mS/cm).
 * No top-up (drawdown): (C0 V0 - uptake W) / (V0 - W); constant volume topped with water of ec_top:
 * C0 + (ec_top - uptake) W / V. Neither falls below 0: a plant cannot take more than there is. A
 * body that is drawn dry, or has no volume, keeps its strength. Mass balance with constant uptake
 * concentration: Sonneveld & Voogt 2009; Langenfeld et al. 2022, Sustainability 14:10204. */
double solution_ec_drawn(struct liquid body, double use_l, double uptake_ms_cm);
double solution_ec_topped(struct liquid body, double use_l, double uptake_ms_cm,
                          double ec_top_ms_cm);

/* Litres of use after which a body of constant volume, topped with ec_top, has fallen to ec_low.
 * INFINITY when it never does. */
double solution_use_until(struct liquid body, double ec_low, double uptake_ms_cm,
                          double ec_top_ms_cm);

/* The next strength of a plant: min(target, last + step), or target when that is weaker than last.
 */
double solution_next_strength(double ec_target, double ec_last, double ec_step);

#endif
