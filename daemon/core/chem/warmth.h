/* warmth.h - conductivity at the temperature of the day, and at 25 C.
 *
 * Pure. A solution conducts about 2 % more for each degree. A meter either shows the bare
 * conductivity, or brings it to its reference temperature by a rule of its own; what it shows is
 * brought to 25 C here. */
#ifndef TARN_CORE_CHEM_WARMTH_H
#define TARN_CORE_CHEM_WARMTH_H

#define WARMTH_REFERENCE_C 25.0

/* ISO 7888:1985 (EN 27888), table of the non-linear function of natural waters, 0 to 35 C: EC at
 * 25 C is the factor times the bare EC. Warmer than 35.9 C the standard gives none: NaN; below 0 C
 * likewise. */
double warmth_natural_factor(double temp_c);

/* EC at 25 C of a bare reading, by a straight line: EC / (1 + coefficient (T - 25)). The usual
 * coefficients are 0.019 to 0.02 a degree (Standard Methods 2510: 0.0191; from memory). */
double warmth_linear_25(double ec_bare, double temp_c, double per_degree);

enum warmth_rule {
    WARMTH_AT_25,   /* the meter shows EC at 25 C: taken as it is */
    WARMTH_LINEAR,  /* … at its reference temperature, by a straight line with its coefficient */
    WARMTH_NATURAL, /* … at its reference temperature, by the function of natural waters */
    WARMTH_BARE,    /* no compensation */
    WARMTH_RULE_N
};

struct warmth {
    enum warmth_rule rule;
    double per_degree;  /* of a straight line, 1/K */
    double reference_c; /* of a meter that compensates: 25, or 20 */
};

/* EC at 25 C of what a meter with this setting shows in water of temp_c, by the function of natural
 * waters between 0 and 35 C and a straight line of 1.9 % beyond. */
double warmth_ec_25(const struct warmth *meter, double shown, double temp_c);

#endif
