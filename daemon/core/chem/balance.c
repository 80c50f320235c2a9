#include "daemon/core/chem/balance.h"

#include "daemon/base/err.h"
#include "daemon/core/chem/table.h"

#include <math.h>
#include <stddef.h>

#define DAVIES_A      0.5085 /* of water at 25 C */
#define DAVIES_LINEAR 0.3
#define DAVIES_MOST   0.5 /* mol/L: it holds to about there; stronger ones are taken as at it */
#define GAS_SALTING   0.1 /* log10 activity of a neutral species for each mol/L of ionic strength */

/* log10 of what ties the species together, at 25 C and no ionic strength. */
#define PK_CARBONATE_2   10.329
#define LOG_HENRY_CO2    (-1.468)
#define LOG_AIR_CO2      (-3.38) /* atm; 0.042 % of the air in 2023 (NOAA) */
#define PK_WATER         14.0
#define PK_PHOSPHATE_1   2.168
#define PK_PHOSPHATE_2   7.207
#define PK_PHOSPHATE_3   12.346
#define PK_BISULFATE     1.988
#define PK_AMMONIUM      9.252
#define PK_CITRATE_1     3.128
#define PK_CITRATE_2     4.761
#define PK_CITRATE_3     6.396
#define LOG_CA_HCO3      1.106
#define LOG_MG_HCO3      1.07
#define LOG_NA_HCO3      (-0.25)
#define LOG_CA_CO3       3.224
#define LOG_MG_CO3       2.98
#define LOG_CA_HPO4      2.739
#define LOG_MG_HPO4      2.87
#define LOG_NAK_HPO4     0.29
#define LOG_CA_H2PO4     1.408
#define LOG_MG_H2PO4     1.513
#define LOG_CA_PO4       6.459
#define LOG_MG_PO4       6.589
#define LOG_CA_SO4       2.25
#define LOG_MG_SO4       2.37
#define LOG_NAK_SO4      0.78 /* 0.70 and 0.85 */
#define LOG_CA_CITRATE   4.87
#define LOG_MG_CITRATE   4.89
#define LOG_CA_HCITRATE  2.86
#define LOG_MG_HCITRATE  2.51
#define LOG_CA_H2CITRATE 1.10
#define LOG_NAK_CITRATE  1.1

#define PH_LOWEST      1.0
#define PH_HIGHEST     12.0
#define PH_STEPS       80
#define PH_HALVINGS    4
#define PH_TOL         1e-10
#define MEQ_TOL        1e-12
#define GAS_M_DAY      0.5
#define DEPTH_M        0.4
#define SPECIES_ROUNDS 60
#define SPECIES_TOL    1e-10
#define DOSE_STEPS     50
#define KHCO3_HIGHEST  8.0
#define CITRIC_LOWEST  3.0

/* The water at one pH, mol/L. The unknowns of the fixed point are the free cations and the ionic
 * strength; all else follows from them. */
struct speciation {
    double h; /* activity of hydrogen ions */
    double strength;
    double g[4]; /* activity coefficients by charge; [0] neutral */
    double ca, mg, nak;
    double hco3, co3, carbonate; /* carbonate: all forms */
    double so4, hpo4;
    double alkalinity; /* that these hold */
};

/* Of carbonic acid's first step, from 10 to 30 C; Harned & Davis 1943, from memory. */
static double carbonate_pk1(double temp_c)
{
    static const double pk1[] = {6.464, 6.419, 6.381, 6.352, 6.327};
    static const struct table t = {10, 5, pk1, sizeof pk1 / sizeof *pk1};

    return table_at(&t, temp_c);
}

static double p10(double x)
{
    return pow(10, x);
}

/* Carbon dioxide in a water that is in balance with the air, mol/L (its activity: it bears no
 * charge). */
static double air_gas(void)
{
    return p10(LOG_HENRY_CO2 + LOG_AIR_CO2);
}

static void set_activities(struct speciation *s)
{
    double strength = fmin(s->strength, DAVIES_MOST);
    double root = sqrt(strength);
    double one = -DAVIES_A * (root / (1 + root) - DAVIES_LINEAR * strength);

    s->g[0] = p10(GAS_SALTING * strength);
    for (int z = 1; z <= 3; z++) {
        s->g[z] = p10(one * z * z);
    }
}

