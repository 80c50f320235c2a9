/* How well solutions conduct, by their ions.
 *
 * EC-CRC   Equivalent conductivity of single salts at 25 C, CRC Handbook (from memory). Zinc's
 *          sulfate stands for magnesium's: at infinite dilution the two metals conduct alike (52.8
 *          and 53.1), and they pair with sulfate about as much.
 * EC-OH    Twelve solutions of sodium and potassium hydroxide, measured: Snyder, Feng, Keen & Mason
 *          2003, Cem. Concr. Res. 33:793-798 (table read). Of OH and the two metals in one water,
 *          up to a strength that no plant stands: the law alone, without pairs.
 * EC-SOLN  Hoagland & Arnon 1 and 2, Steiner, full strength: the spread of four published formulas
 *          (Sonneveld; Savvas; McCleskey et al. 2012; Standard Methods 2510), recomputed.
 * EC-SV    Sonneveld & Voogt 2009, Plant Nutrition of Greenhouse Crops: standard solutions for
 *          tomato (2.6), cucumber (2.2) and lettuce (2.6 dS/m), mmol/L; from memory, charges even.
 * EC-PHRQ  30 conductivities at 25 C computed with PHREEQC 3 (USGS, public domain; phreeqc.dat,
 *          solutions with ammonium by Amm.dat), tests/data/phreeqc.json, which has measured
 *          conductivities and ion pairs of its own.
 * EC-BEND  The same of three recipes full, by half and by a fifth: what a part of the dose adds for
 *          each part of it, beside the full dose.
 * EC-KOHL  Kohlrausch's bend of KCl, and its standards of 0.001, 0.01 and 0.1 mol/L: 146.9, 1412
 *          and 12,880 uS/cm (Standard Methods 2510, ISO 7888; from memory).
 * EC-HS796 UF/IFAS HS796, its first and its last stage (from memory). */
#include "daemon/base/text.h"
#include "daemon/core/chem/ions.h"
#include "tests/published/check.h"

#include <jansson.h>

static void single_salts_conduct_as_measured(void **state)
{
    static const double eq_l[] = {0.0005, 0.001, 0.005, 0.01, 0.02, 0.05, 0.1};
    /* clang-format off */
    static const struct {
        const char *name;
        enum ion cation, anion;
        int charge;
        double lambda[7];
    } salts[] = {
        {"KCl",    ION_K,   ION_CL,   1, {147.74, 146.88, 143.48, 141.20, 138.27, 133.30, 128.90}},
        {"NaCl",   ION_NA,  ION_CL,   1, {124.44, 123.68, 120.59, 118.45, 115.70, 111.01, 106.69}},
        {"KNO3",   ION_K,   ION_NO3,  1, {142.70, 141.77, 138.41, NAN,    132.34, 126.25, 120.34}},
        {"NH4Cl",  ION_NH4, ION_CL,   1, {NAN,    NAN,    NAN,    141.21, 138.25, 133.22, 128.69}},
        {"KHCO3",  ION_K,   ION_HCO3, 1, {116.04, 115.28, 112.18, 110.03, 107.17, NAN,    NAN   }},
        {"CaCl2",  ION_CA,  ION_CL,   2, {131.86, 130.30, 124.19, 120.30, 115.59, 108.42, 102.41}},
        {"MgCl2",  ION_MG,  ION_CL,   2, {125.55, 124.15, 118.25, 114.49, 109.99, 103.03, 97.05 }},
        {"Na2SO4", ION_NA,  ION_SO4,  1, {125.68, 124.09, 117.09, 112.38, 106.73, 97.70,  89.94 }},
        {"ZnSO4",  ION_MG,  ION_SO4,  2, {121.3,  114.47, 95.44,  84.87,  74.20,  61.17,  52.61 }},
    };
    /* clang-format on */

    (void)state;
    for (size_t i = 0; i < sizeof salts / sizeof *salts; i++) {
        double anion_charge = salts[i].anion == ION_SO4 ? 2 : 1;
        double product = salts[i].charge * anion_charge;
        double within_frac = product > 2 ? 0.05 : product > 1 ? 0.03 : 0.01;

        for (size_t k = 0; k < 7; k++) {
            double meq_l = 1000 * eq_l[k];
            struct ions ions = {0};
            char row[64];

            if (isnan(salts[i].lambda[k])) {
                continue; /* not tabulated, or not remembered */
            }
            ions.mmol_l[salts[i].cation] = meq_l / salts[i].charge;
            ions.mmol_l[salts[i].anion] = meq_l / anion_charge;
            (void)snprintf(row, sizeof row, "%s, %g eq/L, S cm2/eq", salts[i].name, eq_l[k]);
            check_near("EC-CRC", row, salts[i].lambda[k], 1000 * ions_ec_ms_cm(&ions) / meq_l,
                       salts[i].lambda[k] * within_frac);
        }
    }
}

