#include "daemon/core/chem/reagent.h"

#include "daemon/core/chem/table.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

/* clang-format off */
const char *const reagent_words[] = {
    [REAGENT_NONE]       = "none",
    [REAGENT_PHOSPHORIC] = "phosphoric acid",
    [REAGENT_NITRIC]     = "nitric acid",
    [REAGENT_SULFURIC]   = "sulfuric acid",
    [REAGENT_CITRIC]     = "citric acid",
    [REAGENT_KOH]        = "potassium hydroxide",
    [REAGENT_KHCO3]      = "potassium bicarbonate",
    [REAGENT_COUNT]      = NULL,
};

static const char *const formulas[] = {
    [REAGENT_NONE]       = "H2O",
    [REAGENT_PHOSPHORIC] = "H3PO4",
    [REAGENT_NITRIC]     = "HNO3",
    [REAGENT_SULFURIC]   = "H2SO4",
    [REAGENT_CITRIC]     = "C6H8O7",
    [REAGENT_KOH]        = "KOH",
    [REAGENT_KHCO3]      = "KHCO3",
};
/* clang-format on */
static_assert(sizeof formulas / sizeof *formulas == REAGENT_COUNT, "a reagent has no formula");

static struct formula formula_of(enum reagent r)
{
    struct formula f = {0};

    (void)formula_parse(formulas[r], &f, NULL);
    return f;
}

bool reagent_is_acid(enum reagent r)
{
    return r >= REAGENT_PHOSPHORIC && r <= REAGENT_CITRIC;
}

double reagent_density_g_ml(enum reagent r, double percent)
{
    /* clang-format off */
    static const double phosphoric[][2] = {
        {0, 0.998}, {10, 1.053}, {20, 1.113}, {30, 1.180}, {50, 1.335}, {75, 1.579}, {85, 1.685}};
    static const double nitric[][2] = {
        {0, 0.998}, {10, 1.054}, {20, 1.115}, {30, 1.180}, {40, 1.246}, {50, 1.310}, {60, 1.367},
        {67, 1.400}, {70, 1.413}};
    static const double sulfuric[][2] = {
        {0, 0.998}, {10, 1.066}, {20, 1.139}, {30, 1.218}, {35, 1.260}, {40, 1.303}, {50, 1.395},
        {60, 1.498}, {70, 1.611}, {80, 1.727}, {93, 1.827}, {98, 1.836}};
    static const double citric[][2] = {
        {0, 0.998}, {10, 1.039}, {20, 1.081}, {30, 1.126}, {50, 1.227}};
    static const double koh[][2] = {
        {0, 0.998}, {10, 1.090}, {20, 1.186}, {30, 1.288}, {40, 1.396}, {50, 1.511}};
    static const double khco3[][2] = {
        {0, 0.998}, {10, 1.064}, {20, 1.135}};
    /* clang-format on */
#define ROWS(t) (t), sizeof(t) / sizeof *(t)
    static const struct {
        const double (*pair)[2];
        size_t n;
    } tables[] = {
  /* clang-format off */
        [REAGENT_NONE]       = {NULL, 0},
        [REAGENT_PHOSPHORIC] = {ROWS(phosphoric)},
        [REAGENT_NITRIC]     = {ROWS(nitric)},
        [REAGENT_SULFURIC]   = {ROWS(sulfuric)},
        [REAGENT_CITRIC]     = {ROWS(citric)},
        [REAGENT_KOH]        = {ROWS(koh)},
        [REAGENT_KHCO3]      = {ROWS(khco3)},
  /* clang-format on */
    };
#undef ROWS
    static_assert(sizeof tables / sizeof *tables == REAGENT_COUNT, "a reagent has no densities");
    size_t n = tables[r].n;

    if (n == 0 || !(percent >= 0 && percent <= tables[r].pair[n - 1][0])) {
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
