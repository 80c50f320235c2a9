/* Sums of what a plant feeds on, the ions they are, and the salts they come of. */
#include "daemon/base/err.h"
#include "daemon/core/chem/ions.h"
#include "daemon/core/chem/nutrient.h"
#include "daemon/core/chem/salt.h"
#include "tests/cmocka_all.h"

#include <math.h>

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.10g is not %.10g within %g", got, want, within);
    }
}

/* 1, 2, 3, … of each. */
static struct nutrients counted(void)
{
    struct nutrients n;

    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        n.mg[i] = i + 1;
    }
    return n;
}

static void nitrogen_is_one_feed_in_three_forms(void **ctx)
{
    static const struct {
        enum feed feed;
        const char *word;
        enum nutrient nutrient;
    } rows[] = {
        {FEED_P,  "P",  NUTRIENT_P },
        {FEED_K,  "K",  NUTRIENT_K },
        {FEED_CA, "Ca", NUTRIENT_CA},
        {FEED_MG, "Mg", NUTRIENT_MG},
        {FEED_S,  "S",  NUTRIENT_S },
        {FEED_FE, "Fe", NUTRIENT_FE},
        {FEED_MN, "Mn", NUTRIENT_MN},
        {FEED_ZN, "Zn", NUTRIENT_ZN},
        {FEED_CU, "Cu", NUTRIENT_CU},
        {FEED_B,  "B",  NUTRIENT_B },
        {FEED_MO, "Mo", NUTRIENT_MO},
    };
    struct nutrients n = counted();

    (void)ctx;
    assert_string_equal(feed_words[FEED_N], "N");
    assert_true(nutrients_feed_mg(&n, FEED_N) ==
                n.mg[NUTRIENT_NO3_N] + n.mg[NUTRIENT_NH4_N] + n.mg[NUTRIENT_UREA_N]);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_string_equal(feed_words[rows[i].feed], rows[i].word);
        assert_true(nutrients_feed_mg(&n, rows[i].feed) == n.mg[rows[i].nutrient]);
    }
    assert_null(feed_words[FEED_COUNT]);
}

static void pouring_weighs_by_volume(void **ctx)
{
    struct nutrients n = counted();
    struct nutrients other = counted();
    struct nutrients before = n;

    (void)ctx;
    nutrients_scale(&other, 5);
    nutrients_pour(&n, 6, &other, 2); /* (6 c + 2 · 5 c) / 8 = 2 c */
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        assert_near(n.mg[i], 2.0 * (i + 1), 1e-12);
    }
    nutrients_pour(&n, 1, NULL, 3); /* plain water */
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        assert_near(n.mg[i], 0.5 * (i + 1), 1e-12);
    }
    n = before;
    nutrients_pour(&n, 0, &other, 0); /* nothing into nothing */
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        assert_true(n.mg[i] == before.mg[i]);
    }
    nutrients_pour(&n, 0, &other, 2); /* into an empty one */
    assert_near(n.mg[NUTRIENT_K], other.mg[NUTRIENT_K], 1e-12);
}

static void a_little_of_anything_is_not_none(void **ctx)
{
    struct nutrients n = {0};

    (void)ctx;
    assert_true(nutrients_none(&n));
    for (int i = 0; i < NUTRIENT_COUNT; i++) {
        struct nutrients one = {0};

        one.mg[i] = 1e-6;
        assert_false(nutrients_none(&one));
    }
}

/* 1 mmol/L of each: mg/L of the element are its molar mass, IUPAC. */
static const struct nutrients one_mmol_l = {
    {[NUTRIENT_NO3_N] = 14.007,
     [NUTRIENT_NH4_N] = 14.007,
     [NUTRIENT_P] = 30.974,
     [NUTRIENT_K] = 39.098,
     [NUTRIENT_CA] = 40.078,
     [NUTRIENT_MG] = 24.305,
     [NUTRIENT_S] = 32.06,
     [NUTRIENT_NA] = 22.990,
     [NUTRIENT_CL] = 35.45}
};

