/* reagent.h - the acids and bases that a pH is set with: what is in a bottle of each.
 *
 * Pure. How much of one a water takes is balance.h's. An equivalent is 50.04 g of CaCO3. */
#ifndef TARN_CORE_CHEM_REAGENT_H
#define TARN_CORE_CHEM_REAGENT_H

#include "daemon/core/chem/nutrient.h"

#include <stdbool.h>

#define REAGENT_CACO3_MG_MEQ 50.04 /* of CaCO3 */

/* One list: the enum, the words of the room file and the formulas are made from it, and
 * a row without its densities in reagent.c does not compile. By hand, a row a line. */
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

#endif
