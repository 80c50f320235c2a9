/* What salts and labels bring, by weight.
 *
 * NU-SALT  Percent by weight from IUPAC atomic weights (abridged), recomputed by hand.
 * NU-CONV  Oxide to element: 0.4364 and 0.8301 as printed in extension leaflets; others recomputed.
 * NU-HOAG  Hoagland & Arnon 1950, California Agr. Exp. Sta. Circular 347 (salts from memory); Steiner
 *          1961, Plant and Soil 15:134-154 (ion ratios from memory).
 * NU-EGRO  N. Mattson (Cornell) 2018, e-GRO Edible Alert 3(5), worked examples (read).
 * NU-WV    Percent by weight and by volume: arithmetic.
 * NU-OZ    "Rule of 75": an ounce of an element in 100 US gallons; recomputed.
 * NU-INJ   N. Mattson, Fertilizer Calculations worksheet: 1:200, 150 ppm N, 20 % N (read). */
#include "daemon/base/err.h"
#include "daemon/core/chem/nutrient.h"
#include "daemon/core/units/quantity.h"
#include "tests/published/check.h"

static struct formula formula_of(const char *text)
{
    struct formula f = {0};
    struct err e = {0};

    if (formula_parse(text, &f, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return f;
}

static struct nutrients salt(const char *formula)
{
    struct formula f = formula_of(formula);

    return nutrients_of_salt(&f);
}

static double label(const char *word)
{
    double frac = NAN;

    assert_true(nutrient_find_label(word, &frac) >= 0);
    return frac;
}

static void salts_weigh_what_the_tables_say(void **state)
{
    static const struct {
        const char *formula;
        double molar_mass_g;
        enum nutrient a;
        double a_pct;
        enum nutrient b;
        double b_pct;
    } salts[] = {
        {"KNO3",          101.102, NUTRIENT_K,     38.67, NUTRIENT_NO3_N, 13.85},
        {"Ca(NO3)2.4H2O", 236.146, NUTRIENT_CA,    16.97, NUTRIENT_NO3_N, 11.86},
        {"MgSO4.7H2O",    246.466, NUTRIENT_MG,    9.86,  NUTRIENT_S,     13.01},
        {"KH2PO4",        136.084, NUTRIENT_K,     28.73, NUTRIENT_P,     22.76},
        {"K2SO4",         174.252, NUTRIENT_K,     44.88, NUTRIENT_S,     18.40},
        {"NH4H2PO4",      115.025, NUTRIENT_NH4_N, 12.18, NUTRIENT_P,     26.93},
        {"Mg(NO3)2.6H2O", 256.403, NUTRIENT_MG,    9.48,  NUTRIENT_NO3_N, 10.93},
        {"CaCl2.2H2O",    147.008, NUTRIENT_CA,    27.26, NUTRIENT_CL,    48.23},
        {"KCl",           74.548,  NUTRIENT_K,     52.45, NUTRIENT_CL,    47.55},
    };

    (void)state;
    for (size_t i = 0; i < sizeof salts / sizeof *salts; i++) {
        struct formula f = formula_of(salts[i].formula);
        struct nutrients n = nutrients_of_salt(&f);

        check_near("NU-SALT", salts[i].formula, salts[i].molar_mass_g, formula_molar_mass_g(&f),
                   0.005);
        check_near("NU-SALT", "  first element, % by weight", salts[i].a_pct, n.mg[salts[i].a] / 10,
                   0.01);
        check_near("NU-SALT", "  second element, % by weight", salts[i].b_pct,
                   n.mg[salts[i].b] / 10, 0.01);
    }
    check_near("NU-SALT", "NH4NO3, N in both forms, %", 35.00,
               (salt("NH4NO3").mg[NUTRIENT_NO3_N] + salt("NH4NO3").mg[NUTRIENT_NH4_N]) / 10, 0.01);
}

static void labels_count_in_oxides(void **state)
{
    (void)state;
    check_near("NU-CONV", "P in P2O5 (leaflets: 0.4364)", 0.4364, label("P2O5"), 0.0001);
    check_near("NU-CONV", "K in K2O (leaflets: 0.8301)", 0.8301, label("K2O"), 0.0001);
    check_near("NU-CONV", "Ca in CaO, recomputed", 0.71470, label("CaO"), 0.0001);
    check_near("NU-CONV", "Mg in MgO, recomputed", 0.60304, label("MgO"), 0.0001);
    check_near("NU-CONV", "S in SO3, recomputed", 0.40046, label("SO3"), 0.0001);
    check_near("NU-CONV", "N in NO3, recomputed", 0.22590, label("NO3"), 0.0001);
    check_near("NU-CONV", "S in SO4, recomputed", 0.33376, label("SO4"), 0.0001);
    check_near("NU-CONV", "P in PO4, recomputed", 0.32615, label("PO4"), 0.0001);
}

struct part {
    const char *formula;
    double g_l;
};

static struct nutrients solution_of(const struct part *part, size_t n)
{
    struct nutrients sum = {0};

    for (size_t i = 0; i < n; i++) {
        struct nutrients one = salt(part[i].formula);

        nutrients_add(&sum, &one, part[i].g_l);
    }
    return sum;
}

static void check_solution(const char *id, const char *source, const struct nutrients *got,
                           const double want[6])
{
    static const enum feed feeds[] = {FEED_N, FEED_P, FEED_K, FEED_CA, FEED_MG, FEED_S};

    for (size_t i = 0; i < 6; i++) {
        char row[64];

        (void)snprintf(row, sizeof row, "%s, %s, mg/L", source, feed_words[feeds[i]]);
        check_near(id, row, want[i], nutrients_feed_mg(got, feeds[i]), 0.1);
    }
}

static void classic_solutions_come_out_of_their_salts(void **state)
{
    static const struct part hoagland_1[] = {
        {"KH2PO4",        0.136084},
        {"KNO3",          0.50551 },
        {"Ca(NO3)2.4H2O", 1.18073 },
        {"MgSO4.7H2O",    0.492932}
    };
    static const struct part hoagland_2[] = {
        {"NH4H2PO4",      0.115025},
        {"KNO3",          0.606612},
        {"Ca(NO3)2.4H2O", 0.944584},
        {"MgSO4.7H2O",    0.492932}
    };
    static const struct part steiner[] = {
        {"KH2PO4",        0.136084},
        {"KNO3",          0.303306},
        {"K2SO4",         0.261378},
        {"Ca(NO3)2.4H2O", 1.062657},
        {"MgSO4.7H2O",    0.492932}
    };
    static const double want_1[] = {210.1, 31.0, 234.6, 200.4, 48.6, 64.1};
    static const double want_2[] = {210.1, 31.0, 234.6, 160.3, 48.6, 64.1};
    static const double want_s[] = {168.1, 31.0, 273.7, 180.4, 48.6, 112.2};
    struct nutrients n = solution_of(hoagland_1, 4);

    (void)state;
    check_solution("NU-HOAG", "Hoagland & Arnon 1", &n, want_1);
    n = solution_of(hoagland_2, 4);
    check_solution("NU-HOAG", "Hoagland & Arnon 2", &n, want_2);
    check_near("NU-HOAG", "Hoagland & Arnon 2, N as NH4, mg/L", 14.0, n.mg[NUTRIENT_NH4_N], 0.1);
    n = solution_of(steiner, 5);
    check_solution("NU-HOAG", "Steiner", &n, want_s);
}

/* The rule: mg/L of product = target over decimal fraction. */
static void an_extension_bulletin_reckons_the_same(void **state)
{
    double calcium_nitrate_mg_l = 100 / (10 * 15.5 / 1000 * label("N")); /* 15.5 % N, 19 % Ca */
    double magnesium_mg_l = 40 / (10 * 9.7 / 1000 * label("Mg"));        /* 9.7 % Mg, 13 % S */
    double gal_100_l = NAN;
    struct err e = {0};

    (void)state;
    assert_int_equal(quantity_parse(QUANTITY_VOLUME, "100 gal", &gal_100_l, &e), 0);
    check_near("NU-EGRO", "100 ppm N of 15.5 % N, mg/L", 645.2, calcium_nitrate_mg_l, 0.1);
    check_near("NU-EGRO", "  and the Ca of its 19 %, ppm", 122.6,
               calcium_nitrate_mg_l * 0.19 * label("Ca"), 0.1);
    check_near("NU-EGRO", "40 ppm Mg of 9.7 % Mg, mg/L", 412.4, magnesium_mg_l, 0.1);
    check_near("NU-EGRO", "  and the S of its 13 %, ppm", 53.6, magnesium_mg_l * 0.13 * label("S"),
               0.05);
    check_near("NU-EGRO", "  g in 100 gallons (printed at 412)", 155.9, 0.412 * gal_100_l, 0.1);
    check_near("NU-EGRO", "12 % P2O5 is so much P, %", 5.24, 12 * label("P2O5"), 0.005);
}

static void an_ounce_in_a_hundred_gallons_is_75_ppm(void **state)
{
    double oz_g = NAN;
    double gal_l = NAN;
    struct err e = {0};

    (void)state;
    assert_int_equal(quantity_parse(QUANTITY_DRY, "1 oz", &oz_g, &e), 0);
    assert_int_equal(quantity_parse(QUANTITY_VOLUME, "1 gal", &gal_l, &e), 0);
    check_near("NU-OZ", "1 oz of an element in 100 gal, ppm", 74.89, 1000 * oz_g / (100 * gal_l),
               0.01);
    check_near("NU-INJ", "oz a gal of stock at 1:200 (chart)", 20.25,
               150 * 200 / 0.20 * gal_l / 1000 / oz_g, 20.25 * 0.015);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(salts_weigh_what_the_tables_say),
        cmocka_unit_test(labels_count_in_oxides),
        cmocka_unit_test(classic_solutions_come_out_of_their_salts),
        cmocka_unit_test(an_extension_bulletin_reckons_the_same),
        cmocka_unit_test(an_ounce_in_a_hundred_gallons_is_75_ppm),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
