/* quantity.h - a number with its unit: from text, and back.
 *
 * Pure. Inside the program a quantity is a double in the unit its name carries: litres, mS/cm at 25
 * C, degrees C, days. In the room file and on the command line it is a number with a unit ("5 gal",
 * "200 ppm500", "0.4 mS/cm", "1 mL/gal", "10 days", "72 °F"); a bare number where a unit is needed
 * is an error that says which units serve. Gallons are US unless "impgal".
 *
 * Exact factors: US gallon 3.785411784 L, imperial gallon 4.54609 L, US fluid ounce 29.5735295625
 * mL, ounce 28.349523125 g, pound 453.59237 g (NIST Handbook 44, Appendix C; NIST SP 811). The ppm
 * scales are conventions of display: ppm500 = 500 x EC in mS/cm, ppm640 and ppm700 likewise. */
#ifndef TARN_CORE_UNITS_QUANTITY_H
#define TARN_CORE_UNITS_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

struct err;

/* What is measured; each has one unit inside the program. */
enum quantity {
    QUANTITY_NUMBER,      /* no unit: a count, a ratio */
    QUANTITY_PH,          /* pH units; a unit is not written */
    QUANTITY_PERCENT,     /* percent: "85 %" */
    QUANTITY_VOLUME,      /* litres: L, mL, gal, impgal, qt, floz, m3 */
    QUANTITY_EC,          /* mS/cm at 25 C: mS/cm, dS/m, uS/cm, ppm500, ppm640, ppm700 */
    QUANTITY_TEMP,        /* degrees C: C, °C, F, °F */
    QUANTITY_SPAN,        /* days: days, hours, minutes, weeks (d, h, min, w) */
    QUANTITY_MINUTES,     /* minutes: min, h */
    QUANTITY_FLOW,        /* litres per minute: L/min, L/h, gal/min, gal/h, gal/day, L/day */
    QUANTITY_CONTENT,     /* mg/L of an element in a solution: mg/L, ppm, g/L */
    QUANTITY_ALKALINITY,  /* mg/L as CaCO3: mg/L, ppm, meq/L, mmol/L (1 meq/L = 50.04 mg/L) */
    QUANTITY_DOSE_LIQUID, /* mL of product per litre of water: mL/L, mL/gal, floz/gal, tsp/gal */
    QUANTITY_DOSE_DRY,    /* g of product per litre: g/L, mg/L, g/gal, oz/gal */
    QUANTITY_LIQUID,      /* mL of a liquid product: mL, L, floz, qt, gal, impgal */
    QUANTITY_DRY,         /* g of a dry product: g, kg, mg, oz, lb */
    QUANTITY_MILLIVOLT,   /* mV */
    QUANTITY_LENGTH,      /* metres: m, cm, mm, in, ft */
    QUANTITY_N
};

/* Reads "5 gal", "5gal", "200 ppm500", "6.2" (pH). Units ignore case, but for none two units of one
 * quantity differ in case only. Fails with ERR_SYNTAX: not a number, no unit where one is needed
 * (names the units that serve), a unit of another quantity (says so), an unknown unit (with the
 * nearest). Does not judge the size of the number beyond being finite. */
int quantity_parse(enum quantity q, const char *text, double *out, struct err *e);

/* The units that serve for q, for messages: "L, mL, gal, impgal, qt, floz or m3". Returns buf. */
#define QUANTITY_UNITS_MAX 96
char *quantity_units(char buf[QUANTITY_UNITS_MAX], enum quantity q);

/* How a room wants its figures shown. */
enum volume_unit { VOLUME_SHOW_L, VOLUME_SHOW_GAL };
enum ec_unit { EC_SHOW_MS_CM, EC_SHOW_PPM500, EC_SHOW_PPM640, EC_SHOW_PPM700 };
enum temp_unit { TEMP_SHOW_C, TEMP_SHOW_F };

struct units {
    enum volume_unit volume;
    enum ec_unit ec;
    enum temp_unit temp;
    bool both; /* sheets and mixes have the other system too, in brackets */
};

/* Writes a quantity for a person: value and unit, rounded to what a person can measure ("8.3 L",
 * "1.42 mS/cm", "710 ppm500", "21.5 °C", "45 mL"). What is not finite is written as "?". Returns
 * buf. */
#define QUANTITY_TEXT_MAX 32
char *quantity_format(char buf[QUANTITY_TEXT_MAX], enum quantity q, double value,
                      const struct units *units);

/* The same, and where units->both is set behind it in brackets what it is in the other system:
 * "38.0 L (10.04 gal)". Where both would be small change, and for what has one unit everywhere,
 * the bracket is left out. */
#define QUANTITY_BOTH_MAX (2 * QUANTITY_TEXT_MAX + 4)
char *quantity_format_both(char buf[QUANTITY_BOTH_MAX], enum quantity q, double value,
                           const struct units *units);

/* A figure of 0 or more, of which no more than two digits are known. */
double quantity_two_digits(double value);

/* The words for units in the room file and in answers ("L", "ppm500"), and back. NULL-terminated.
 */
extern const char *const quantity_volume_words[];
extern const char *const quantity_ec_words[];
extern const char *const quantity_temp_words[];

#endif
