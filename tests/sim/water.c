#include "tests/sim/water.h"

#include <math.h>

#define PK1         6.35 /* carbonic acid at 25 C (CRC Handbook; from memory) */
#define PK2         10.33
#define PK_P1       2.16 /* phosphoric acid (CRC Handbook; from memory) */
#define PK_P2       7.21
#define PK_P3       12.35
#define PK_CIT1     3.13 /* citric acid (CRC Handbook; from memory) */
#define PK_CIT2     4.76
#define PK_CIT3     6.40
#define PK_NH4      9.25 /* ammonium (CRC Handbook; from memory) */
#define PK_W        14.0
#define HENRY       0.0339 /* mol/L/atm of carbon dioxide at 25 C (Weiss 1974; from memory) */
#define DH_A        0.509
#define DH_SIZE     1.5   /* 0.328 times an ion of 4.5 angstrom: extended Debye and Hueckel */
#define PAIR_CA_SO4 200.0 /* L/mol, log K 2.30 (Smith & Martell; from memory) */
#define PAIR_MG_SO4 170.0 /* log K 2.23 */
#define ROUNDS      30
#define HALVINGS    50

static const int charge[WATER_ION_N] = {
    [WATER_NO3] = -1, [WATER_NH4] = 1,  [WATER_P] = -1, [WATER_K] = 1,   [WATER_CA] = 2,
    [WATER_MG] = 2,   [WATER_SO4] = -2, [WATER_NA] = 1, [WATER_CL] = -1,
};

double water_mmol_l(const struct water_body *w, enum water_ion ion)
{
    return w->volume_l > 0 ? w->mmol[ion] / w->volume_l : 0;
}

double water_alkalinity_meq_l(const struct water_body *w)
{
    double sum = 0;

    for (int i = 0; i < WATER_ION_N; i++) {
        sum += charge[i] * water_mmol_l(w, (enum water_ion)i);
    }
    return sum;
}

/* mol/L, of what floats freely: sulfate holds some of the calcium and magnesium. */
struct free_ions {
    double mol_l[WATER_ION_N];
    double strength; /* bicarbonate, which evens out the charges, included */
};

static double gamma_of(int z, double strength)
{
    double root = sqrt(strength);

    return pow(10, -DH_A * z * z * root / (1 + DH_SIZE * root));
}

static struct free_ions free_ions_of(const struct water_body *w)
{
    struct free_ions f;
    double ca = water_mmol_l(w, WATER_CA) * 1e-3;
    double mg = water_mmol_l(w, WATER_MG) * 1e-3;
    double so4 = water_mmol_l(w, WATER_SO4) * 1e-3;

    for (int i = 0; i < WATER_ION_N; i++) {
        f.mol_l[i] = water_mmol_l(w, (enum water_ion)i) * 1e-3;
    }
    f.strength = 0;
    for (int round = 0; round < ROUNDS; round++) {
        double sum = fabs(water_alkalinity_meq_l(w)) * 1e-3;
        double both;

        for (int i = 0; i < WATER_ION_N; i++) {
            sum += charge[i] * charge[i] * f.mol_l[i];
        }
        f.strength = sum / 2;
        both = gamma_of(2, f.strength) * gamma_of(2, f.strength);
        f.mol_l[WATER_SO4] =
            (f.mol_l[WATER_SO4] + so4 / (1 + both * (PAIR_CA_SO4 * f.mol_l[WATER_CA] +
                                                     PAIR_MG_SO4 * f.mol_l[WATER_MG]))) /
            2;
        f.mol_l[WATER_CA] = ca / (1 + both * PAIR_CA_SO4 * f.mol_l[WATER_SO4]);
        f.mol_l[WATER_MG] = mg / (1 + both * PAIR_MG_SO4 * f.mol_l[WATER_SO4]);
    }
    return f;
}

/* Constants as they hold in this water, for concentrations but the activity of hydrogen. */
struct constants {
    double k1, k2, p1, p2, p3, c1, c2, c3, n1, g1;
    /* 1 + what pairs hold of each that is free */
    double with_hco3, with_co3, with_h2po4, with_hpo4, with_po4, with_citrate;
};

/* What calcium and magnesium hold is taken from the free ions, which it does not lessen: there is
 * less of phosphate and citrate than of these. Constants of pairs: Smith & Martell 1976, from
 * memory. */
static struct constants constants_of(const struct free_ions *f)
{
    double strength = f->strength;
    double ca = f->mol_l[WATER_CA];
    double mg = f->mol_l[WATER_MG];
    double g1 = gamma_of(1, strength);
    double g2 = gamma_of(2, strength);
    double g3 = gamma_of(3, strength);