/* mol/L of potassium and of sodium hydroxide; S/m. Ours is fit for a plant's solution: it is held
 * to the six of up to 0.4 mol/L, and the stronger ones are shown. */
static void two_metals_and_hydroxide_conduct_as_measured(void **state)
{
    static const double rows[][3] = {
        {0.125, 0.03125, 3.707},
        {0.25,  0.0625,  7.133},
        {0.5,   0.125,   13.56},
        {1,     0.25,    24.78},
        {0.125, 0.0625,  4.346},
        {0.25,  0.125,   8.330},
        {0.5,   0.25,    15.60},
        {1,     0.5,     27.61},
        {0.125, 0.125,   5.642},
        {0.25,  0.25,    10.70},
        {0.5,   0.5,     19.57},
        {1,     1,       33.50},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double k = rows[i][0];
        double na = rows[i][1];
        double s_m = 0.1 * (k * ions_conductivity(73.5, 1, 1, k + na) +
                            na * ions_conductivity(50.1, 1, 1, k + na) +
                            (k + na) * ions_conductivity(198, -1, 1, k + na));
        char row[64];

        (void)snprintf(row, sizeof row, "KOH %g, NaOH %g mol/L, S/m", k, na);
        check_near("EC-OH", row, rows[i][2], s_m, rows[i][2] * (k + na <= 0.4 ? 0.03 : 0.20));
    }
}

static void whole_recipes_read_what_was_published(void **state)
{
    static const struct ions hoagland_1 = {
        {[ION_K] = 6, [ION_CA] = 5, [ION_MG] = 2, [ION_NO3] = 15, [ION_H2PO4] = 1, [ION_SO4] = 2}
    };
    static const struct ions hoagland_2 = {
        {[ION_K] = 6,
         [ION_NH4] = 1,
         [ION_CA] = 4,
         [ION_MG] = 2,
         [ION_NO3] = 14,
         [ION_H2PO4] = 1,
         [ION_SO4] = 2}
    };
    static const struct ions steiner = {
        {[ION_K] = 7,
         [ION_CA] = 4.5,
         [ION_MG] = 2,
         [ION_NO3] = 12,
         [ION_H2PO4] = 1,
         [ION_SO4] = 3.5}
    };
    static const struct ions tomato = {
        {[ION_K] = 9.5,
         [ION_NH4] = 1.2,
         [ION_CA] = 5.4,
         [ION_MG] = 2.4,
         [ION_NO3] = 16,
         [ION_H2PO4] = 1.5,
         [ION_SO4] = 4.4}
    };
    static const struct ions cucumber = {
        {[ION_K] = 8,
         [ION_NH4] = 1.25,
         [ION_CA] = 4,
         [ION_MG] = 1.375,
         [ION_NO3] = 16,
         [ION_H2PO4] = 1.25,
         [ION_SO4] = 1.375}
    };
    static const struct ions lettuce = {
        {[ION_K] = 11,
         [ION_NH4] = 1.25,
         [ION_CA] = 4.5,
         [ION_MG] = 1,
         [ION_NO3] = 19,
         [ION_H2PO4] = 2,
         [ION_SO4] = 1.125}
    };

    (void)state;
    check_between("EC-SOLN", "Hoagland & Arnon 1, dS/m", 1.95, 2.35, ions_ec_ms_cm(&hoagland_1));
    check_between("EC-SOLN", "Hoagland & Arnon 2, dS/m", 1.88, 2.22, ions_ec_ms_cm(&hoagland_2));
    check_between("EC-SOLN", "Steiner, dS/m", 1.97, 2.29, ions_ec_ms_cm(&steiner));
    check_near("EC-SV", "Sonneveld & Voogt, tomato, dS/m", 2.6, ions_ec_ms_cm(&tomato), 0.26);
    check_near("EC-SV", "Sonneveld & Voogt, cucumber, dS/m", 2.2, ions_ec_ms_cm(&cucumber), 0.22);
    check_near("EC-SV", "Sonneveld & Voogt, lettuce, dS/m", 2.6, ions_ec_ms_cm(&lettuce), 0.26);
}