/* What the anions of one acid take of each cation, for each mol of it that is free,
 * and what they add to the charges. Filled by the four below. */
struct taken {
    double ca, mg,
        nak; /* share of the free cation's concentration that is bound: bound = free * x */
    double alkalinity;
    double strength; /* sum of c z^2 of the acid's own species */
};

/* gas_mol_l is the dissolved gas that the air holds it to; NaN: closed, its carbonate as it is. */
static void take_carbonate(const struct dissolved *w, struct speciation *s, double gas_mol_l,
                           struct taken *t)
{
    const double *g = s->g;
    double k1 = p10(-carbonate_pk1(w->temp_c));
    double co2_each = s->h * g[1] / (k1 * g[0]); /* each for one of bicarbonate */
    double co3_each = p10(-PK_CARBONATE_2) * g[1] / (s->h * g[2]);
    double ca_h = p10(LOG_CA_HCO3) * g[2]; /* pairs of charge 1 with an anion of 1: g2 g1 / g1 */
    double mg_h = p10(LOG_MG_HCO3) * g[2];
    double na_h = p10(LOG_NA_HCO3) * g[1] * g[1];
    double ca_c = p10(LOG_CA_CO3) * g[2] * g[2];
    double mg_c = p10(LOG_MG_CO3) * g[2] * g[2];
    double na = w->ions.mmol_l[ION_NA] * 1e-3;
    double each = co2_each + 1 + s->ca * ca_h + s->mg * mg_h + na * na_h +
                  co3_each * (1 + s->ca * ca_c + s->mg * mg_c);

    s->hco3 =
        isnan(gas_mol_l) ? fmax(0, w->carbonate_mmol_l) * 1e-3 / each : gas_mol_l / g[0] / co2_each;
    s->carbonate = s->hco3 * each;
    s->co3 = s->hco3 * co3_each;
    t->ca += s->hco3 * ca_h + s->co3 * ca_c;
    t->mg += s->hco3 * mg_h + s->co3 * mg_c;
    t->alkalinity += s->carbonate - s->hco3 * co2_each + s->co3 * (1 + s->ca * ca_c + s->mg * mg_c);
    t->strength += s->hco3 * (1 + s->ca * ca_h + s->mg * mg_h) + 4 * s->co3;
}

static void take_phosphate(const struct dissolved *w, struct speciation *s, struct taken *t)
{
    const double *g = s->g;
    double h3 = s->h * g[1] / (p10(-PK_PHOSPHATE_1) * g[0]); /* each for one of H2PO4- */
    double h1 = p10(-PK_PHOSPHATE_2) * g[1] / (s->h * g[2]);
    double h0 = h1 * p10(-PK_PHOSPHATE_3) * g[2] / (s->h * g[3]);
    double ca2 = p10(LOG_CA_H2PO4) * g[2];
    double mg2 = p10(LOG_MG_H2PO4) * g[2];
    double ca1 = p10(LOG_CA_HPO4) * g[2] * g[2];
    double mg1 = p10(LOG_MG_HPO4) * g[2] * g[2];
    double nak1 = p10(LOG_NAK_HPO4) * g[2]; /* g1 g2 / g1 */
    double ca0 = p10(LOG_CA_PO4) * g[2] * g[3] / g[1];
    double mg0 = p10(LOG_MG_PO4) * g[2] * g[3] / g[1];
    double with2 = 1 + s->ca * ca2 + s->mg * mg2;
    double with1 = 1 + s->ca * ca1 + s->mg * mg1 + s->nak * nak1;
    double with0 = 1 + s->ca * ca0 + s->mg * mg0;
    double p = w->ions.mmol_l[ION_H2PO4] * 1e-3 / (h3 + with2 + h1 * with1 + h0 * with0);

    s->hpo4 = p * h1;
    t->ca += p * (ca2 + h1 * ca1 + h0 * ca0);
    t->mg += p * (mg2 + h1 * mg1 + h0 * mg0);
    t->nak += p * h1 * nak1;
    t->alkalinity += p * (h1 * with1 + 2 * h0 * with0 - h3);
    t->strength += p * (with2 + h1 * (4 + s->nak * nak1) + h0 * (9 + s->ca * ca0 + s->mg * mg0));
}

