#include "daemon/core/chem/ions.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>

#define DEBYE_HUCKEL_A 0.5085 /* water at 25 C */
#define DAVIES_LINEAR  0.3    /* Davies 1962; his first form of 1938 had 0.2 */
#define LOG_KSP_GYPSUM (-4.58)
#define DAVIES_MOST    0.5   /* mol/L: it holds to about there; stronger ones are taken as at it */
#define EC_OFF_FRAC    0.10  /* against published recipes */
#define PAIRING_ROUNDS 60    /* each halves what is left to go … */
#define PAIRING_TOL    1e-12 /* … of the ionic strength, mol/L */
#define UNIT_MS_CM     1e-3  /* S cm2/mol times mmol/L is uS/cm */

/* Onsager 1927 for water at 25 C, for a root of ionic strength (mol/L) of 1: the cloud of other
 * ions pulls an ion back by a share of its conductivity (a 1:1 salt), and carries water against
 * it. Robinson & Stokes, Electrolyte Solutions, chapter 7: 0.2300 and 60.65, half of it for each
 * of two ions; from memory. */
#define ONSAGER_RELAXES 0.2300
#define ONSAGER_DRAGS   30.32

/* Ions have a size: the root is divided by 1 + B root. B of ions of one charge and of two, the
 * least with which the single salts of the CRC Handbook come out (check_conductance.c); 1.3 is a
 * distance of 4.0 angstrom, 2.1 one of 6.4. */
#define SIZE_ONE 1.3
#define SIZE_TWO 2.1

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

/* Pairs, and what one of them conducts. Sulfate with the alkali metals: Applin & Lasaga 1984 as in
 * phreeqc.dat, rounded. Bicarbonate: half of what bicarbonate and metal diffuse at, phreeqc.dat. Of
 * phosphate's nobody has measured it: taken for nothing, since they are large. */
