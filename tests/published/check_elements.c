/* What salts and labels bring, by weight.
 *
 * NU-IUPAC Abridged standard atomic weights, Prohaska et al. 2022, Pure Appl. Chem. 94:573-600
 *          (from memory).
 * NU-SALT  Percent by weight from IUPAC atomic weights (abridged), recomputed by hand.
 * NU-CONV  Oxide to element: 0.4364 and 0.8301 as printed in extension leaflets; others recomputed.
 * NU-HOAG  Hoagland & Arnon 1950, California Agr. Exp. Sta. Circular 347 (salts from memory);
 *          Steiner 1961, Plant and Soil 15:134-154 (ion ratios from memory).
 * SA-SOL   Solubility of gypsum, 15.2 mmol/L (CRC Handbook, from memory).
 * NU-OZ    "Rule of 75": an ounce of an element in 100 US gallons; recomputed. */
#include "daemon/base/err.h"
#include "daemon/core/chem/nutrient.h"
#include "daemon/core/chem/salt.h"
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

static void atoms_weigh_what_the_commission_says(void **state)
{
    static const struct {
        const char *symbol;
        enum element element;
        double g_mol;
    } rows[] = {
        {"H",  ELEMENT_H,  1.008 },
        {"B",  ELEMENT_B,  10.81 },
        {"C",  ELEMENT_C,  12.011},
        {"N",  ELEMENT_N,  14.007},
        {"O",  ELEMENT_O,  15.999},
        {"Na", ELEMENT_NA, 22.990},
        {"Mg", ELEMENT_MG, 24.305},
        {"Si", ELEMENT_SI, 28.085},
        {"P",  ELEMENT_P,  30.974},
        {"S",  ELEMENT_S,  32.06 },
        {"Cl", ELEMENT_CL, 35.45 },
        {"K",  ELEMENT_K,  39.098},
        {"Ca", ELEMENT_CA, 40.078},
        {"Mn", ELEMENT_MN, 54.938},
        {"Fe", ELEMENT_FE, 55.845},
        {"Cu", ELEMENT_CU, 63.546},
        {"Zn", ELEMENT_ZN, 65.38 },
        {"Mo", ELEMENT_MO, 95.95 },
    };

    (void)state;
    assert_int_equal(sizeof rows / sizeof *rows, ELEMENT_COUNT);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct formula f = formula_of(rows[i].symbol);

        assert_true(f.atoms[rows[i].element] == 1);
        check_near("NU-IUPAC", rows[i].symbol, rows[i].g_mol, formula_molar_mass_g(&f), 1e-9);
        check_near("NU-IUPAC", "  asked for by itself", rows[i].g_mol,
                   element_molar_mass_g(rows[i].element), 1e-9);
        check_near("NU-IUPAC", "  share of itself", 1, formula_mass_frac(&f, rows[i].element), 0);
    }
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

/* Each word of a label with the form in which it counts, and how much of it is the element. */
static void labels_count_in_oxides(void **state)
{
    static const struct {
        const char *word;
        enum nutrient nutrient;
        double frac;
    } rows[] = {
        {"N",      NUTRIENT_NO3_N,  1      },
        {"NO3-N",  NUTRIENT_NO3_N,  1      },
        {"NH4-N",  NUTRIENT_NH4_N,  1      },
        {"urea-N", NUTRIENT_UREA_N, 1      },
        {"NO3",    NUTRIENT_NO3_N,  0.22590},
        {"NH4",    NUTRIENT_NH4_N,  0.77649}, /* 14.007 / 18.039 */
        {"P",      NUTRIENT_P,      1      },
        {"P2O5",   NUTRIENT_P,      0.43643},
        {"PO4",    NUTRIENT_P,      0.32615},
        {"K",      NUTRIENT_K,      1      },
        {"K2O",    NUTRIENT_K,      0.83015},
        {"Ca",     NUTRIENT_CA,     1      },
        {"CaO",    NUTRIENT_CA,     0.71470},
        {"Mg",     NUTRIENT_MG,     1      },
        {"MgO",    NUTRIENT_MG,     0.60304},
        {"S",      NUTRIENT_S,      1      },
        {"SO3",    NUTRIENT_S,      0.40046},
        {"SO4",    NUTRIENT_S,      0.33376},
        {"Fe",     NUTRIENT_FE,     1      },
        {"Mn",     NUTRIENT_MN,     1      },
        {"Zn",     NUTRIENT_ZN,     1      },
        {"Cu",     NUTRIENT_CU,     1      },
        {"B",      NUTRIENT_B,      1      },
        {"Mo",     NUTRIENT_MO,     1      },
        {"Si",     NUTRIENT_SI,     1      },
        {"SiO2",   NUTRIENT_SI,     0.46744}, /* 28.085 / 60.083 */
        {"Na",     NUTRIENT_NA,     1      },
        {"Cl",     NUTRIENT_CL,     1      },
    };
    size_t n = sizeof rows / sizeof *rows;
    double frac = 7;

    (void)state;
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(nutrient_find_label(rows[i].word, &frac), rows[i].nutrient);
        check_near("NU-CONV", rows[i].word, rows[i].frac, frac, 1e-5);
    }
    for (size_t i = 0; nutrient_label(i); i++) {
        if (i >= n || strcmp(nutrient_label(i), rows[i].word) != 0) {
            fail_msg("the label '%s' of nutrient.c has no published share here in its place",
                     nutrient_label(i));
        }
    }
    check_near("NU-CONV", "P in P2O5, printed in leaflets", 0.4364, label("P2O5"), 0.0001);
    check_near("NU-CONV", "K in K2O, printed in leaflets", 0.8301, label("K2O"), 0.0001);
    frac = 7;
    assert_int_equal(nutrient_find_label("K2SO4", &frac), -1);
    assert_true(frac == 7); /* left alone */
}

/* 2.6 g of gypsum in a litre are the 15.2 mmol/L from which its solubility product follows. */
static void the_solubility_of_gypsum_agrees_with_its_product(void **state)
{
    struct formula gypsum = formula_of("CaSO4.2H2O");

    (void)state;
    check_near("SA-SOL", "gypsum, mmol/L", 15.2,
               1000 * salt_dissolves_g_l(&gypsum) / formula_molar_mass_g(&gypsum), 0.2);
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
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(atoms_weigh_what_the_commission_says),
        cmocka_unit_test(salts_weigh_what_the_tables_say),
        cmocka_unit_test(labels_count_in_oxides),
        cmocka_unit_test(the_solubility_of_gypsum_agrees_with_its_product),
        cmocka_unit_test(classic_solutions_come_out_of_their_salts),
        cmocka_unit_test(an_ounce_in_a_hundred_gallons_is_75_ppm),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