    return (struct constants){
        .k1 = pow(10, -PK1) / g1,
        .k2 = pow(10, -PK2) * g1 / g2,
        .p1 = pow(10, -PK_P1) / g1,
        .p2 = pow(10, -PK_P2) * g1 / g2,
        .p3 = pow(10, -PK_P3) * g2 / g3,
        .c1 = pow(10, -PK_CIT1) / g1,
        .c2 = pow(10, -PK_CIT2) * g1 / g2,
        .c3 = pow(10, -PK_CIT3) * g2 / g3,
        .n1 = pow(10, -PK_NH4) * g1,
        .g1 = g1,
        .with_hco3 = 1 + g2 * (14 * ca + 11 * mg),
        .with_co3 = 1 + g2 * g2 * (1600 * ca + 900 * mg),
        .with_h2po4 = 1 + g2 * (26 * ca + 32 * mg),
        .with_hpo4 = 1 + g2 * g2 * (550 * ca + 740 * mg),
        .with_po4 = 1 + g2 * g3 / g1 * (2.9e6 * ca + 3.9e6 * mg),
        .with_citrate = 1 + g2 * g3 / g1 * (74000 * ca + 69000 * mg),
    };
}

/* Bicarbonate, and carbonate for each mol of free gas. */
static double bicarbonate_of(const struct constants *k, double h)
{
    return k->k1 / h * k->with_hco3;
}

static double carbonate_of(const struct constants *k, double h)
{
    return k->k1 / h * k->k2 / h * k->with_co3;
}

/* Bicarbonate and carbonate charges for each mol of carbonate. */
static double carbonate_charge(const struct constants *k, double h)
{
    double a1 = bicarbonate_of(k, h);
    double a2 = carbonate_of(k, h);

    return (a1 + 2 * a2) / (1 + a1 + a2);
}

/* What weak acids and water hold besides carbonate, meq/L. */
static double other_charges(const struct water_body *w, const struct constants *k, double h)
{
    double p = water_mmol_l(w, WATER_P);
    double hpo4 = k->p2 / h * k->with_hpo4 / k->with_h2po4;
    double po4 = k->p2 / h * k->p3 / h * k->with_po4 / k->with_h2po4;
    double h3po4 = h / k->p1 / k->with_h2po4;
    double c1 = k->c1 / h;
    double c2 = c1 * k->c2 / h;
    double c3 = c2 * k->c3 / h * k->with_citrate;
    double citrate = w->volume_l > 0 ? w->citrate_mmol / w->volume_l : 0;
    double ammonia = water_mmol_l(w, WATER_NH4) / (1 + h / k->n1);

    return ammonia + p * (hpo4 + 2 * po4 - h3po4) / (1 + hpo4 + po4 + h3po4) +
           citrate * (c1 + 2 * c2 + 3 * c3) / (1 + c1 + c2 + c3) +
           1e3 * (pow(10, -PK_W) / h - h) / k->g1;
}

double water_ph(const struct water_body *w)
{
    struct free_ions f = free_ions_of(w);
    struct constants k = constants_of(&f);
    double alkalinity = water_alkalinity_meq_l(w);
    double carbonate = w->volume_l > 0 ? w->carbonate_mmol / w->volume_l : 0;
    double lo = 1.5;
    double hi = 11.5;

    for (int i = 0; i < HALVINGS; i++) {
        double ph = (lo + hi) / 2;
        double h = pow(10, -ph);

        if (carbonate * carbonate_charge(&k, h) + other_charges(w, &k, h) < alkalinity) {
            lo = ph;
        } else {
            hi = ph;
        }
    }
    return (lo + hi) / 2;
}

void water_set_ph(struct water_body *w, double ph)
{
    struct free_ions f = free_ions_of(w);
    struct constants k = constants_of(&f);
    double h = pow(10, -ph);
    double left = water_alkalinity_meq_l(w) - other_charges(w, &k, h);

    w->carbonate_mmol = fmax(0, left / carbonate_charge(&k, h)) * w->volume_l;
}

/* What each conducts in a water, mS/cm. */
struct conducted {
    double ion[WATER_ION_N], bicarbonate, hydrogen;
};

