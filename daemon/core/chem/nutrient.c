#include "daemon/core/chem/nutrient.h"

#include <assert.h>
#include <stddef.h>
#include <string.h>

#define MG_PER_G 1000

/* clang-format off */
const char *const feed_words[] = {
    [FEED_N]  = "N",  [FEED_P]  = "P",  [FEED_K]  = "K",  [FEED_CA] = "Ca", [FEED_MG] = "Mg",
    [FEED_S]  = "S",  [FEED_FE] = "Fe", [FEED_MN] = "Mn", [FEED_ZN] = "Zn", [FEED_CU] = "Cu",
    [FEED_B]  = "B",  [FEED_MO] = "Mo", [FEED_COUNT] = NULL,
};
/* clang-format on */

/* What a label calls it, the form in which it counts, and the element in it that is meant. A label
 * that says just N does not say in which form. */
static const struct label {
    const char *word;
    enum nutrient nutrient;
    const char *formula;
    enum element element;
} labels[] = {
    {"N",      NUTRIENT_NO3_N,  "N",    ELEMENT_N },
    {"NO3-N",  NUTRIENT_NO3_N,  "N",    ELEMENT_N },
    {"NH4-N",  NUTRIENT_NH4_N,  "N",    ELEMENT_N },
    {"urea-N", NUTRIENT_UREA_N, "N",    ELEMENT_N },
    {"NO3",    NUTRIENT_NO3_N,  "NO3",  ELEMENT_N },
    {"NH4",    NUTRIENT_NH4_N,  "NH4",  ELEMENT_N },
    {"P",      NUTRIENT_P,      "P",    ELEMENT_P },
    {"P2O5",   NUTRIENT_P,      "P2O5", ELEMENT_P },
    {"PO4",    NUTRIENT_P,      "PO4",  ELEMENT_P },
    {"K",      NUTRIENT_K,      "K",    ELEMENT_K },
    {"K2O",    NUTRIENT_K,      "K2O",  ELEMENT_K },
    {"Ca",     NUTRIENT_CA,     "Ca",   ELEMENT_CA},
    {"CaO",    NUTRIENT_CA,     "CaO",  ELEMENT_CA},
    {"Mg",     NUTRIENT_MG,     "Mg",   ELEMENT_MG},
    {"MgO",    NUTRIENT_MG,     "MgO",  ELEMENT_MG},
    {"S",      NUTRIENT_S,      "S",    ELEMENT_S },
    {"SO3",    NUTRIENT_S,      "SO3",  ELEMENT_S },
    {"SO4",    NUTRIENT_S,      "SO4",  ELEMENT_S },
    {"Fe",     NUTRIENT_FE,     "Fe",   ELEMENT_FE},
    {"Mn",     NUTRIENT_MN,     "Mn",   ELEMENT_MN},
    {"Zn",     NUTRIENT_ZN,     "Zn",   ELEMENT_ZN},
    {"Cu",     NUTRIENT_CU,     "Cu",   ELEMENT_CU},
    {"B",      NUTRIENT_B,      "B",    ELEMENT_B },
    {"Mo",     NUTRIENT_MO,     "Mo",   ELEMENT_MO},
    {"Si",     NUTRIENT_SI,     "Si",   ELEMENT_SI},
    {"SiO2",   NUTRIENT_SI,     "SiO2", ELEMENT_SI},
    {"Na",     NUTRIENT_NA,     "Na",   ELEMENT_NA},
    {"Cl",     NUTRIENT_CL,     "Cl",   ELEMENT_CL},
};

