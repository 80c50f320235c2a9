/* The species of a water beside a general solver, which knows them as one list of reactions: each
 * is formed of an anion without its protons, of protons, and of a cation or none. Constants:
 * phreeqc.dat of PHREEQC 3 (Parkhurst & Appelo 2013), citrate of minteq.v4.dat; from memory. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"

#include <math.h>

enum { CA, MG, NA, K, NO_CATION, N_CATIONS = NO_CATION };
enum { CARBONATE, PHOSPHATE, SULFATE, CITRATE, N_ANIONS };

static const int cation_charge[] = {[CA] = 2, [MG] = 2, [NA] = 1, [K] = 1};
static const int anion_charge[] = {-2, -3, -2, -3};
/* Protons of the form that alkalinity is counted from. */
static const int protons_at_zero[] = {2, 2, 0, 3};

/* clang-format off */
static const struct {
    int anion, protons, cation;
    double log_k;
} species[] = {
    {CARBONATE, 0, NO_CATION, 0},
    {CARBONATE, 1, NO_CATION, 10.329},
    {CARBONATE, 2, NO_CATION, 10.329 + 6.352},
    {CARBONATE, 1, CA,        11.435},
    {CARBONATE, 1, MG,        11.399},
    {CARBONATE, 1, NA,        10.079},
    {CARBONATE, 0, CA,        3.224},
    {CARBONATE, 0, MG,        2.98},
    {PHOSPHATE, 0, NO_CATION, 0},
    {PHOSPHATE, 1, NO_CATION, 12.346},
    {PHOSPHATE, 2, NO_CATION, 19.553},
    {PHOSPHATE, 3, NO_CATION, 21.721},
    {PHOSPHATE, 0, CA,        6.459},
    {PHOSPHATE, 0, MG,        6.589},
    {PHOSPHATE, 1, CA,        15.085},
    {PHOSPHATE, 1, MG,        15.216},
    {PHOSPHATE, 1, NA,        12.636},
    {PHOSPHATE, 1, K,         12.636},
    {PHOSPHATE, 2, CA,        20.961},
    {PHOSPHATE, 2, MG,        21.066},
    {SULFATE,   0, NO_CATION, 0},
    {SULFATE,   1, NO_CATION, 1.988},
    {SULFATE,   0, CA,        2.25},
    {SULFATE,   0, MG,        2.37},
    {SULFATE,   0, NA,        0.78},
    {SULFATE,   0, K,         0.78},
    {CITRATE,   0, NO_CATION, 0},
    {CITRATE,   1, NO_CATION, 6.396},
    {CITRATE,   2, NO_CATION, 11.157},
    {CITRATE,   3, NO_CATION, 14.285},
    {CITRATE,   0, CA,        4.87},
    {CITRATE,   0, MG,        4.89},
    {CITRATE,   0, NA,        1.1},
    {CITRATE,   0, K,         1.1},
    {CITRATE,   1, CA,        9.256},
    {CITRATE,   1, MG,        8.906},
    {CITRATE,   2, CA,        12.257},
};
/* clang-format on */
#define N_SPECIES (sizeof species / sizeof *species)

/* Totals in mol/L: a cation, an anion, and chloride that only adds to the ionic strength. */
struct pot {
    double cation[N_CATIONS], anion[N_ANIONS], chloride;
};

static double activity(int charge, double strength)
{
    double root = sqrt(strength);

    return charge == 0 ? pow(10, 0.1 * strength)
                       : pow(10, -0.5085 * charge * charge * (root / (1 + root) - 0.3 * strength));
}