static void take_sulfate(const struct dissolved *w, struct speciation *s, struct taken *t)
{
    const double *g = s->g;
    double bi = s->h * g[2] / (p10(-PK_BISULFATE) * g[1]);
    double ca = p10(LOG_CA_SO4) * g[2] * g[2];
    double mg = p10(LOG_MG_SO4) * g[2] * g[2];
    double nak = p10(LOG_NAK_SO4) * g[2];
    double so4 = w->ions.mmol_l[ION_SO4] * 1e-3 / (1 + bi + s->ca * ca + s->mg * mg + s->nak * nak);

    s->so4 = so4;
    t->ca += so4 * ca;
    t->mg += so4 * mg;
    t->nak += so4 * nak;
    t->alkalinity -= so4 * bi;
    t->strength += so4 * (4 + bi + s->nak * nak);
}

static void take_citrate(const struct dissolved *w, const struct speciation *s, struct taken *t)
{
    const double *g = s->g;
    double h2 = p10(-PK_CITRATE_1) * g[0] / (s->h * g[1]); /* each for one of citric acid */
    double h1 = h2 * p10(-PK_CITRATE_2) * g[1] / (s->h * g[2]);
    double h0 = h1 * p10(-PK_CITRATE_3) * g[2] / (s->h * g[3]);
    double ca2 = p10(LOG_CA_H2CITRATE) * g[2];
    double ca1 = p10(LOG_CA_HCITRATE) * g[2] * g[2];
    double mg1 = p10(LOG_MG_HCITRATE) * g[2] * g[2];
    double ca0 = p10(LOG_CA_CITRATE) * g[2] * g[3] / g[1];
    double mg0 = p10(LOG_MG_CITRATE) * g[2] * g[3] / g[1];
    double nak0 = p10(LOG_NAK_CITRATE) * g[1] * g[3] / g[2];
    double with2 = 1 + s->ca * ca2;
    double with1 = 1 + s->ca * ca1 + s->mg * mg1;
    double with0 = 1 + s->ca * ca0 + s->mg * mg0 + s->nak * nak0;
    double c = w->citrate_mmol_l * 1e-3 / (1 + h2 * with2 + h1 * with1 + h0 * with0);

    t->ca += c * (h2 * ca2 + h1 * ca1 + h0 * ca0);
    t->mg += c * (h1 * mg1 + h0 * mg0);
    t->nak += c * h0 * nak0;
    t->alkalinity += c * (h2 * with2 + 2 * h1 * with1 + 3 * h0 * with0);
    t->strength += c * (h2 + 4 * h1 + h0 * (9 + s->ca * ca0 + s->mg * mg0 + 4 * s->nak * nak0));
}

/* The water at a pH. Binding lowers the free cations, and with them the ionic strength and the
 * binding: a damped fixed point. */
static struct speciation at_ph(const struct dissolved *w, double ph, double gas_mol_l)
{
    const double *c = w->ions.mmol_l;
    struct speciation s = {.h = p10(-ph)};
    double nak = (c[ION_NA] + c[ION_K]) * 1e-3;
    double spectators = (c[ION_NO3] + c[ION_CL] + c[ION_NH4]) * 1e-3;

    s.ca = c[ION_CA] * 1e-3;
    s.mg = c[ION_MG] * 1e-3;
    s.nak = nak;
    s.strength = (spectators + nak + 4 * (s.ca + s.mg)) / 2 + 1e-4;
    for (int round = 0; round < SPECIES_ROUNDS; round++) {
        struct taken t = {0};
        double strength;
        double moved;
        double nh3;

        set_activities(&s);
        take_carbonate(w, &s, gas_mol_l, &t);
        take_phosphate(w, &s, &t);
        take_sulfate(w, &s, &t);
        take_citrate(w, &s, &t);
        nh3 = c[ION_NH4] * 1e-3 / (1 + s.h * p10(PK_AMMONIUM));
        s.alkalinity = t.alkalinity + nh3 + p10(-PK_WATER) / (s.h * s.g[1]) - s.h / s.g[1];
        strength = (spectators + s.nak + 4 * (s.ca + s.mg) + t.strength + s.h / s.g[1]) / 2;
        moved = fabs(strength - s.strength) + fabs(c[ION_CA] * 1e-3 / (1 + t.ca) - s.ca) +
                fabs(c[ION_MG] * 1e-3 / (1 + t.mg) - s.mg);
        s.strength = (s.strength + strength) / 2;
        s.ca = (s.ca + c[ION_CA] * 1e-3 / (1 + t.ca)) / 2;
        s.mg = (s.mg + c[ION_MG] * 1e-3 / (1 + t.mg)) / 2;
        s.nak = (s.nak + nak / (1 + t.nak)) / 2;
        if (moved < SPECIES_TOL) {
            break;
        }
    }
    return s;
}

