/* warmth.h - conductivity at the temperature of the day, and at 25 C.
 *
 * Pure. A solution conducts about 2 % more for each degree. A meter either shows the bare
 * conductivity, or brings it to its reference temperature by a rule of its own; what it shows is
 * brought to 25 C here. */
#ifndef TARN_CORE_CHEM_WARMTH_H
#define TARN_CORE_CHEM_WARMTH_H

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

/* EC at 25 C of what a meter with this setting shows in water of temp_c, in the unit of `shown`. By
 * the function of natural waters of ISO 7888:1985 (EN 27888) between 0 and 35 C, where its table
 * ends, and by a straight line of 1.91 % a degree beyond (Standard Methods 2510, from memory). */
double warmth_ec_25(const struct warmth *meter, double shown, double temp_c);

#endif