/* Salts as the file names them: what a mol of each brings. */
static void add_salt(struct ions *to, const char *name, double mmol_l)
{
    static const struct {
        const char *name;
        enum ion cation, anion;
        int n_cations, n_anions;
    } salts[] = {
        {"Ca(NO3)2", ION_CA,  ION_NO3,   1, 2},
        {"Mg(NO3)2", ION_MG,  ION_NO3,   1, 2},
        {"KNO3",     ION_K,   ION_NO3,   1, 1},
        {"NH4NO3",   ION_NH4, ION_NO3,   1, 1},
        {"KH2PO4",   ION_K,   ION_H2PO4, 1, 1},
        {"NH4H2PO4", ION_NH4, ION_H2PO4, 1, 1},
        {"MgSO4",    ION_MG,  ION_SO4,   1, 1},
        {"K2SO4",    ION_K,   ION_SO4,   2, 1},
        {"KCl",      ION_K,   ION_CL,    1, 1},
        {"NaCl",     ION_NA,  ION_CL,    1, 1},
        {"CaCl2",    ION_CA,  ION_CL,    1, 2},
    };

    for (size_t i = 0; i < sizeof salts / sizeof *salts; i++) {
        if (strcmp(salts[i].name, name) == 0) {
            to->mmol_l[salts[i].cation] += salts[i].n_cations * mmol_l;
            to->mmol_l[salts[i].anion] += salts[i].n_anions * mmol_l;
            return;
        }
    }
    fail_msg("%s is a salt that this check does not know", name);
}

/* The file's solution, and in words: "KNO3 4.251, NaCl 0.347". */
static struct ions solution_of(json_t *salts, struct text *words)
{
    struct ions out = {0};
    const char *name;
    json_t *mmol_l;

    json_object_foreach(salts, name, mmol_l)
    {
        add_salt(&out, name, json_number_value(mmol_l));
        text_add(words, "%s%s %g", *text_str(words) ? ", " : "", name, json_number_value(mmol_l));
    }
    return out;
}

static json_t *conductances(json_t **root)
{
    json_error_t e;

    *root = json_load_file(TARN_SOURCE_DIR "/tests/data/phreeqc.json", 0, &e);
    assert_non_null(*root);
    assert_int_equal(json_array_size(json_object_get(*root, "conductance")), 30);
    return json_object_get(*root, "conductance");
}

static void salts_and_recipes_conduct_as_an_independent_model_says(void **state)
{
    json_t *root;
    json_t *all = conductances(&root); /* not in the loop's head, which is asked anew each time */
    json_t *one;
    size_t i;

    (void)state;
    json_array_foreach(all, i, one)
    {
        double want = json_number_value(json_object_get(one, "ec_ms_cm"));
        struct text words = {0};
        struct ions ions = solution_of(json_object_get(one, "salts_mmol_l"), &words);

        check_near("EC-PHRQ", text_str(&words), want, ions_ec_ms_cm(&ions), want * 0.03);
        text_deinit(&words);
    }
    json_decref(root);
}

