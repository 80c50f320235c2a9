/* solubility.h - warns of what would fall out of a bottle, or of a solution that a recipe makes.
 *
 * Inside config/read only. By the ions that labels tell (daemon/core/chem/saturation.h): a rule
 * that may be wrong of a bottle on the shelf, so nothing is refused, and `accepted` silences it. */
#ifndef TARN_CONFIG_READ_SOLUBILITY_H
#define TARN_CONFIG_READ_SOLUBILITY_H

#include "config/read/building.h"

/* The key `accepted` of a product or recipe: SOLID_BITs. An unknown word is a fault. */
unsigned solubility_read_accepted(struct building *b, const struct node *map);

/* Notes a warning for each product and recipe of the room in the making. */
void solubility_check(struct building *b);

#endif