/* By how much the water holds more at a pH than its alkalinity, meq/L. Rises with the pH. */
static double over_at(const struct dissolved *w, double ph, double gas_mol_l)
{
    return at_ph(w, ph, gas_mol_l).alkalinity * 1e3 - w->alkalinity_meq_l;
}

/* False position after some halvings, with the end that stays put weighed down (the Illinois rule:
 * Dowell & Jarratt 1971, BIT 11:168; from memory): a dozen looks at the water in place of forty. */
static double ph_of(const struct dissolved *w, double gas_mol_l)
{
    double lo = PH_LOWEST;
    double hi = PH_HIGHEST;
    double over_lo = over_at(w, lo, gas_mol_l);
    double over_hi = over_at(w, hi, gas_mol_l);
    int side = 0;

    for (int i = 0; i < PH_STEPS && hi - lo > PH_TOL; i++) {
        bool halve = i < PH_HALVINGS || !(over_hi > over_lo);
        double ph = halve ? (lo + hi) / 2 : (lo * over_hi - hi * over_lo) / (over_hi - over_lo);
        double over = over_at(w, ph, gas_mol_l);

        if (over < 0) {
            lo = ph;
            over_lo = over;
            over_hi *= side < 0 && !halve ? 0.5 : 1;
            side = -1;
        } else {
            hi = ph;
            over_hi = over;
            over_lo *= side > 0 && !halve ? 0.5 : 1;
            side = 1;
        }
        if (fabs(over) < MEQ_TOL) {
            return ph;
        }
    }
    return (lo + hi) / 2;
}

double balance_ph_closed(const struct dissolved *w)
{
    return ph_of(w, NAN);
}

double balance_ph_open(const struct dissolved *w)
{
    return ph_of(w, air_gas());
}

double balance_ph_with_gas(const struct dissolved *w, double gas_mmol_l)
{
    return ph_of(w, gas_mmol_l * 1e-3);
}

double balance_carbonate_mmol_l(const struct dissolved *w, double ph)
{
    struct dissolved trial = *w;
    double lo = 0;
    double hi = 1;

    trial.carbonate_mmol_l = 0;
    if (at_ph(&trial, ph, NAN).alkalinity * 1e3 >= w->alkalinity_meq_l) {
        return 0;
    }
    do {
        hi *= 2;
        trial.carbonate_mmol_l = hi;
    } while (hi < 1e4 && at_ph(&trial, ph, NAN).alkalinity * 1e3 < w->alkalinity_meq_l);
    for (int i = 0; i < DOSE_STEPS; i++) {
        trial.carbonate_mmol_l = (lo + hi) / 2;
        if (at_ph(&trial, ph, NAN).alkalinity * 1e3 < w->alkalinity_meq_l) {
            lo = trial.carbonate_mmol_l;
        } else {
            hi = trial.carbonate_mmol_l;
        }
    }
    return (lo + hi) / 2;
}

double balance_carbonate_open_mmol_l(const struct dissolved *w, double ph)
{
    return at_ph(w, ph, air_gas()).carbonate * 1e3;
}

double balance_alkalinity_closed_meq_l(const struct dissolved *w, double ph)
{
    return at_ph(w, ph, NAN).alkalinity * 1e3;
}

double balance_alkalinity_open_meq_l(const struct dissolved *w, double ph)
{
    return at_ph(w, ph, air_gas()).alkalinity * 1e3;
}

double balance_gas_mmol_l(const struct dissolved *w)
{
    struct speciation s = at_ph(w, ph_of(w, NAN), NAN);

    return s.hco3 * s.h * s.g[1] / p10(-carbonate_pk1(w->temp_c)) * 1e3;
}

double balance_gas_after_mmol_l(double gas_mmol_l, double days)
{
    double air_mmol_l = air_gas() * 1e3;

    return air_mmol_l + (gas_mmol_l - air_mmol_l) * exp(-GAS_M_DAY / DEPTH_M * days);
}