/* mol/L of alkalinity at a pH. */
static double alkalinity_of(const struct pot *p, double ph)
{
    double h = pow(10, -ph);
    double cation[N_CATIONS];
    double strength = p->chloride;
    double alkalinity = 0;

    for (int m = 0; m < N_CATIONS; m++) {
        cation[m] = p->cation[m];
    }
    for (int round = 0; round < 400; round++) {
        double each[N_SPECIES];
        double forms[N_ANIONS] = {0};
        double bound[N_CATIONS] = {0};
        double sum = p->chloride + h / activity(1, strength);

        alkalinity = 1e-14 / h / activity(1, strength) - h / activity(1, strength);
        for (size_t i = 0; i < N_SPECIES; i++) {
            int a = species[i].anion;
            int m = species[i].cation;
            int charge = anion_charge[a] + species[i].protons;

            each[i] = pow(10, species[i].log_k) * pow(h, species[i].protons) *
                      activity(anion_charge[a], strength);
            if (m != NO_CATION) {
                charge += cation_charge[m];
                each[i] *= cation[m] * activity(cation_charge[m], strength);
            }
            /* A pair without charge is taken to be as active as it is concentrated. */
            each[i] /= charge == 0 && m != NO_CATION ? 1 : activity(charge, strength);
            forms[a] += each[i];
        }
        for (size_t i = 0; i < N_SPECIES; i++) {
            int a = species[i].anion;
            int m = species[i].cation;
            int charge = anion_charge[a] + species[i].protons;
            double mol_l = p->anion[a] * each[i] / forms[a];

            alkalinity += mol_l * (protons_at_zero[a] - species[i].protons);
            if (m != NO_CATION) {
                charge += cation_charge[m];
                bound[m] += mol_l;
            }
            sum += mol_l * charge * charge;
        }
        for (int m = 0; m < N_CATIONS; m++) {
            sum += cation[m] * cation_charge[m] * cation_charge[m];
            cation[m] =
                cation[m] > 0 ? (cation[m] + p->cation[m] / (1 + bound[m] / cation[m])) / 2 : 0;
        }
        strength = (strength + sum / 2) / 2;
    }
    return alkalinity;
}

static struct dissolved water_of(const struct pot *p)
{
    struct dissolved w = {.temp_c = 25,
                          .carbonate_mmol_l = p->anion[CARBONATE] * 1e3,
                          .citrate_mmol_l = p->anion[CITRATE] * 1e3};

    w.ions.mmol_l[ION_CA] = p->cation[CA] * 1e3;
    w.ions.mmol_l[ION_MG] = p->cation[MG] * 1e3;
    w.ions.mmol_l[ION_NA] = p->cation[NA] * 1e3;
    w.ions.mmol_l[ION_K] = p->cation[K] * 1e3;
    w.ions.mmol_l[ION_H2PO4] = p->anion[PHOSPHATE] * 1e3;
    w.ions.mmol_l[ION_SO4] = p->anion[SULFATE] * 1e3;
    w.ions.mmol_l[ION_CL] = p->chloride * 1e3;
    return w;
}

static void near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.8g is not %.8g", got, want);
    }
}

static void each_cation_pairs_with_each_anion_as_the_reactions_say(void **state)
{
    static const double cation_mol_l[] = {[CA] = 3e-3, [MG] = 3e-3, [NA] = 0.05, [K] = 0.05};
    static const double ph[] = {2.5, 4, 5.5, 7, 8.5, 10, 11.5};

    (void)state;
    for (int m = 0; m <= NO_CATION; m++) {
        for (int a = 0; a < N_ANIONS; a++) {
            for (size_t i = 0; i < sizeof ph / sizeof *ph; i++) {
                struct pot p = {.chloride = 4e-3};
                struct dissolved w;

                p.anion[a] = 1e-3;
                if (m != NO_CATION) {
                    p.cation[m] = cation_mol_l[m];
                }
                w = water_of(&p);
                near(balance_alkalinity_closed_meq_l(&w, ph[i]), alkalinity_of(&p, ph[i]) * 1e3,
                     5e-5);
            }
        }
    }
}

/* Each takes from the others what it binds. */
static void a_fed_water_holds_what_all_reactions_together_say(void **state)
{
    const struct pot p = {
        .cation = {[CA] = 4e-3, [MG] = 2e-3, [NA] = 3e-3, [K] = 6e-3},
        .anion = {2e-3,        1.5e-3,      3e-3,        1e-3      },
        .chloride = 0.012
    };
    const struct dissolved w = water_of(&p);

    (void)state;
    for (int half = 6; half <= 18; half++) {
        double ph = half / 2.0;

        near(balance_alkalinity_closed_meq_l(&w, ph), alkalinity_of(&p, ph) * 1e3, 2e-3);
    }
}

