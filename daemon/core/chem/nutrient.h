/* nutrient.h - what a plant feeds on, by weight.
 *
 * Pure. Amounts are mg of the element: per litre of a solution, per mL of a liquid product, or per
 * g of a dry one, as the holder says. */
#ifndef TARN_CORE_CHEM_NUTRIENT_H
#define TARN_CORE_CHEM_NUTRIENT_H

#include "daemon/core/chem/formula.h"

#include <stdbool.h>
#include <stddef.h>

enum nutrient {
    NUTRIENT_NO3_N, /* nitrogen as nitrate; also what a label calls just N */
    NUTRIENT_NH4_N,
    NUTRIENT_UREA_N, /* and other organic forms: they carry no charge */
    NUTRIENT_P,
    NUTRIENT_K,
    NUTRIENT_CA,
    NUTRIENT_MG,
    NUTRIENT_S,
    NUTRIENT_FE,
    NUTRIENT_MN,
    NUTRIENT_ZN,
    NUTRIENT_CU,
    NUTRIENT_B,
    NUTRIENT_MO,
    NUTRIENT_SI,
    NUTRIENT_NA,
    NUTRIENT_CL,
    NUTRIENT_COUNT
};

struct nutrients {
    double mg[NUTRIENT_COUNT];
};

/* What is compared with a published range: nitrogen in all its forms is one. */
enum feed {
    FEED_N,
    FEED_P,
    FEED_K,
    FEED_CA,
    FEED_MG,
    FEED_S,
    FEED_FE,
    FEED_MN,
    FEED_ZN,
    FEED_CU,
    FEED_B,
    FEED_MO,
    FEED_COUNT
};
extern const char *const feed_words[]; /* "N", "P", … ; NULL-terminated */

/* Nitrogen is the sum of its forms. */
double nutrients_feed_mg(const struct nutrients *n, enum feed f);

/* *to += what * times. */
void nutrients_add(struct nutrients *to, const struct nutrients *what, double times);

/* *n times a factor. */
void nutrients_scale(struct nutrients *n, double times);

/* mg/L after into_l of *n took up added_l of *other; NULL is plain water. Without any volume *n is
 * left alone. */
void nutrients_pour(struct nutrients *n, double into_l, const struct nutrients *other,
                    double added_l);

/* Nothing is known of it: no amount at all. */
bool nutrients_none(const struct nutrients *n);

/* A word of a label and what it stands for: "P2O5" is 0.4364 of its weight P. -1 when the word is
 * not known; `frac` is then left alone. */
int nutrient_find_label(const char *word, double *frac);
const char *nutrient_label(size_t i); /* the words, from 0 on; NULL behind the last */

/* mg of each nutrient in a gram of a pure salt: N by its form, S as sulfate or any other. */
struct nutrients nutrients_of_salt(const struct formula *f);

#endif
