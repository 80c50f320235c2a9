#include "daemon/core/chem/ions.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>

#define DEBYE_HUCKEL_A  0.5085 /* water at 25 C */
#define DAVIES_LINEAR   0.3    /* Davies 1962; his first form of 1938 had 0.2 */
#define CONDUCTANCE_POW 0.6
#define WEAK_UP_TO      0.36 /* mol/L of ionic strength, for each charge */
#define LOG_K_CASO4     2.30
#define LOG_K_MGSO4     2.37
#define LOG_KSP_GYPSUM  (-4.58)
#define EC_OFF_FRAC     0.10 /* against published recipes */
#define PAIRING_ROUNDS  60   /* each halves what is left to go */
#define UNIT_MS_CM      1e-3 /* S cm2/mol times mmol/L is uS/cm */

/* clang-format off */
static const struct {
    int charge;
    double conductivity; /* limiting molar, S cm2/mol */
} ions[] = {
    [ION_K]     = { 1, 73.5},
    [ION_NA]    = { 1, 50.1},
    [ION_NH4]   = { 1, 73.5},
    [ION_CA]    = { 2, 2 * 59.5},
    [ION_MG]    = { 2, 2 * 53.1},
    [ION_NO3]   = {-1, 71.4},
    [ION_CL]    = {-1, 76.4},
    [ION_H2PO4] = {-1, 33.0},
    [ION_HCO3]  = {-1, 44.5},
    [ION_SO4]   = {-2, 2 * 80.0},
};
/* clang-format on */
static_assert(sizeof ions / sizeof *ions == ION_COUNT,
              "an ion has neither charge nor conductivity");

static double charges_meq_l(const struct ions *in, int sign)
{
    double sum = 0;

    for (int i = 0; i < ION_COUNT; i++) {
        if (ions[i].charge * sign > 0) {
            sum += in->mmol_l[i] * abs(ions[i].charge);
        }
    }
    return sum;
}

static double cations_meq_l(const struct ions *i)
{
    return charges_meq_l(i, 1);
}

static double anions_meq_l(const struct ions *i)
{
    return charges_meq_l(i, -1);
}

static struct ions told_ions(const struct nutrients *mg_l)
{
    static const struct {
        enum ion ion;
        enum nutrient nutrient;
        enum element element;
    } pairs[] = {
        {ION_K,     NUTRIENT_K,     ELEMENT_K },
        {ION_NA,    NUTRIENT_NA,    ELEMENT_NA},
        {ION_NH4,   NUTRIENT_NH4_N, ELEMENT_N },
        {ION_CA,    NUTRIENT_CA,    ELEMENT_CA},
        {ION_MG,    NUTRIENT_MG,    ELEMENT_MG},
        {ION_NO3,   NUTRIENT_NO3_N, ELEMENT_N },
        {ION_CL,    NUTRIENT_CL,    ELEMENT_CL},
        {ION_H2PO4, NUTRIENT_P,     ELEMENT_P },
        {ION_SO4,   NUTRIENT_S,     ELEMENT_S },
    };
    struct ions out = {0};

    static_assert(sizeof pairs / sizeof *pairs == ION_COUNT - 1,
                  "an ion other than bicarbonate comes of no nutrient");
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        out.mmol_l[pairs[i].ion] =
            mg_l->mg[pairs[i].nutrient] / element_molar_mass_g(pairs[i].element);
    }
    return out;
}

struct ions ions_of_nutrients(const struct nutrients *mg_l)
{
    struct ions out = told_ions(mg_l);
    double over_meq_l = cations_meq_l(&out) - anions_meq_l(&out);

    out.mmol_l[over_meq_l > 0 ? ION_HCO3 : ION_NA] += fabs(over_meq_l);
    return out;
}

/* Share of the charges that ions_of_nutrients had to make up, 0 to 1: how far the label is from
 * telling all. */
static double gap_frac(const struct nutrients *mg_l)
{
    struct ions told = told_ions(mg_l);
    double cations = cations_meq_l(&told);
    double anions = anions_meq_l(&told);

    return cations + anions > 0 ? fabs(cations - anions) / fmax(cations, anions) : 1;
}

double ions_ec_off_frac(const struct nutrients *mg_l)
{
    /* Half of what was made up: the ion that is meant conducts between half and one and a half
     * times as well as the one that was put in its place. */
    return EC_OFF_FRAC + gap_frac(mg_l) / 2;
}

static double ionic_strength(const struct ions *in)
{
    double sum = 0;

    for (int i = 0; i < ION_COUNT; i++) {
        sum += in->mmol_l[i] * 1e-3 * ions[i].charge * ions[i].charge;
    }
    return sum / 2;
}

/* log10 of the activity coefficient of an ion of this charge (Davies). */
static double log_gamma(int charge, double strength)
{
    double root = sqrt(strength);

    return -DEBYE_HUCKEL_A * charge * charge * (root / (1 + root) - DAVIES_LINEAR * strength);
}

/* The free ions, once calcium and magnesium have paired with sulfate. The pairs lower the ionic
 * strength, and that the pairing: a damped fixed point, which contracts. */
static struct ions without_pairs(const struct ions *all)
{
    struct ions out = *all;

    for (int round = 0; round < PAIRING_ROUNDS; round++) {
        double both = 2 * log_gamma(2, ionic_strength(&out));
        double k_ca = pow(10, LOG_K_CASO4 + both) * 1e-3; /* L/mmol */
        double k_mg = pow(10, LOG_K_MGSO4 + both) * 1e-3;
        double so4 =
            all->mmol_l[ION_SO4] / (1 + k_ca * out.mmol_l[ION_CA] + k_mg * out.mmol_l[ION_MG]);

        out.mmol_l[ION_SO4] = (out.mmol_l[ION_SO4] + so4) / 2;
        out.mmol_l[ION_CA] = all->mmol_l[ION_CA] / (1 + k_ca * out.mmol_l[ION_SO4]);
        out.mmol_l[ION_MG] = all->mmol_l[ION_MG] / (1 + k_mg * out.mmol_l[ION_SO4]);
    }
    return out;
}

double ions_ec_ms_cm(const struct ions *i)
{
    struct ions free_ions = without_pairs(i);
    double strength = ionic_strength(&free_ions);
    double sum = 0;

    for (int k = 0; k < ION_COUNT; k++) {
        int charge = abs(ions[k].charge);
        double power = strength <= WEAK_UP_TO * charge ? CONDUCTANCE_POW / sqrt(charge)
                                                       : sqrt(strength) / charge;

        sum += ions[k].conductivity * free_ions.mmol_l[k] *
               pow(10, power * log_gamma(charge, strength));
    }
    return sum * UNIT_MS_CM;
}

double ions_gypsum_saturation(const struct ions *i)
{
    struct ions free_ions = without_pairs(i);
    double product = free_ions.mmol_l[ION_CA] * free_ions.mmol_l[ION_SO4] * 1e-6;

    return log10(product) + 2 * log_gamma(2, ionic_strength(&free_ions)) - LOG_KSP_GYPSUM;
}