double balance_gas_in_mmol_l(void)
{
    return GAS_M_DAY / DEPTH_M * air_gas() * 1e3;
}

void balance_hold_gas(struct dissolved *w, double ph, double gas_mmol_l)
{
    struct speciation s = at_ph(w, ph, gas_mmol_l * 1e-3);

    w->alkalinity_meq_l = s.alkalinity * 1e3;
    w->carbonate_mmol_l = s.carbonate * 1e3;
}

struct balance_active balance_active(const struct dissolved *w, double ph)
{
    struct speciation s = at_ph(w, ph, NAN);

    return (struct balance_active){s.ca * s.g[2], s.co3 * s.g[2], s.so4 * s.g[2], s.hpo4 * s.g[2]};
}

/* Bicarbonate stays, for the alkalinity does: what leaves is gas, so its excess goes at the full
 * rate. */
void balance_stand(struct dissolved *w, double days)
{
    double gas_mmol_l = balance_gas_after_mmol_l(balance_gas_mmol_l(w), days);
    double ph = ph_of(w, gas_mmol_l * 1e-3);

    if (days > 0) {
        w->carbonate_mmol_l = at_ph(w, ph, gas_mmol_l * 1e-3).carbonate * 1e3;
    }
}

void balance_add(struct dissolved *w, enum reagent r, double mmol_l)
{
    switch (r) {
    case REAGENT_PHOSPHORIC:
        w->alkalinity_meq_l -= mmol_l;
        w->ions.mmol_l[ION_H2PO4] += mmol_l;
        break;
    case REAGENT_NITRIC:
        w->alkalinity_meq_l -= mmol_l;
        w->ions.mmol_l[ION_NO3] += mmol_l;
        break;
    case REAGENT_SULFURIC:
        w->alkalinity_meq_l -= 2 * mmol_l;
        w->ions.mmol_l[ION_SO4] += mmol_l;
        break;
    case REAGENT_CITRIC:
        w->citrate_mmol_l += mmol_l;
        break;
    case REAGENT_KOH:
        w->alkalinity_meq_l += mmol_l;
        w->ions.mmol_l[ION_K] += mmol_l;
        break;
    case REAGENT_KHCO3:
        w->alkalinity_meq_l += mmol_l;
        w->carbonate_mmol_l += mmol_l;
        w->ions.mmol_l[ION_K] += mmol_l;
        break;
    case REAGENT_NONE:
    case REAGENT_COUNT:
        break;
    }
}

/* Is the water still on the side of the pH that it comes from? What it would hold
 * there is less than its alkalinity as long as its pH lies above. */
static bool is_short_of(const struct dissolved *w, enum reagent r, double ph_to, double gas_mol_l)
{
    double over = w->alkalinity_meq_l - at_ph(w, ph_to, gas_mol_l).alkalinity * 1e3;

    return reagent_is_acid(r) ? over > 0 : over < 0;
}

static int dose(const struct dissolved *w, enum reagent r, double ph_to, double gas_mol_l,
                double *out, struct err *e)
{
    double lo = 0;
    double hi = 0.01;
    struct dissolved trial = *w;

    *out = 0;
    if (!is_short_of(w, r, ph_to, gas_mol_l)) {
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
    for (;;) {
        trial = *w;
        balance_add(&trial, r, hi);
        if (!is_short_of(&trial, r, ph_to, gas_mol_l)) {
            break;
        }
        hi *= 2;
        if (hi > 1e3) {
            return err_set(e, ERR_RANGE, "%s does not take this water to pH %.1f", reagent_words[r],
                           ph_to);
        }
    }
    for (int i = 0; i < DOSE_STEPS; i++) {
        double mid = (lo + hi) / 2;

        trial = *w;
        balance_add(&trial, r, mid);
        if (is_short_of(&trial, r, ph_to, gas_mol_l)) {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    *out = (lo + hi) / 2;
    return 0;
}

int balance_dose_closed(const struct dissolved *w, enum reagent r, double ph_to, double *out_mmol_l,
                        struct err *e)
{
    return dose(w, r, ph_to, NAN, out_mmol_l, e);
}

int balance_dose_open(const struct dissolved *w, enum reagent r, double ph_to, double *out_mmol_l,
                      struct err *e)
{
    return dose(w, r, ph_to, air_gas(), out_mmol_l, e);
}