static void each_nutrient_is_an_ion(void **ctx)
{
    struct ions ions = ions_of_nutrients(&one_mmol_l);

    (void)ctx;
    for (int i = 0; i < ION_COUNT; i++) {
        /* K + Na + NH4 + 2 Ca + 2 Mg = 7 meq/L over NO3 + Cl + H2PO4 + 2 SO4 = 5. */
        assert_near(ions.mmol_l[i], i == ION_HCO3 ? 2 : 1, 1e-9);
    }
}

static void what_a_label_leaves_out_is_made_up(void **ctx)
{
    struct nutrients potassium = {{[NUTRIENT_K] = 39.098}};
    struct nutrients nitrate = {{[NUTRIENT_NO3_N] = 14.007}};
    struct nutrients both = {
        {[NUTRIENT_K] = 39.098, [NUTRIENT_NO3_N] = 14.007}
    };
    struct nutrients most = {
        {[NUTRIENT_K] = 39.098, [NUTRIENT_NO3_N] = 14.007 * 0.8}
    };
    struct nutrients urea = {
        {[NUTRIENT_UREA_N] = 14.007, [NUTRIENT_FE] = 1}
    };
    struct ions ions = ions_of_nutrients(&potassium);

    (void)ctx;
    assert_near(ions.mmol_l[ION_HCO3], 1, 1e-9);
    assert_near(ions.mmol_l[ION_NA], 0, 1e-9);
    ions = ions_of_nutrients(&nitrate);
    assert_near(ions.mmol_l[ION_NA], 1, 1e-9);
    assert_near(ions.mmol_l[ION_HCO3], 0, 1e-9);
    ions = ions_of_nutrients(&both);
    assert_near(ions.mmol_l[ION_NA] + ions.mmol_l[ION_HCO3], 0, 1e-9);

    /* A tenth against published recipes, and half of the share that was made up. */
    assert_near(ions_ec_off_frac(&both), 0.1, 1e-9);
    assert_near(ions_ec_off_frac(&most), 0.1 + 0.2 / 2, 1e-9);
    assert_near(ions_ec_off_frac(&potassium), 0.6, 1e-9);
    assert_near(ions_ec_off_frac(&nitrate), 0.6, 1e-9);
    assert_near(ions_ec_off_frac(&urea), 0.6, 1e-9); /* no charge at all: nothing is known */
}

static void plain_water_conducts_nothing_and_urea_neither(void **ctx)
{
    struct nutrients urea = {{[NUTRIENT_UREA_N] = 200}};
    struct ions none = {0};
    struct ions of_urea = ions_of_nutrients(&urea);

    (void)ctx;
    assert_true(ions_ec_ms_cm(&none) == 0);
    assert_true(ions_ec_ms_cm(&of_urea) == 0);
}

/* Where the ionic strength passes 0.36 mol/L the exponent goes on without a step (Appelo 2010). */
static void the_conductivity_of_a_concentrate_has_no_step(void **ctx)
{
    struct ions below = {
        {[ION_K] = 359.9, [ION_CL] = 359.9}
    };
    struct ions above = {
        {[ION_K] = 360.1, [ION_CL] = 360.1}
    };
    struct ions strong = {
        {[ION_K] = 1000, [ION_CL] = 1000}
    };

    (void)ctx;
    assert_near(ions_ec_ms_cm(&above) / ions_ec_ms_cm(&below), 1, 0.001);
    /* 1 mol/L of KCl conducts 111.9 mS/cm (CRC Handbook, from memory): we are within 7 %, ten times
     * beyond where the estimate is meant to be good. */
    assert_near(ions_ec_ms_cm(&strong) / 111.9, 1, 0.07);
}

static struct formula formula_of(const char *text)
{
    struct formula f = {0};

    assert_int_equal(formula_parse(text, &f, NULL), 0);
    return f;
}

