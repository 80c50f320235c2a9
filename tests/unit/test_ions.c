/* Ions: what a label's milligrams come to, and how well they conduct. */
#include "tests/cmocka_all.h"

#include "daemon/core/chem/ions.h"

#include <math.h>

static void near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.8g is not %.8g", got, want);
    }
}

/* Molar masses: IUPAC 2021, from memory. */
static void milligrams_of_a_nutrient_become_millimoles_of_its_ion(void **state)
{
    /* clang-format off */
    static const struct {
        enum nutrient nutrient;
        enum ion ion;
        double g_mol;
    } rows[] = {
        {NUTRIENT_K,     ION_K,     39.098},
        {NUTRIENT_NA,    ION_NA,    22.990},
        {NUTRIENT_NH4_N, ION_NH4,   14.007},
        {NUTRIENT_CA,    ION_CA,    40.078},
        {NUTRIENT_MG,    ION_MG,    24.305},
        {NUTRIENT_NO3_N, ION_NO3,   14.007},
        {NUTRIENT_CL,    ION_CL,    35.45},
        {NUTRIENT_P,     ION_H2PO4, 30.974},
        {NUTRIENT_S,     ION_SO4,   32.06},
    };
    /* clang-format on */

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct nutrients mg_l = {0};
        struct ions got;

        mg_l.mg[rows[i].nutrient] = 3 * rows[i].g_mol;
        got = ions_of_nutrients(&mg_l);
        near(got.mmol_l[rows[i].ion], 3, 1e-3);
    }
}

static void bicarbonate_or_sodium_makes_the_charges_even(void **state)
{
    struct nutrients cations = {0};
    struct nutrients anions = {0};
    struct ions got;

    (void)state;
    cations.mg[NUTRIENT_CA] = 40.078;
    cations.mg[NUTRIENT_NO3_N] = 0.5 * 14.007;
    got = ions_of_nutrients(&cations);
    near(got.mmol_l[ION_HCO3], 1.5, 1e-3);
    assert_true(got.mmol_l[ION_NA] == 0);
    anions.mg[NUTRIENT_S] = 32.06;
    anions.mg[NUTRIENT_K] = 0.5 * 39.098;
    got = ions_of_nutrients(&anions);
    near(got.mmol_l[ION_NA], 1.5, 1e-3);
    assert_true(got.mmol_l[ION_HCO3] == 0);
}

static void a_label_that_tells_all_is_good_to_a_tenth(void **state)
{
    struct nutrients mg_l = {0};

    (void)state;
    near(ions_ec_off_frac(&mg_l), 0.6, 1e-12); /* it tells nothing */
    mg_l.mg[NUTRIENT_K] = 39.098;
    near(ions_ec_off_frac(&mg_l), 0.6, 1e-9); /* the other half is made up */
    mg_l.mg[NUTRIENT_NO3_N] = 14.007;
    near(ions_ec_off_frac(&mg_l), 0.1, 1e-4);
    mg_l.mg[NUTRIENT_NO3_N] = 0.75 * 14.007;
    near(ions_ec_off_frac(&mg_l), 0.1 + 0.25 / 2, 1e-4);
    mg_l.mg[NUTRIENT_NO3_N] = 2 * 14.007;
    near(ions_ec_off_frac(&mg_l), 0.1 + 0.5 / 2, 1e-4);
}

/* Limiting molar conductivities of the equivalents: CRC Handbook, from memory. */
static const struct {
    enum ion ion;
    int charge;
    double s_cm2_eq;
} known[] = {
  /* clang-format off */
    {ION_K,     1, 73.5}, {ION_NA,  1, 50.1}, {ION_NH4,  1, 73.5}, {ION_CA,  2, 59.5},
    {ION_MG,    2, 53.1}, {ION_NO3, 1, 71.4}, {ION_CL,   1, 76.4}, {ION_SO4, 2, 80.0},
    {ION_H2PO4, 1, 33.0}, {ION_HCO3, 1, 44.5},
  /* clang-format on */
};

static void in_pure_water_each_ion_conducts_by_its_limiting_conductivity(void **state)
{
    (void)state;
    assert_int_equal(sizeof known / sizeof *known, ION_COUNT);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        struct ions one = {0};

        one.mmol_l[known[i].ion] = 1e-4;
        /* S cm2/mol times mmol/L is uS/cm. */
        near(ions_ec_ms_cm(&one) / 1e-7, known[i].s_cm2_eq * known[i].charge,
             0.002 * known[i].s_cm2_eq);
    }
}

/* Davies 1962. */
static double log_gamma(int charge, double strength)
{
    return -0.5085 * charge * charge * (sqrt(strength) / (1 + sqrt(strength)) - 0.3 * strength);
}

