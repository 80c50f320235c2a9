/* curve.h - how much a plant drinks: the logistic water-use curve and its closed forms.
 *
 * Pure. On day a after its start a plant uses w(a) = theta * U / (1 + exp(-(a - a50) / s)) litres a
 * day. Cumulative use: theta * U * s * [ln(1 + e^((a1-a50)/s)) - ln(1 + e^((a0-a50)/s))], and its
 * inverse in closed form. The logistic growth curve: Verhulst 1838; fitted to plants as in R's
 * `Orange` data (Draper & Smith 1981). Evaluated so that nothing overflows for any finite argument:
 * a result too large for a double is the largest one. */
#ifndef TARN_CORE_MODEL_CURVE_H
#define TARN_CORE_MODEL_CURVE_H

struct curve {
    double most_l_day; /* U > 0, litres a day of a full-grown plant */
    double half_day;   /* a50, days after start at which half of it is reached */
    double spread_day; /* s > 0, days */
};

/* Litres a day at age_day; theta > 0. */
double curve_rate_l_day(const struct curve *c, double theta, double age_day);

/* Litres from age a0 to a1; 0 when a1 <= a0. */
double curve_use_l(const struct curve *c, double theta, double a0_day, double a1_day);

/* The age at which `litres` (>= 0) have been used since age a0. Finite for every finite argument.
 */
double curve_age_day(const struct curve *c, double theta, double a0_day, double litres);

#endif