/* clang-format off */
static const struct {
    enum ion cation, anion;
    double log_k;        /* 25 C, no ionic strength; from memory, as all of them */
    double conductivity; /* S cm2/mol */
} pairs[] = {
    {ION_CA,  ION_SO4,    2.25,  0}, /* phreeqc.dat; Smith & Martell 1976 have 2.31 */
    {ION_MG,  ION_SO4,    2.25,  0}, /* Smith & Martell 1976 have 2.23, phreeqc.dat 2.37; with the
                                        latter zinc's salt, which pairs as much, is 5 % too weak */
    {ION_K,   ION_SO4,    0.85, 30}, /* phreeqc.dat, as the next */
    {ION_NA,  ION_SO4,    0.70, 30},
    {ION_NH4, ION_SO4,    1.03, 30}, /* Smith & Martell 1976 */
    {ION_CA,  ION_H2PO4,  1.41,  0}, /* phreeqc.dat, as the next */
    {ION_MG,  ION_H2PO4,  1.51,  0},
    {ION_K,   ION_H2PO4,  0.30,  0}, /* NIST 46, as in minteq.v4.dat; the next too */
    {ION_NA,  ION_H2PO4,  0.30,  0},
    {ION_K,   ION_NO3,   -0.19,  0}, /* NIST 46 */
    {ION_CA,  ION_HCO3,   1.11, 18}, /* Plummer & Busenberg 1982 */
    {ION_MG,  ION_HCO3,   1.07, 18}, /* phreeqc.dat */
};
/* clang-format on */
#define PAIRS (sizeof pairs / sizeof *pairs)

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
    } comes[] = {
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

    static_assert(sizeof comes / sizeof *comes == ION_COUNT - 1,
                  "an ion other than bicarbonate comes of no nutrient");
    for (size_t i = 0; i < sizeof comes / sizeof *comes; i++) {
        out.mmol_l[comes[i].ion] =
            mg_l->mg[comes[i].nutrient] / element_molar_mass_g(comes[i].element);
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

/* log10 of the activity coefficient of an ion of this charge (Davies). */
static double log_gamma(int charge, double strength)
{
    double root;

    strength = fmin(strength, DAVIES_MOST);
    root = sqrt(strength);
    return -DEBYE_HUCKEL_A * charge * charge * (root / (1 + root) - DAVIES_LINEAR * strength);
}

/* What floats by itself, and what is paired, mmol/L. */
struct paired {
    struct ions alone;
    double pair[PAIRS];
    double strength; /* ionic, mol/L */
};

static int pair_charge(size_t i)
{
    return ions[pairs[i].cation].charge + ions[pairs[i].anion].charge;
}

static double ionic_strength(const struct paired *p)
{
    double sum = 0;

    for (int i = 0; i < ION_COUNT; i++) {
        sum += p->alone.mmol_l[i] * 1e-3 * ions[i].charge * ions[i].charge;
    }
    for (size_t i = 0; i < PAIRS; i++) {
        sum += p->pair[i] * 1e-3 * pair_charge(i) * pair_charge(i);
    }
    return sum / 2;
}

/* The constant of each pair at this strength, L/mmol, from that without any. The activity
 * coefficient of two charges is that of one to the fourth. */
static void pairing_constants(double strength, const double bare[PAIRS], double k[PAIRS])
{
    double one = pow(10, log_gamma(1, strength));
    double of[] = {1, one, one * one * one * one};

    for (size_t i = 0; i < PAIRS; i++) {
        k[i] = bare[i] * of[abs(ions[pairs[i].cation].charge)] *
               of[abs(ions[pairs[i].anion].charge)] / of[abs(pair_charge(i))];
    }
}

/* The ions once they have paired. Pairs lower the ionic strength, and that the pairing: a damped
 * fixed point, which contracts. */
static struct paired pair_up(const struct ions *all)
{
    struct paired out = {.alone = *all};
    double bare[PAIRS];

    for (size_t i = 0; i < PAIRS; i++) {
        bare[i] = pow(10, pairs[i].log_k) * 1e-3;
    }
    out.strength = ionic_strength(&out);
    for (int round = 0; round < PAIRING_ROUNDS; round++) {
        double k[PAIRS];
        double with[ION_COUNT]; /* what there is of an ion, for each that is alone */
        double before = out.strength;

        pairing_constants(out.strength, bare, k);
        for (int i = 0; i < ION_COUNT; i++) {
            with[i] = 1;
        }
        for (size_t i = 0; i < PAIRS; i++) {
            with[pairs[i].cation] += k[i] * out.alone.mmol_l[pairs[i].anion];
            with[pairs[i].anion] += k[i] * out.alone.mmol_l[pairs[i].cation];
        }
        for (int i = 0; i < ION_COUNT; i++) {
            out.alone.mmol_l[i] = (out.alone.mmol_l[i] + all->mmol_l[i] / with[i]) / 2;
        }
        for (size_t i = 0; i < PAIRS; i++) {
            out.pair[i] =
                k[i] * out.alone.mmol_l[pairs[i].cation] * out.alone.mmol_l[pairs[i].anion];
        }
        out.strength = ionic_strength(&out);
        if (fabs(out.strength - before) < PAIRING_TOL) {
            break;
        }
    }
    return out;
}

/* The mean charge of the ions of one sign, each counted by the charge that it carries: what an ion
 * of the other sign has round it. 1 where there are none. */
static double mean_charge(const struct paired *p, int sign)
{
    double charges = 0;
    double squares = 0;

    for (int i = 0; i < ION_COUNT; i++) {
        double c = ions[i].charge * sign > 0 ? p->alone.mmol_l[i] : 0;

        charges += c * abs(ions[i].charge);
        squares += c * ions[i].charge * ions[i].charge;
    }
    for (size_t i = 0; i < PAIRS; i++) {
        charges += pair_charge(i) * sign > 0 ? p->pair[i] : 0; /* of one charge, if any */
        squares += pair_charge(i) * sign > 0 ? p->pair[i] : 0;
    }
    return charges > 0 ? squares / charges : 1;
}

/* The law of Debye, Hueckel and Onsager, with a size of the ions as Falkenhagen has it. */
double ions_conductivity(double limiting, int charge, double round, double strength)
{
    double root = sqrt(strength);
    double cloud = root / (1 + (abs(charge) > 1 ? SIZE_TWO : SIZE_ONE) * root);

    return fmax(0, limiting * (1 - ONSAGER_RELAXES * abs(charge) * round * cloud) -
                       ONSAGER_DRAGS * charge * charge * cloud);
}

struct ions ions_alone(const struct ions *i)
{
    return pair_up(i).alone;
}

double ions_ec_ms_cm(const struct ions *i)
{
    struct paired p = pair_up(i);
    double round[] = {mean_charge(&p, -1), mean_charge(&p, 1)}; /* round a cation, an anion */
    double sum = 0;

    for (int k = 0; k < ION_COUNT; k++) {
        sum += p.alone.mmol_l[k] * ions_conductivity(ions[k].conductivity, ions[k].charge,
                                                     round[ions[k].charge < 0], p.strength);
    }
    for (size_t k = 0; k < PAIRS; k++) {
        if (pairs[k].conductivity > 0) {
            sum += p.pair[k] * ions_conductivity(pairs[k].conductivity, pair_charge(k),
                                                 round[pair_charge(k) < 0], p.strength);
        }
    }
    return sum * UNIT_MS_CM;
}