/* Half of it is ammonia at its pK; Davies' coefficients are left out, so in a dilute water. */
static void ammonium_gives_its_proton_off_about_its_pk(void **state)
{
    struct dissolved w = {
        .temp_c = 25, .ions.mmol_l = {[ION_NH4] = 0.01, [ION_CL] = 0.01}
    };
    struct dissolved without = {.temp_c = 25, .ions.mmol_l = {[ION_CL] = 0.01}};

    (void)state;
    near(balance_alkalinity_closed_meq_l(&w, 9.252) -
             balance_alkalinity_closed_meq_l(&without, 9.252),
         0.005, 5e-5);
    near(balance_alkalinity_closed_meq_l(&w, 8.252) -
             balance_alkalinity_closed_meq_l(&without, 8.252),
         0.01 / 11, 5e-5);
}

/* pK1 of carbonic acid at 10 to 30 C: Harned & Davis 1943, from memory. At that pH half of it is
 * bicarbonate. */
static void carbonic_acid_is_weaker_in_the_cold(void **state)
{
    static const double pk1[][2] = {
        {10, 6.464},
        {15, 6.419},
        {20, 6.381},
        {25, 6.352},
        {30, 6.327}
    };

    (void)state;
    for (size_t i = 0; i < sizeof pk1 / sizeof *pk1; i++) {
        struct dissolved w = {.temp_c = pk1[i][0], .carbonate_mmol_l = 0.1};

        near(balance_alkalinity_closed_meq_l(&w, pk1[i][1]), 0.05, 5e-4);
    }
}

/* Henry: 10^-1.468 mol/L and atm; 10^-3.38 atm of carbon dioxide in the air. */
static double gas_in_balance_mmol_l(void)
{
    return pow(10, -1.468 - 3.38) * 1e3;
}

static void an_open_water_holds_the_gas_of_the_air_and_what_comes_of_it(void **state)
{
    struct dissolved w = {.temp_c = 25};

    (void)state;
    near(balance_carbonate_open_mmol_l(&w, 4), gas_in_balance_mmol_l() * (1 + pow(10, 4 - 6.352)),
         2e-4);
    near(balance_carbonate_open_mmol_l(&w, 7), gas_in_balance_mmol_l() * (1 + pow(10, 7 - 6.352)),
         2e-3);
    near(balance_alkalinity_open_meq_l(&w, 7), gas_in_balance_mmol_l() * pow(10, 7 - 6.352), 2e-3);
    assert_true(balance_alkalinity_open_meq_l(&w, 4) < 0);
}

/* In an acid water all carbonate is gas. It passes the surface at 0.5 m a day from a depth of
 * 0.4 m, so its excess falls by e^-1.25 a day. */
static void the_excess_of_gas_leaves_by_a_share_each_day(void **state)
{
    const struct dissolved fresh = {
        .alkalinity_meq_l = -1, .carbonate_mmol_l = 2, .temp_c = 25, .ions.mmol_l = {[ION_CL] = 1}};
    static const double days[] = {0.02, 0.5, 1, 2};
    double air = gas_in_balance_mmol_l();

    (void)state;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        struct dissolved w = fresh;
        double want = air + (2 - air) * exp(-1.25 * days[i]);

        balance_stand(&w, days[i]);
        near(w.carbonate_mmol_l, want, 0.09 * days[i] * want);
        assert_true(w.alkalinity_meq_l == -1);
    }
}

static void a_water_without_gas_takes_it_up(void **state)
{
    struct dissolved w = {.alkalinity_meq_l = 0, .temp_c = 25};

    (void)state;
    balance_stand(&w, 1);
    assert_true(w.carbonate_mmol_l > 0.5 * gas_in_balance_mmol_l());
    assert_true(w.carbonate_mmol_l < 1.5 * gas_in_balance_mmol_l());
}

static void within_a_week_a_water_is_in_balance(void **state)
{
    const struct dissolved fresh = {
        .alkalinity_meq_l = 1, .carbonate_mmol_l = 3, .temp_c = 25, .ions.mmol_l = {[ION_NA] = 1}};
    double in_balance = balance_carbonate_open_mmol_l(&fresh, balance_ph_open(&fresh));
    struct dissolved w = fresh;

    (void)state;
    balance_stand(&w, 7);
    near(w.carbonate_mmol_l, in_balance, 0.001 * in_balance);
    near(balance_alkalinity_closed_meq_l(&w, balance_ph_closed(&w)), 1, 1e-6);
    w = fresh;
    balance_stand(&w, 0);
    assert_true(w.carbonate_mmol_l == 3);
}

