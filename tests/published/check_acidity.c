/* Acid, alkalinity and the pH meter.
 *
 * AC-ACID  NCSU Hort. Info. Leaflet 558 (Bailey & Bilderback 1998): fl oz of acid for 1000 gal and
 *          a meq/L at pH 5.8, and what it adds (from memory; agrees with recomputation within 2 %).
 * AC-LAB   mol/L of the concentrated acids, as a laboratory's table has them: 15.8 of nitric acid
 *          of 70 %, 14.7 of phosphoric of 85 %, 18.0 of sulfuric of 96 % (from memory).
 * AC-UMASS UMass, Adjusting Alkalinity with Acids: 1 fl oz of 75 % H3PO4 in 100 gal (a garbled copy
 *          read); and its worked example, 250 to 150 ppm with 93 % sulfuric acid, 0.77 fl oz.
 * PH-BUF   Buffers by temperature: JIS Z 8802 (reprint read); US technical series (read); Hetzer,
 *          Durst, Robinson & Bates 1977 (J. Res. NBS 81A:21), phthalate (read).
 * PH-NERNST 2.302585 R T / F, CODATA 2018; recomputed.
 * PH-LIMIT Offset within 30 mV, slope of 85 to 105 %: a maker's leaflet (read); 95 % and up is
 *          good: US LTER protocol 2004 (read). */
#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"
#include "daemon/core/chem/standards.h"
#include "daemon/core/units/quantity.h"
#include "tests/published/check.h"

#include <math.h>

