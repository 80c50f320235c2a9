/* reagent.h - the acids and bases that a pH is set with: what is in a bottle of each.
 *
 * Pure. How much of one a water takes is balance.h's. An equivalent is 50.04 g of CaCO3. */
#ifndef TARN_CORE_CHEM_REAGENT_H
#define TARN_CORE_CHEM_REAGENT_H

#include "daemon/core/chem/nutrient.h"

#include <stdbool.h>

#define REAGENT_CACO3_MG_MEQ 50.04 /* of CaCO3 */

enum reagent {
    REAGENT_NONE,
    REAGENT_PHOSPHORIC,
    REAGENT_NITRIC,
    REAGENT_SULFURIC,
    REAGENT_CITRIC,
    REAGENT_KOH,
    REAGENT_KHCO3,
    REAGENT_COUNT
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
