/* contents_read.h - what is in a product: its label, the salts it is made of, or the acid or
 * base that it is. */
#ifndef TARN_CONFIG_READ_CONTENTS_READ_H
#define TARN_CONFIG_READ_CONTENTS_READ_H

#include "config/read/building.h"
#include "config/read/sections.h"

/* Works out the contents of a product whose kind is known, from its map and what the table of
 * keys read of it: mg in a mL of a liquid, acid or base, in a g of a dry product. Notes what
 * cannot be, and the keys that say nothing of a product of this kind. */
void contents_read(struct building *b, const struct node *map, const struct labelled *label,
                   struct product *p);

#endif
