/* salt.h - salts that nutrients are made of: how much dissolves, and what does not go together.
 *
 * Pure. A label that no salt can keep, or a bottle whose contents would lie at its bottom, is told
 * when the room file is read. */
#ifndef TARN_CORE_CHEM_SALT_H
#define TARN_CORE_CHEM_SALT_H

#include "daemon/core/chem/formula.h"
#include "daemon/core/chem/nutrient.h"

#include <stdbool.h>

/* Grams of the salt, as it is written with its water, that a litre of cold water (20 C) takes up.
 * CRC Handbook, "Aqueous solubility of inorganic compounds" (from memory). NaN: not in the
 * table. */
double salt_dissolves_g_l(const struct formula *f);

/* Calcium, and sulfate or phosphate, in one concentrate fall out as gypsum or calcium phosphate
 * (University of California, Agriculture and Natural Resources, on clogging by injected chemicals:
 * never combine them). Below half a gram a litre of either it is no concentrate. Returns what falls
 * out, "gypsum" or "calcium phosphate"; NULL when it may stand. Contents are mg in a mL. */
const char *salt_falls_out(const struct nutrients *mg_ml);

#endif