/* Onsager's limiting law for a salt of two ions of one charge in water at 25 C (Robinson & Stokes,
 * Electrolyte Solutions; from memory). */
static void a_weak_salt_follows_the_limiting_law(void **state)
{
    (void)state;
    for (int i = 0; i < 5; i++) {
        double c = 1e-6 * pow(3, i);
        struct ions kcl = {0};
        double fall = (0.2300 * 149.9 + 60.65) * sqrt(c);

        kcl.mmol_l[ION_K] = kcl.mmol_l[ION_CL] = c * 1e3;
        near(149.9 - ions_ec_ms_cm(&kcl) / c, fall, fall * (1e-3 + 1.5 * sqrt(c)));
    }
}

static void a_strong_solution_conducts_less_for_each_ion(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        int charge = known[i].ion <= ION_MG ? known[i].charge : -known[i].charge;
        double before = known[i].s_cm2_eq * known[i].charge;

        for (int k = 0; k < 11; k++) {
            double strength = 0.001 * pow(2, k);
            double now =
                ions_conductivity(known[i].s_cm2_eq * known[i].charge, charge, 1, strength);

            assert_true(now < before);
            assert_true(now >= 0);
            /* among ions of two charges it is held back more */
            assert_true(ions_conductivity(before, charge, 2, strength) <=
                        ions_conductivity(before, charge, 1, strength));
            before = now;
        }
    }
}

/* Free and paired by the law of mass action, found by halving. */
static double free_mol_l(double total_mol_l, double log_k)
{
    double lo = 0;
    double hi = total_mol_l;

    for (int i = 0; i < 60; i++) {
        double c = (lo + hi) / 2;
        double pairs = pow(10, log_k + 2 * log_gamma(2, 4 * c)) * c * c;

        if (c + pairs > total_mol_l) {
            hi = c;
        } else {
            lo = c;
        }
    }
    return (lo + hi) / 2;
}

static void calcium_and_magnesium_pair_with_sulfate_and_the_pairs_conduct_nothing(void **state)
{
    static const double total_mol_l[] = {1e-4, 2e-3, 0.015};

    (void)state;
    for (size_t i = 0; i < sizeof total_mol_l / sizeof *total_mol_l; i++) {
        struct ions ca = {0};
        struct ions mg = {0};
        double c;

        ca.mmol_l[ION_CA] = ca.mmol_l[ION_SO4] = total_mol_l[i] * 1e3;
        c = free_mol_l(total_mol_l[i], 2.25);
        near(ions_ec_ms_cm(&ca),
             c * (ions_conductivity(119, 2, 2, 4 * c) + ions_conductivity(160, -2, 2, 4 * c)),
             1e-8);
        mg.mmol_l[ION_MG] = mg.mmol_l[ION_SO4] = total_mol_l[i] * 1e3;
        c = free_mol_l(total_mol_l[i], 2.25);
        near(ions_ec_ms_cm(&mg),
             c * (ions_conductivity(106.2, 2, 2, 4 * c) + ions_conductivity(160, -2, 2, 4 * c)),
             1e-8);
    }
}

/* Calcium goes where most sulfate is: with both metals there the two share it, and less of each is
 * held than when it has all the sulfate to itself. */
static void two_metals_share_the_sulfate(void **state)
{
    struct ions both = {0};
    struct ions ca = {0};
    struct ions mg = {0};

    (void)state;
    both.mmol_l[ION_CA] = both.mmol_l[ION_MG] = 5;
    both.mmol_l[ION_SO4] = 10;
    ca.mmol_l[ION_CA] = mg.mmol_l[ION_MG] = ca.mmol_l[ION_SO4] = mg.mmol_l[ION_SO4] = 10;
    assert_true(ions_ec_ms_cm(&both) < ions_ec_ms_cm(&ca));
    assert_true(ions_ec_ms_cm(&both) > ions_ec_ms_cm(&mg));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(milligrams_of_a_nutrient_become_millimoles_of_its_ion),
        cmocka_unit_test(bicarbonate_or_sodium_makes_the_charges_even),
        cmocka_unit_test(a_label_that_tells_all_is_good_to_a_tenth),
        cmocka_unit_test(in_pure_water_each_ion_conducts_by_its_limiting_conductivity),
        cmocka_unit_test(a_weak_salt_follows_the_limiting_law),
        cmocka_unit_test(a_strong_solution_conducts_less_for_each_ion),
        cmocka_unit_test(calcium_and_magnesium_pair_with_sulfate_and_the_pairs_conduct_nothing),
        cmocka_unit_test(two_metals_share_the_sulfate),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
