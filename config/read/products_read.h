/* products_read.h - products, and the recipes that are made of them. */
#ifndef TARN_CONFIG_READ_PRODUCTS_READ_H
#define TARN_CONFIG_READ_PRODUCTS_READ_H

#include "config/read/building.h"

/* Adds the product, or the recipe, of one pair of its section to the room, faulty or not: what
 * names it later shall not be called unknown. Recipes are read after all products. */
void product_read(struct building *b, const struct pair *p);
void recipe_read(struct building *b, const struct pair *p);

/* Index of the recipe in the room; -1 = none. */
int recipe_find(const struct room *r, const char *name);

#endif
