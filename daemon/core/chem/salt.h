/* salt.h - salts that nutrients are made of: how much dissolves, and what does not go together.
 *
 * Pure. A label that no salt can keep, or a bottle whose contents would lie at its bottom, is told
 * when the room file is read. */
#ifndef TARN_CORE_CHEM_SALT_H
#define TARN_CORE_CHEM_SALT_H

#include "daemon/core/chem/formula.h"
#include "daemon/core/chem/ions.h"

/* Grams of the salt, as it is written with its water, that a litre of cold water (20 C) takes up.
 * CRC Handbook, "Aqueous solubility of inorganic compounds" (from memory). NaN: not in the
 * table. */
double salt_dissolves_g_l(const struct formula *f);

/* The first salt of which the ions of a solution hold twice what a saturated solution of it does:
 * by the product of those that float by themselves. Salts that share potassium drive each other
 * out. NULL: none. A rule of thumb: nobody can reckon activities in a concentrate so simply. */
const char *salt_over(const struct ions *i);

#endif
