#include "daemon/core/chem/acidity.h"

#include "daemon/base/err.h"
#include "daemon/core/chem/table.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#define PK2           10.33 /* of carbonic acid at 25 C; Harned & Scholes 1941, from memory */
#define PKW           14.0
#define KHCO3_HIGHEST 8.0 /* its own solution stands at about 8.3 */
#define CITRIC_LOWEST 3.0 /* near its first pK most of it gives no proton any more */
#define PH_LO         3.0 /* what nutrients can do to a water stays within these by far */
#define PH_HI         11.0
#define BISECTIONS    40 /* 8 units of pH to 1e-11 */
#define MOL_TO_MMOL   1000.0

static const double phosphate_pk[] = {2.148, 7.198, 12.35};
static const double citrate_pk[] = {3.13, 4.76, 6.40};

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

/* From 10 to 30 C; Harned & Davis 1943, from memory. */
double carbonate_pk1(double temp_c)
{
    static const double pk1[] = {6.464, 6.419, 6.381, 6.352, 6.327};
    static const struct table t = {10, 5, pk1, sizeof pk1 / sizeof *pk1};

    return table_at(&t, temp_c);
}

/* Mean negative charge of an acid with three protons to give, at a pH. */
static double charge_of_three(const double pk[3], double ph)
{
    double a1 = pow(10, ph - pk[0]);
    double a2 = a1 * pow(10, ph - pk[1]);
    double a3 = a2 * pow(10, ph - pk[2]);

    return (a1 + 2 * a2 + 3 * a3) / (1 + a1 + a2 + a3);
}

static double charge_of_carbonate(double ph, double temp_c)
{
    double a1 = pow(10, ph - carbonate_pk1(temp_c));
    double a2 = a1 * pow(10, ph - PK2);

    return (a1 + 2 * a2) / (1 + a1 + a2);
}

/* Hydroxide less hydrogen ions, mmol/L. */
static double charge_of_water(double ph)
{
    return MOL_TO_MMOL * (pow(10, ph - PKW) - pow(10, -ph));
}

double carbonate_of_alkalinity(double alkalinity_meq_l, double ph, double temp_c)
{
    return fmax(0, (alkalinity_meq_l - charge_of_water(ph)) / charge_of_carbonate(ph, temp_c));
}

/* Negative charge that a mole of the reagent adds at a pH, its counter-ion off: what an acid has
 * more than its water, what a base lacks. */
static double reagent_charge(enum reagent r, double ph, double temp_c)
{
    switch (r) {
    case REAGENT_PHOSPHORIC:
        return charge_of_three(phosphate_pk, ph);
    case REAGENT_NITRIC:
        return 1;
    case REAGENT_SULFURIC:
        return 2;
    case REAGENT_CITRIC:
        return charge_of_three(citrate_pk, ph);
    case REAGENT_KOH:
        return -1;
    case REAGENT_KHCO3:
        return charge_of_carbonate(ph, temp_c) - 1;
    case REAGENT_NONE:
    case REAGENT_COUNT:
        break;
    }
    return 0;
}

/* Dihydrogen phosphate comes with one charge that some cation holds, whatever the pH: so much
 * strong charge there is. The pH is the one at which carbonate, phosphate and water hold just that;
 * what they hold rises with the pH, so halving finds it. */
double acidity_ph_with_phosphate(const struct water *w, double ph_from)
{
    double strong = w->carbonate_mmol_l * charge_of_carbonate(ph_from, w->temp_c) +
                    charge_of_water(ph_from) + w->phosphate_mmol_l;
    double lo = PH_LO;
    double hi = PH_HI;

    for (int i = 0; i < BISECTIONS; i++) {
        double ph = (lo + hi) / 2;
        double held = w->carbonate_mmol_l * charge_of_carbonate(ph, w->temp_c) +
                      w->phosphate_mmol_l * charge_of_three(phosphate_pk, ph) + charge_of_water(ph);

        if (held < strong) {
            lo = ph;
        } else {
            hi = ph;
        }
    }
    return (lo + hi) / 2;
}

int acidity_dose_mmol_l(const struct water *w, enum reagent r, double ph_from, double ph_to,
                        double *out, struct err *e)
{
    double falls; /* the charge that carbonate, phosphate and water hold less at ph_to, mmol/L */

    if (reagent_is_acid(r) ? ph_to >= ph_from : ph_to <= ph_from) {
        *out = 0;
        return 0;
    }
    if (r == REAGENT_KHCO3 && ph_to > KHCO3_HIGHEST) {
        return err_set(e, ERR_RANGE, "%s does not take a water above pH %.1f", reagent_words[r],
                       KHCO3_HIGHEST);
    }
    if (r == REAGENT_CITRIC && ph_to < CITRIC_LOWEST) {
        return err_set(e, ERR_RANGE, "%s does not take a water below pH %.1f", reagent_words[r],
                       CITRIC_LOWEST);
    }
    falls = w->carbonate_mmol_l *
                (charge_of_carbonate(ph_from, w->temp_c) - charge_of_carbonate(ph_to, w->temp_c)) +
            w->phosphate_mmol_l *
                (charge_of_three(phosphate_pk, ph_from) - charge_of_three(phosphate_pk, ph_to)) +
            charge_of_water(ph_from) - charge_of_water(ph_to);
    *out = falls / reagent_charge(r, ph_to, w->temp_c);
    return 0;
}
