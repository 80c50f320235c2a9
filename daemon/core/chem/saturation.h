/* saturation.h - what would fall out of a liquid: a bottle, a jug, a solution.
 *
 * Pure. By the product of the ions' activities (balance.h) over that of a saturated water. Sulfate:
 * gypsum, log Ksp -4.60: between -4.58 of phreeqc.dat and -4.61 of minteq.v4.dat (from memory),
 * with which the handbook's solubility comes out. Phosphate: CaHPO4 2H2O, -6.59 (Gregory, Moreno &
 * Brown 1970, from memory). Carbonate: calcite, -8.48 (Plummer & Busenberg 1982, from memory).
 * Silicate: silica gel, 1.95 mmol/L (log K -2.71, phreeqc.dat, from memory); with calcium in one
 * concentrate it always does (common practice, no source). Salts that share an ion: salt.h. */
#ifndef TARN_CORE_CHEM_SATURATION_H
#define TARN_CORE_CHEM_SATURATION_H

#include "daemon/core/chem/balance.h"

enum solid { SOLID_GYPSUM, SOLID_PHOSPHATE, SOLID_LIME, SOLID_SILICATE, SOLID_SALT, SOLID_COUNT };
extern const char *const solid_words[]; /* "gypsum", "phosphate", … ; NULL-terminated */

/* "calcium and sulfate, as gypsum" */
extern const char *const solid_says[];

#define SOLID_BIT(x) (1u << (x))

/* From this alkalinity on, phosphate and carbonate of calcium cloud where nutrients go in before
 * acid does (common practice, no source). */
#define SATURATION_ALKALINE_MEQ_L 1.0

/* The pH of a bottle that does not tell its own: of potassium dihydrogen phosphate in water (CRC
 * Handbook, from memory). */
#define SATURATION_BOTTLE_PH 4.5

/* log10 of ion activity product over solubility product of gypsum, phosphate or lime; above 0 it
 * falls out, -INFINITY where one of its ions is missing. */
double saturation_log(const struct dissolved *w, double ph, enum solid solid);

/* What falls out of a solution that holds these nutrients, mg/L, in a water (NULL: pure) of this
 * pH: SOLID_BITs. Phosphate and lime are slow to start, and are counted from twice their
 * saturation. */
unsigned saturation_of_solution(const struct nutrients *mg_l, const struct dissolved *water,
                                double ph);

/* What falls out of a bottle with these contents, mg/L, at its own pH. */
unsigned saturation_of_bottle(const struct nutrients *mg_l, double ph);

#endif