static void a_reagent_brings_its_ions_and_its_charge(void **state)
{
    /* clang-format off */
    static const struct {
        enum reagent r;
        double alkalinity, carbonate, citrate;
        enum ion ion;
        double brought;
    } rows[] = {
        {REAGENT_PHOSPHORIC, -1, 0, 0, ION_H2PO4, 1},
        {REAGENT_NITRIC,     -1, 0, 0, ION_NO3,   1},
        {REAGENT_SULFURIC,   -2, 0, 0, ION_SO4,   1},
        {REAGENT_CITRIC,      0, 0, 1, ION_SO4,   0},
        {REAGENT_KOH,         1, 0, 0, ION_K,     1},
        {REAGENT_KHCO3,       1, 1, 0, ION_K,     1},
        {REAGENT_NONE,        0, 0, 0, ION_K,     0},
    };
    /* clang-format on */

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dissolved w = {5, 4, 3, {{0}}, 25};
        double all = 0;

        w.ions.mmol_l[rows[i].ion] = 2;
        balance_add(&w, rows[i].r, 0.5);
        near(w.alkalinity_meq_l, 5 + 0.5 * rows[i].alkalinity, 0);
        near(w.carbonate_mmol_l, 4 + 0.5 * rows[i].carbonate, 0);
        near(w.citrate_mmol_l, 3 + 0.5 * rows[i].citrate, 0);
        near(w.ions.mmol_l[rows[i].ion], 2 + 0.5 * rows[i].brought, 0);
        for (int k = 0; k < ION_COUNT; k++) {
            all += w.ions.mmol_l[k];
        }
        near(all, 2 + 0.5 * rows[i].brought, 0);
    }
}

static struct dissolved tap_water(void)
{
    struct dissolved w = {
        .alkalinity_meq_l = 3,
        .temp_c = 25,
        .ions.mmol_l = {[ION_CA] = 1.2, [ION_MG] = 0.4, [ION_CL] = 0.2}
    };

    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, 7.4);
    return w;
}

static void a_dose_brings_the_water_just_to_its_ph_closed_and_open(void **state)
{
    static const struct {
        enum reagent r;
        double from, to;
    } rows[] = {
        {REAGENT_PHOSPHORIC, 7.4, 5.8},
        {REAGENT_NITRIC,     7.4, 5.8},
        {REAGENT_SULFURIC,   7.4, 5.8},
        {REAGENT_CITRIC,     7.4, 3.0},
        {REAGENT_KOH,        7.4, 9.3},
        {REAGENT_KHCO3,      7.4, 8.0}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dissolved w = tap_water();
        struct err e = {0};
        double mmol_l;

        near(balance_ph_closed(&w), 7.4, 1e-6);
        if (balance_dose_closed(&w, rows[i].r, rows[i].to, &mmol_l, &e) < 0) {
            fail_msg("%s", e.msg);
        }
        assert_true(mmol_l > 0);
        balance_add(&w, rows[i].r, mmol_l);
        near(balance_ph_closed(&w), rows[i].to, 1e-6);
        w = tap_water();
        if (rows[i].r == REAGENT_KHCO3) {
            continue; /* aired it stands above 8 already */
        }
        if (balance_dose_open(&w, rows[i].r, rows[i].to, &mmol_l, &e) < 0) {
            fail_msg("%s", e.msg);
        }
        assert_true(mmol_l > 0);
        balance_add(&w, rows[i].r, mmol_l);
        near(balance_ph_open(&w), rows[i].to, 1e-6);
    }
}

static void a_dose_the_other_way_is_none(void **state)
{
    struct dissolved w = tap_water();
    double mmol_l = 7;

    (void)state;
    assert_int_equal(balance_dose_closed(&w, REAGENT_NITRIC, 7.41, &mmol_l, NULL), 0);
    assert_true(mmol_l == 0);
    mmol_l = 7;
    assert_int_equal(balance_dose_closed(&w, REAGENT_KOH, 7.39, &mmol_l, NULL), 0);
    assert_true(mmol_l == 0);
    mmol_l = 7;
    /* Beyond what it can do, but the water is there already. */
    assert_int_equal(balance_dose_closed(&w, REAGENT_CITRIC, 9, &mmol_l, NULL), 0);
    assert_true(mmol_l == 0);
}