static struct conducted conducted_in(const struct water_body *w)
{
    /* lambda0 - a sqrt(I) / (1 + b sqrt(I)), S cm2/mol, worked out at 25 C. */
    /* clang-format off */
    static const struct {
        double lambda, a, b;
    } of[WATER_ION_N] = {
        [WATER_NO3] = {71.45,  35.2, 0.1}, [WATER_NH4] = {73.25, 27.2, 0.3},
        [WATER_P]   = {33.0,   60.0, 1.7}, [WATER_K]   = {74.13, 49.2, 1.5},
        [WATER_CA]  = {117.9, 210.5, 2.8}, [WATER_MG]  = {106.2, 143.7, 2.1},
        [WATER_SO4] = {159.8, 361.5, 2.6}, [WATER_NA]  = {50.51, 60.8, 1.7},
        [WATER_CL]  = {76.80,  49.5, 1.5},
    };
    static const double bicarbonate[] = {44.14, 30.2, 0.1};
    /* clang-format on */
    static const double hydrogen = 349.8;
    struct free_ions f = free_ions_of(w);
    double root = sqrt(f.strength);
    struct conducted c = {
        .bicarbonate = fmax(0, water_alkalinity_meq_l(w)) * 1e-3 *
                       (bicarbonate[0] - bicarbonate[1] * root / (1 + bicarbonate[2] * root)),
        .hydrogen = hydrogen * pow(10, -water_ph(w)),
    };

    for (int i = 0; i < WATER_ION_N; i++) {
        c.ion[i] = f.mol_l[i] * (of[i].lambda - of[i].a * root / (1 + of[i].b * root));
    }
    return c;
}

double water_ec_ms_cm(const struct water_body *w)
{
    struct conducted c = conducted_in(w);
    double sum = c.bicarbonate + c.hydrogen;

    for (int i = 0; i < WATER_ION_N; i++) {
        sum += c.ion[i];
    }
    return sum;
}

double water_ballast_ms_cm(const struct water_body *w)
{
    struct conducted c = conducted_in(w);

    return c.ion[WATER_NA] + c.ion[WATER_CL] + c.ion[WATER_SO4] + c.bicarbonate;
}

/* Carbonate in balance with so much gas (mmol/L): where the charges are even. */
static double carbonate_with_gas(const struct water_body *w, const struct constants *k,
                                 double gas_mmol_l)
{
    double alkalinity = water_alkalinity_meq_l(w);
    double lo = 1.5;
    double hi = 11.5;
    double a1 = 0;
    double a2 = 0;

    for (int i = 0; i < HALVINGS; i++) {
        double ph = (lo + hi) / 2;
        double h = pow(10, -ph);

        a1 = bicarbonate_of(k, h);
        a2 = carbonate_of(k, h);
        if (gas_mmol_l * (a1 + 2 * a2) + other_charges(w, k, h) < alkalinity) {
            lo = ph;
        } else {
            hi = ph;
        }
    }
    return gas_mmol_l * (1 + a1 + a2);
}

void water_breathe(struct water_body *w, double hours, double co2_atm, double rate_day)
{
    struct free_ions f = free_ions_of(w);
    struct constants k = constants_of(&f);
    double rests_mmol;

    if (!(w->volume_l > 0)) {
        return;
    }
    rests_mmol = carbonate_with_gas(w, &k, HENRY * co2_atm * 1e3) * w->volume_l;
    w->carbonate_mmol += (rests_mmol - w->carbonate_mmol) * (1 - exp(-rate_day * hours / 24));
}

static void take_share(struct water_body *w, double share)
{
    for (int i = 0; i < WATER_ION_N; i++) {
        w->mmol[i] *= 1 - share;
    }
    w->citrate_mmol *= 1 - share;
    w->carbonate_mmol *= 1 - share;
    w->volume_l *= 1 - share;
}

void water_pour_like(struct water_body *to, const struct water_body *like, double litres)
{
    if (!(litres > 0) || !(like->volume_l > 0)) {
        return;
    }
    for (int i = 0; i < WATER_ION_N; i++) {
        to->mmol[i] += like->mmol[i] / like->volume_l * litres;
    }
    to->citrate_mmol += like->citrate_mmol / like->volume_l * litres;
    to->carbonate_mmol += like->carbonate_mmol / like->volume_l * litres;
    to->volume_l += litres;
}

void water_pour(struct water_body *to, struct water_body *from, double litres)
{
    double moved_l = fmin(litres, from->volume_l);

    if (moved_l > 0) {
        water_pour_like(to, from, moved_l);
        take_share(from, moved_l / from->volume_l);
    }
}

void water_evaporate(struct water_body *w, double litres)
{
    w->volume_l = fmax(0, w->volume_l - litres);
}

void water_drain_to(struct water_body *w, double litres)
{
    if (w->volume_l > litres) {
        take_share(w, 1 - litres / w->volume_l);
    }
}
