/* acidity.h - how much acid or base takes a water from one pH to another.
 *
 * Pure. Moles of charge are balanced in a closed water: carbonate from its alkalinity and the
 * phosphate that the nutrients brought hold the pH, acid and base move it. Activity is left out, as
 * in the growers' leaflets; the dose is within 5 % of the exact one below 3 mS/cm. A water that
 * stands open gives off carbon dioxide, and its pH creeps up overnight.
 *
 * pK of carbonic acid by temperature: Harned & Davis 1943, Harned & Scholes 1941; of phosphoric
 * acid: CRC Handbook (2.148, 7.198, 12.35); of water: 14.00 at 25 C; of citric acid: CRC Handbook
 * (3.13, 4.76, 6.40). All from memory. An equivalent is 50.04 g of CaCO3. */
#ifndef TARN_CORE_CHEM_ACIDITY_H
#define TARN_CORE_CHEM_ACIDITY_H

#include "daemon/core/chem/nutrient.h"

#include <stdbool.h>

struct err;

#define ACIDITY_MG_PER_MEQ 50.04 /* of CaCO3 */

/* One list: the enum, the words of the room file and the formulas are made from it, and a row
 * without its densities in acidity.c does not compile. By hand, a row a line. */
/* clang-format off */
#define REAGENTS(ROW)                                            \
    /*   name        word                      formula    acid */ \
    ROW( NONE,       "none",                   "H2O"   , false ) \
    ROW( PHOSPHORIC, "phosphoric acid",        "H3PO4" , true  ) \
    ROW( NITRIC,     "nitric acid",            "HNO3"  , true  ) \
    ROW( SULFURIC,   "sulfuric acid",          "H2SO4" , true  ) \
    ROW( CITRIC,     "citric acid",            "C6H8O7", true  ) \
    ROW( KOH,        "potassium hydroxide",    "KOH"   , false ) \
    ROW( KHCO3,      "potassium bicarbonate",  "KHCO3" , false )
/* clang-format on */

enum reagent {
/* clang-format off */
#define AS_ENUM(name, word, formula, acid) REAGENT_##name,
    REAGENTS(AS_ENUM)
#undef AS_ENUM
    REAGENT_COUNT
    /* clang-format on */
};
extern const char *const reagent_words[]; /* "none", "phosphoric acid", …; NULL-terminated */

/* Does it lower the pH? */
bool reagent_is_acid(enum reagent r);

/* Density of a solution in water of `percent` by weight at 20 C, g/mL (CRC Handbook, from memory).
 * NaN where the table ends. */
double reagent_density_g_ml(enum reagent r, double percent);

/* Moles in a mL of a solution of `percent` by weight. */
double reagent_mol_ml(enum reagent r, double percent, double density_g_ml);

/* What a mole brings besides: N of nitric, P of phosphoric, S of sulfuric acid, K of the bases. */
struct nutrients reagent_nutrients_mg_mol(enum reagent r);

struct water {
    double carbonate_mmol_l; /* in all its forms; see carbonate_of_alkalinity */
    double phosphate_mmol_l; /* brought by nutrients */
    double temp_c;           /* 25 when nobody knows */
};

/* mmol/L of carbonate in a plain water of this alkalinity and pH; it stays when nutrients are
 * added, in a closed water. 0 where the pH alone makes the alkalinity. */
double carbonate_of_alkalinity(double alkalinity_meq_l, double ph, double temp_c);

/* pK of carbonic acid's first step at a temperature, 10 to 30 C. */
double carbonate_pk1(double temp_c);

/* The pH that a water of ph_from comes to when w->phosphate_mmol_l is stirred in as dihydrogen
 * phosphate, as nutrients bring it. What else moves the pH (ammonium, acid in a bottle) is not
 * known: within half a unit. */
double acidity_ph_with_phosphate(const struct water *w, double ph_from);

/* mmol of the reagent for each litre that take a water from one pH to another. An acid goes down
 * and a base up: 0 the other way. Fails with ERR_RANGE, and leaves *out alone, when the reagent
 * cannot get there: potassium bicarbonate above pH 8, citric acid below 3. */
int acidity_dose_mmol_l(const struct water *w, enum reagent r, double ph_from, double ph_to,
                        double *out, struct err *e);

#endif