double nutrients_feed_mg(const struct nutrients *n, enum feed f)
{
    static const enum nutrient of[] = {
        [FEED_N] = NUTRIENT_NO3_N, [FEED_P] = NUTRIENT_P,   [FEED_K] = NUTRIENT_K,
        [FEED_CA] = NUTRIENT_CA,   [FEED_MG] = NUTRIENT_MG, [FEED_S] = NUTRIENT_S,
        [FEED_FE] = NUTRIENT_FE,   [FEED_MN] = NUTRIENT_MN, [FEED_ZN] = NUTRIENT_ZN,
        [FEED_CU] = NUTRIENT_CU,   [FEED_B] = NUTRIENT_B,   [FEED_MO] = NUTRIENT_MO,
    };

    static_assert(sizeof of / sizeof *of == FEED_COUNT, "a feed has no nutrient");
    return f == FEED_N ? n->mg[NUTRIENT_NO3_N] + n->mg[NUTRIENT_NH4_N] + n->mg[NUTRIENT_UREA_N]
                       : n->mg[of[f]];
}

void nutrients_add(struct nutrients *to, const struct nutrients *what, double times)
{
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        to->mg[i] += what->mg[i] * times;
    }
}

void nutrients_scale(struct nutrients *n, double times)
{
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        n->mg[i] *= times;
    }
}

void nutrients_pour(struct nutrients *n, double into_l, const struct nutrients *other,
                    double added_l)
{
    double all_l = into_l + added_l;

    if (!(all_l > 0)) { /* nothing in nothing: there is no strength to reckon */
        return;
    }
    nutrients_scale(n, into_l / all_l);
    if (other) {
        nutrients_add(n, other, added_l / all_l);
    }
}

bool nutrients_none(const struct nutrients *n)
{
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        if (n->mg[i] > 0) {
            return false;
        }
    }
    return true;
}

const char *nutrient_label(size_t i)
{
    return i < sizeof labels / sizeof *labels ? labels[i].word : NULL;
}

int nutrient_find_label(const char *word, double *frac)
{
    for (size_t i = 0; nutrient_label(i); i++) {
        struct formula f;

        if (strcmp(labels[i].word, word) == 0 && formula_parse(labels[i].formula, &f, NULL) == 0) {
            *frac = formula_mass_frac(&f, labels[i].element);
            return (int)labels[i].nutrient;
        }
    }
    return -1;
}

struct nutrients nutrients_of_salt(const struct formula *f)
{
    static const struct {
        enum nutrient nutrient;
        enum element element;
    } pairs[] = {
        {NUTRIENT_P,  ELEMENT_P },
        {NUTRIENT_K,  ELEMENT_K },
        {NUTRIENT_CA, ELEMENT_CA},
        {NUTRIENT_MG, ELEMENT_MG},
        {NUTRIENT_S,  ELEMENT_S },
        {NUTRIENT_FE, ELEMENT_FE},
        {NUTRIENT_MN, ELEMENT_MN},
        {NUTRIENT_ZN, ELEMENT_ZN},
        {NUTRIENT_CU, ELEMENT_CU},
        {NUTRIENT_B,  ELEMENT_B },
        {NUTRIENT_MO, ELEMENT_MO},
        {NUTRIENT_SI, ELEMENT_SI},
        {NUTRIENT_NA, ELEMENT_NA},
        {NUTRIENT_CL, ELEMENT_CL},
    };
    double n_mg = MG_PER_G * element_molar_mass_g(ELEMENT_N) / formula_molar_mass_g(f);
    struct nutrients out = {0};

    static_assert(sizeof pairs / sizeof *pairs == NUTRIENT_COUNT - 3,
                  "a nutrient other than the three forms of nitrogen comes of no element");
    out.mg[NUTRIENT_NO3_N] = f->nitrate_n * n_mg;
    out.mg[NUTRIENT_NH4_N] = f->ammonium_n * n_mg;
    out.mg[NUTRIENT_UREA_N] = (f->atoms[ELEMENT_N] - f->nitrate_n - f->ammonium_n) * n_mg;
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        out.mg[pairs[i].nutrient] = MG_PER_G * formula_mass_frac(f, pairs[i].element);
    }
    return out;
}