static double in_unit(enum quantity q, const char *text)
{
    double v = NAN;
    struct err e = {0};

    if (quantity_parse(q, text, &v, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    return v;
}

static double dose_mmol_l(double alkalinity_meq_l, enum reagent r, double from, double to)
{
    struct dissolved w = {.alkalinity_meq_l = alkalinity_meq_l, .temp_c = 25};
    struct err e = {0};
    double mmol_l = NAN;

    w.ions.mmol_l[ION_NA] = alkalinity_meq_l;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, from);
    if (balance_dose_closed(&w, r, to, &mmol_l, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return mmol_l;
}

static void acids_take_what_the_leaflet_says(void **state)
{
    static const struct {
        enum reagent acid;
        double percent;
        double fl_oz, within_pct;
        const char *source;
        enum nutrient adds;
        double ppm; /* for each fl oz in 1000 gal */
    } rows[] = {
        {REAGENT_NITRIC,     67, 6.78, 2, "67 % HNO3, fl oz/1000 gal",  NUTRIENT_NO3_N, 1.64},
 /* The leaflet counts one proton; some of the second goes too. */
        {REAGENT_PHOSPHORIC, 75, 8.30, 5, "75 % H3PO4, fl oz/1000 gal", NUTRIENT_P,     2.88},
        {REAGENT_SULFURIC,   35, 11.0, 2, "35 % H2SO4, fl oz/1000 gal", NUTRIENT_S,     1.14},
    };
    double gal_1000_l = in_unit(QUANTITY_VOLUME, "1000 gal");
    double fl_oz_ml = in_unit(QUANTITY_LIQUID, "1 floz");

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double density = reagent_density_g_ml(rows[i].acid, rows[i].percent);
        double mol_ml = reagent_mol_ml(rows[i].acid, rows[i].percent, density);
        double ml = dose_mmol_l(1, rows[i].acid, 8.3, 5.8) / 1000 * gal_1000_l / mol_ml;
        struct nutrients adds = reagent_nutrients_mg_mol(rows[i].acid);

        check_near("AC-ACID", rows[i].source, rows[i].fl_oz, ml / fl_oz_ml,
                   rows[i].fl_oz * rows[i].within_pct / 100);
        check_near("AC-ACID", "  which adds, ppm a fl oz", rows[i].ppm,
                   adds.mg[rows[i].adds] * mol_ml * fl_oz_ml / gal_1000_l, rows[i].ppm * 0.02);
    }
}

static void bottles_are_as_strong_as_a_laboratory_has_them(void **state)
{
    static const struct {
        enum reagent acid;
        double percent, mol_l;
    } rows[] = {
        {REAGENT_NITRIC,     70, 15.8},
        {REAGENT_PHOSPHORIC, 85, 14.7},
        {REAGENT_SULFURIC,   96, 18.0},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char row[64];

        (void)snprintf(row, sizeof row, "%g %% %s, mol/L", rows[i].percent,
                       reagent_words[rows[i].acid]);
        check_near("AC-LAB", row, rows[i].mol_l,
                   1000 * reagent_mol_ml(rows[i].acid, rows[i].percent,
                                         reagent_density_g_ml(rows[i].acid, rows[i].percent)),
                   rows[i].mol_l * 0.01);
    }
}

static void a_worked_example_of_an_acid_is_met(void **state)
{
    double gal_100_l = in_unit(QUANTITY_VOLUME, "100 gal");
    double fl_oz_ml = in_unit(QUANTITY_LIQUID, "1 floz");
    double sulfuric_mol_ml =
        reagent_mol_ml(REAGENT_SULFURIC, 93, reagent_density_g_ml(REAGENT_SULFURIC, 93));
    double phosphoric_mol_ml =
        reagent_mol_ml(REAGENT_PHOSPHORIC, 75, reagent_density_g_ml(REAGENT_PHOSPHORIC, 75));
    double meq = 100 / REAGENT_CACO3_MG_MEQ * gal_100_l;

    (void)state;
    /* Its table is 5 to 6 % above what the properties of the acid give. */
    check_near("AC-UMASS", "250 to 150 ppm, 93 % H2SO4, fl oz/100 gal", 0.77,
               meq / 1000 / (2 * sulfuric_mol_ml) / fl_oz_ml, 0.77 * 0.06);
    check_near("AC-UMASS", "1 fl oz 75 % H3PO4 in 100 gal, ppm CaCO3", 45.0,
               phosphoric_mol_ml * fl_oz_ml * 1000 / gal_100_l * REAGENT_CACO3_MG_MEQ, 45.0 * 0.06);
}

static void buffers_read_by_temperature(void **state)
{
    static const struct {
        double temp_c;
        double ph[4];
    } rows[] = {
        {10, {4.00, 6.92, 9.33, 10.18}},
        {15, {4.00, 6.90, 9.27, 10.12}},
        {20, {4.00, 6.88, 9.22, 10.07}},
        {25, {4.01, 6.86, 9.18, 10.02}},
        {30, {4.01, 6.85, 9.14, 9.97} },
        {35, {4.02, 6.84, 9.10, 9.93} },
    };
    static const enum buffer buffers[] = {BUFFER_4_01, BUFFER_6_86, BUFFER_9_18, BUFFER_10_01};
    static const double technical[][2] = {
        {10, 7.06},
        {15, 7.04},
        {20, 7.02},
        {25, 7.00},
        {30, 6.99},
        {35, 6.99}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        for (size_t k = 0; k < 4; k++) {
            char row[64];

            (void)snprintf(row, sizeof row, "JIS Z 8802, %.2f at %g C", rows[3].ph[k],
                           rows[i].temp_c);
            check_near("PH-BUF", row, rows[i].ph[k], standard_buffer_ph(buffers[k], rows[i].temp_c),
                       0.01);
        }
    }
    for (size_t i = 0; i < sizeof technical / sizeof *technical; i++) {
        double t_k = technical[i][0] + 273.15;
        char row[64];

        (void)snprintf(row, sizeof row, "US technical 7.00 at %g C", technical[i][0]);
        check_near("PH-BUF", row, technical[i][1], standard_buffer_ph(BUFFER_7_00, technical[i][0]),
                   0.001);
        (void)snprintf(row, sizeof row, "phthalate at %g C, Hetzer et al. 1977", technical[i][0]);
        check_near("PH-BUF", row, 2073.44 / t_k - 13.3270 + 0.045199 * t_k - 3.4846e-5 * t_k * t_k,
                   standard_buffer_ph(BUFFER_4_01, technical[i][0]), 0.005);
    }
}

static void the_slope_of_a_new_probe_is_nernsts(void **state)
{
    static const double nernst[][2] = {
        {0,  54.20},
        {10, 56.18},
        {15, 57.17},
        {20, 58.17},
        {25, 59.16},
        {30, 60.15},
        {35, 61.14}
    };

    (void)state;
    for (size_t i = 0; i < sizeof nernst / sizeof *nernst; i++) {
        char row[64];

        (void)snprintf(row, sizeof row, "slope at %g C, mV", nernst[i][0]);
        check_near("PH-NERNST", row, nernst[i][1], standard_nernst_mv(nernst[i][0]), 0.01);
    }
}

/* Both sides of each limit. */
static void a_probe_is_judged_by_the_published_limits(void **state)
{
    static const struct {
        double slope_pct, offset_mv;
        enum verdict verdict;
        const char *why;
    } rows[] = {
  /* clang-format off */
        {100,   0,   VERDICT_GOOD, ""},
        {105,   30,  VERDICT_GOOD, ""},
        {95,    -30, VERDICT_GOOD, ""},
        {98.6,  NAN, VERDICT_GOOD, ""},
        {94.9,  0,   VERDICT_WORN, "its slope of 94.9 % shows wear: clean it soon"},
        {85,    0,   VERDICT_WORN, "its slope of 85.0 % shows wear: clean it soon"},
        {84.9,  0,   VERDICT_BAD,
         "its slope of 84.9 % is not within 85 to 105 %: clean or replace it"},
        {105.1, 0,   VERDICT_BAD,
         "its slope of 105.1 % is not within 85 to 105 %: clean or replace it"},
        {NAN,   0,   VERDICT_BAD,
         "its slope of nan % is not within 85 to 105 %: clean or replace it"},
        {100,   31,  VERDICT_BAD,
         "its offset of +31 mV is not within 30 mV: clean or replace it"},
        {90,    -31, VERDICT_BAD,
         "its offset of -31 mV is not within 30 mV: clean or replace it"},
  /* clang-format on */
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct calibration c = {rows[i].slope_pct, rows[i].offset_mv};
        char why[VERDICT_WHY_MAX] = "before";

        assert_int_equal(calibration_judge_ph(&c, why), rows[i].verdict);
        assert_string_equal(why, rows[i].why);
    }
    print_message("PH-LIMIT  a maker's leaflet, LTER 2004: %zu probes judged\n",
                  sizeof rows / sizeof *rows);
}

/* Common practice, no source. */
static void a_cell_within_a_tenth_of_its_constant_serves(void **state)
{
    static const struct {
        double slope_pct;
        enum verdict verdict;
        const char *why;
    } rows[] = {
        {100,   VERDICT_GOOD, ""                                                 },
        {110,   VERDICT_GOOD, ""                                                 },
        {90,    VERDICT_GOOD, ""                                                 },
        {110.2, VERDICT_BAD,
         "110.2 % of its cell's constant is not within 10 %: clean or replace it"},
        {89.8,  VERDICT_BAD,
         "89.8 % of its cell's constant is not within 10 %: clean or replace it" },
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct calibration c = {rows[i].slope_pct, NAN};
        char why[VERDICT_WHY_MAX] = "before";

        assert_int_equal(calibration_judge_ec(&c, why), rows[i].verdict);
        assert_string_equal(why, rows[i].why);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(acids_take_what_the_leaflet_says),
        cmocka_unit_test(bottles_are_as_strong_as_a_laboratory_has_them),
        cmocka_unit_test(a_worked_example_of_an_acid_is_met),
        cmocka_unit_test(buffers_read_by_temperature),
        cmocka_unit_test(the_slope_of_a_new_probe_is_nernsts),
        cmocka_unit_test(a_probe_is_judged_by_the_published_limits),
        cmocka_unit_test(a_cell_within_a_tenth_of_its_constant_serves),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