/* In a kg: what has no nitrogen in it has none in any form. */
static void every_element_of_a_salt_is_a_nutrient(void **ctx)
{
    static const struct {
        const char *salt;
        enum nutrient n;
        double mg_g; /* by the atomic weights of the IUPAC */
    } rows[] = {
        {"KH2PO4",       NUTRIENT_P,      227.61},
        {"KCl",          NUTRIENT_K,      524.47},
        {"CaO",          NUTRIENT_CA,     714.70},
        {"MgO",          NUTRIENT_MG,     603.04},
        {"K2SO4",        NUTRIENT_S,      183.99},
        {"FeSO4.7H2O",   NUTRIENT_FE,     200.88},
        {"MnSO4.H2O",    NUTRIENT_MN,     325.06},
        {"ZnSO4.7H2O",   NUTRIENT_ZN,     227.39},
        {"CuSO4.5H2O",   NUTRIENT_CU,     254.52},
        {"H3BO3",        NUTRIENT_B,      174.83},
        {"Na2MoO4.2H2O", NUTRIENT_MO,     396.56},
        {"SiO2",         NUTRIENT_SI,     467.44},
        {"NaCl",         NUTRIENT_NA,     393.39},
        {"KCl",          NUTRIENT_CL,     475.53},
        {"KNO3",         NUTRIENT_NO3_N,  138.54},
        {"NH4Cl",        NUTRIENT_NH4_N,  261.86},
        {"CO(NH2)2",     NUTRIENT_UREA_N, 466.45},
    };

    (void)ctx;
    assert_int_equal(sizeof rows / sizeof *rows, NUTRIENT_COUNT);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct formula f = formula_of(rows[i].salt);
        struct nutrients n = nutrients_of_salt(&f);

        assert_near(n.mg[rows[i].n], rows[i].mg_g, 0.02);
        assert_true(f.atoms[ELEMENT_N] > 0 || nutrients_feed_mg(&n, FEED_N) == 0);
    }
}

/* CRC Handbook, from memory. A salt is what it is made of, however it is written. */
static void a_salt_is_known_by_its_atoms(void **ctx)
{
    static const struct {
        const char *formula;
        double g_l;
    } rows[] = {
        {"KNO3",          316 },
        {"NO3K",          316 },
        {"Ca(NO3)2*4H2O", 1290},
        {"CaN2O6.4H2O",   1290},
        {"MgSO4.7H2O",    710 },
        {"Na2MoO4.2H2O",  650 },
    };
    static const char *const unknown[] = {"MgSO4", "CaSO4", "Ca(NO3)2", "H2O", "K"};

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct formula f = formula_of(rows[i].formula);

        assert_near(salt_dissolves_g_l(&f), rows[i].g_l, 0);
    }
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++) {
        struct formula f = formula_of(unknown[i]);

        assert_true(isnan(salt_dissolves_g_l(&f)));
    }
}

/* Both sides of half a gram a litre. */
/* CRC Handbook, from memory: 111 g/L of potassium sulfate by itself, which is 0.637 mol/L. */
static void salts_that_share_potassium_drive_each_other_out(void **ctx)
{
    struct ions alone = {
        {[ION_K] = 1270, [ION_SO4] = 635}
    };
    struct ions shared = {
        {[ION_K] = 1270 + 2000, [ION_SO4] = 635, [ION_NO3] = 2000}
    };
    struct ions magnesium = {
        {[ION_MG] = 1000, [ION_SO4] = 635, [ION_NO3] = 1365, [ION_K] = 635}
    };

    (void)ctx;
    assert_null(salt_over(&alone));
    assert_non_null(salt_over(&shared)); /* the nitrate by itself dissolves to 3.1 mol/L */
    assert_string_equal(salt_over(&shared), "K2SO4");
    assert_null(salt_over(&magnesium)); /* which holds much of the sulfate */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nitrogen_is_one_feed_in_three_forms),
        cmocka_unit_test(pouring_weighs_by_volume),
        cmocka_unit_test(a_little_of_anything_is_not_none),
        cmocka_unit_test(each_nutrient_is_an_ion),
        cmocka_unit_test(what_a_label_leaves_out_is_made_up),
        cmocka_unit_test(plain_water_conducts_nothing_and_urea_neither),
        cmocka_unit_test(the_conductivity_of_a_concentrate_has_no_step),
        cmocka_unit_test(every_element_of_a_salt_is_a_nutrient),
        cmocka_unit_test(a_salt_is_known_by_its_atoms),
        cmocka_unit_test(salts_that_share_potassium_drive_each_other_out),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