/* The file has three recipes first, each full, by half and by a fifth. */
static void a_weak_solution_conducts_more_for_each_part(void **state)
{
    static const double part[] = {1, 0.5, 0.2};
    json_t *root;
    json_t *all = conductances(&root);

    (void)state;
    for (size_t i = 0; i < 9; i++) {
        const json_t *full = json_array_get(all, i - i % 3);
        const json_t *one = json_array_get(all, i);
        struct text words = {0};
        struct ions ions_full = solution_of(json_object_get(full, "salts_mmol_l"), &words);
        struct ions ions_one = solution_of(json_object_get(one, "salts_mmol_l"), &words);
        double want = json_number_value(json_object_get(one, "ec_ms_cm")) /
                      json_number_value(json_object_get(full, "ec_ms_cm")) / part[i % 3];
        char row[64];

        (void)snprintf(row, sizeof row, "recipe %zu, %g of it, over linear", i / 3 + 1,
                       part[i % 3]);
        check_near("EC-BEND", row, want,
                   ions_ec_ms_cm(&ions_one) / ions_ec_ms_cm(&ions_full) / part[i % 3], 0.01 * want);
        text_deinit(&words);
    }
    json_decref(root);
}

static void the_standards_bend_as_kohlrausch_found(void **state)
{
    static const double rows[][2] = {
        {1,   146.9},
        {10,  1412 },
        {100, 12880}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct ions kcl = {
            {[ION_K] = rows[i][0], [ION_CL] = rows[i][0]}
        };
        char row[64];

        (void)snprintf(row, sizeof row, "KCl %g mmol/L, uS/cm", rows[i][0]);
        check_near("EC-KOHL", row, rows[i][1], 1000 * ions_ec_ms_cm(&kcl), 0.005 * rows[i][1]);
    }
}

/* The ppm and the EC of a published row are two targets: the first stage of UF/IFAS HS796 (from
 * memory) prints 0.7 dS/m, and its ions conduct more than that. */
static void a_published_row_may_not_agree_with_itself(void **state)
{
    static const struct nutrients seedling = {
        {[NUTRIENT_NO3_N] = 70,
         [NUTRIENT_P] = 50,
         [NUTRIENT_K] = 120,
         [NUTRIENT_CA] = 150,
         [NUTRIENT_MG] = 40,
         [NUTRIENT_S] = 50}
    };
    static const struct nutrients fruit = {
        {[NUTRIENT_NO3_N] = 150,
         [NUTRIENT_P] = 50,
         [NUTRIENT_K] = 200,
         [NUTRIENT_CA] = 150,
         [NUTRIENT_MG] = 50,
         [NUTRIENT_S] = 60}
    };
    struct ions ions = ions_of_nutrients(&seedling);

    (void)state;
    check_between("EC-HS796", "ions of the row printed as 0.7, dS/m", 0.97, 1.39,
                  ions_ec_ms_cm(&ions));
    ions = ions_of_nutrients(&fruit);
    check_near("EC-HS796", "  of the last row, printed as 1.8, dS/m", 1.8, ions_ec_ms_cm(&ions),
               0.18);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(single_salts_conduct_as_measured),
        cmocka_unit_test(two_metals_and_hydroxide_conduct_as_measured),
        cmocka_unit_test(whole_recipes_read_what_was_published),
        cmocka_unit_test(salts_and_recipes_conduct_as_an_independent_model_says),
        cmocka_unit_test(a_weak_solution_conducts_more_for_each_part),
        cmocka_unit_test(the_standards_bend_as_kohlrausch_found),
        cmocka_unit_test(a_published_row_may_not_agree_with_itself),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