static void bicarbonate_stops_at_8_and_citric_acid_at_3(void **state)
{
    struct dissolved w = tap_water();
    double mmol_l;

    (void)state;
    assert_int_equal(balance_dose_closed(&w, REAGENT_KHCO3, 8.0, &mmol_l, NULL), 0);
    assert_int_equal(balance_dose_closed(&w, REAGENT_KHCO3, 8.01, &mmol_l, NULL), ERR_RANGE);
    assert_int_equal(balance_dose_closed(&w, REAGENT_CITRIC, 3.0, &mmol_l, NULL), 0);
    assert_int_equal(balance_dose_closed(&w, REAGENT_CITRIC, 2.99, &mmol_l, NULL), ERR_RANGE);
    /* The other reagents know no such limit. */
    assert_int_equal(balance_dose_closed(&w, REAGENT_KOH, 8.5, &mmol_l, NULL), 0);
    assert_int_equal(balance_dose_closed(&w, REAGENT_NITRIC, 2.5, &mmol_l, NULL), 0);
}

static void a_base_by_the_bucket_is_refused(void **state)
{
    struct dissolved w = {.alkalinity_meq_l = -600, .temp_c = 25};
    struct err e = {0};
    double mmol_l;

    (void)state;
    assert_int_equal(balance_dose_closed(&w, REAGENT_KOH, 6, &mmol_l, &e), 0);
    near(mmol_l, 600, 1);
    w.alkalinity_meq_l = -1e4;
    assert_int_equal(balance_dose_closed(&w, REAGENT_KOH, 6, &mmol_l, &e), ERR_RANGE);
    assert_string_equal(e.msg, "potassium hydroxide does not take this water to pH 6.0");
}

static void a_water_that_needs_no_carbonate_for_its_ph_has_none(void **state)
{
    struct dissolved w = {
        .temp_c = 25, .ions.mmol_l = {[ION_H2PO4] = 1, [ION_K] = 1}
    };

    (void)state;
    assert_true(balance_carbonate_mmol_l(&w, 7) == 0);
    w.alkalinity_meq_l = balance_alkalinity_closed_meq_l(&w, 7);
    assert_true(balance_carbonate_mmol_l(&w, 7) == 0);
    w.alkalinity_meq_l += 0.8;
    w.carbonate_mmol_l = 50; /* what it held before is not looked at */
    /* Bicarbonate is most of it at pH 7: 1 / (1 + 10^(6.352 - 7)) without activities. */
    near(balance_carbonate_mmol_l(&w, 7), 0.8 * (1 + pow(10, 6.352 - 7)), 0.03);
    w.alkalinity_meq_l += 40;
    near(balance_carbonate_mmol_l(&w, 7), 40.8 * (1 + pow(10, 6.352 - 7)), 2.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_cation_pairs_with_each_anion_as_the_reactions_say),
        cmocka_unit_test(a_fed_water_holds_what_all_reactions_together_say),
        cmocka_unit_test(ammonium_gives_its_proton_off_about_its_pk),
        cmocka_unit_test(carbonic_acid_is_weaker_in_the_cold),
        cmocka_unit_test(an_open_water_holds_the_gas_of_the_air_and_what_comes_of_it),
        cmocka_unit_test(the_excess_of_gas_leaves_by_a_share_each_day),
        cmocka_unit_test(a_water_without_gas_takes_it_up),
        cmocka_unit_test(within_a_week_a_water_is_in_balance),
        cmocka_unit_test(a_reagent_brings_its_ions_and_its_charge),
        cmocka_unit_test(a_dose_brings_the_water_just_to_its_ph_closed_and_open),
        cmocka_unit_test(a_dose_the_other_way_is_none),
        cmocka_unit_test(bicarbonate_stops_at_8_and_citric_acid_at_3),
        cmocka_unit_test(a_base_by_the_bucket_is_refused),
        cmocka_unit_test(a_water_that_needs_no_carbonate_for_its_ph_has_none),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
