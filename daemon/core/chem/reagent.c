#include "daemon/core/chem/reagent.h"

#include "daemon/core/chem/table.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

const char *const reagent_words[] = {
#define AS_WORD(name, word, formula, acid) [REAGENT_##name] = (word),
    REAGENTS(AS_WORD)
#undef AS_WORD
        [REAGENT_COUNT] = NULL,
};

static const char *const formulas[] = {
#define AS_FORMULA(name, word, formula, acid) [REAGENT_##name] = (formula),
    REAGENTS(AS_FORMULA)
#undef AS_FORMULA
};

static struct formula formula_of(enum reagent r)
{
    struct formula f = {0};

    (void)formula_parse(formulas[r], &f, NULL);
    return f;
}

bool reagent_is_acid(enum reagent r)
{
    static const bool acids[] = {
#define AS_BOOL(name, word, formula, acid) [REAGENT_##name] = (acid),
        REAGENTS(AS_BOOL)
#undef AS_BOOL
    };

    return acids[r];
}

double reagent_density_g_ml(enum reagent r, double percent)
{
    /* clang-format off */
    static const double density_NONE[][2] = { /* there is none: the table ends before it begins */
        {-1, NAN}};
    static const double density_PHOSPHORIC[][2] = {
        {0, 0.998}, {10, 1.053}, {20, 1.113}, {30, 1.180}, {50, 1.335}, {75, 1.579}, {85, 1.685}};
    static const double density_NITRIC[][2] = {
        {0, 0.998}, {10, 1.054}, {20, 1.115}, {30, 1.180}, {40, 1.246}, {50, 1.310}, {60, 1.367},
        {67, 1.400}, {70, 1.413}};
    static const double density_SULFURIC[][2] = {
        {0, 0.998}, {10, 1.066}, {20, 1.139}, {30, 1.218}, {35, 1.260}, {40, 1.303}, {50, 1.395},
        {60, 1.498}, {70, 1.611}, {80, 1.727}, {93, 1.827}, {98, 1.836}};
    static const double density_CITRIC[][2] = {
        {0, 0.998}, {10, 1.039}, {20, 1.081}, {30, 1.126}, {50, 1.227}};
    static const double density_KOH[][2] = {
        {0, 0.998}, {10, 1.090}, {20, 1.186}, {30, 1.288}, {40, 1.396}, {50, 1.511}};
    static const double density_KHCO3[][2] = {
        {0, 0.998}, {10, 1.064}, {20, 1.135}};
    /* clang-format on */
    static const struct {
        const double (*pair)[2];
        size_t n;
    } tables[] = {
#define AS_TABLE(name, word, formula, acid)                                                        \
    [REAGENT_##name] = {density_##name, sizeof density_##name / sizeof *density_##name},
        REAGENTS(AS_TABLE)
#undef AS_TABLE
    };
    size_t n = tables[r].n;

    if (!(percent >= 0 && percent <= tables[r].pair[n - 1][0])) {
        return NAN;
    }
    return table_pairs_at(tables[r].pair, n, percent);
}

double reagent_mol_ml(enum reagent r, double percent, double density_g_ml)
{
    struct formula f = formula_of(r);

    return percent / 100 * density_g_ml / formula_molar_mass_g(&f);
}

struct nutrients reagent_nutrients_mg_mol(enum reagent r)
{
    struct formula f = formula_of(r);
    struct nutrients per_g = nutrients_of_salt(&f);
    struct nutrients out = {0};

    nutrients_add(&out, &per_g, formula_molar_mass_g(&f));
    return out;
}
