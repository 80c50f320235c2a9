/* What moves a pH and what does not. Published doses stand in tests/published/check_acidity.c; here
 * are the limits, and that charge is neither made nor lost. */
#include "daemon/base/err.h"
#include "daemon/core/chem/acidity.h"
#include "tests/cmocka_all.h"

#include <math.h>
#include <string.h>

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.10g is not %.10g within %g", got, want, within);
    }
}

static double dose(const struct water *w, enum reagent r, double from, double to)
{
    double mmol_l = NAN;
    struct err e = {0};

    if (acidity_dose_mmol_l(w, r, from, to, &mmol_l, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return mmol_l;
}

static void reagents_are_acids_or_bases(void **ctx)
{
    static const struct {
        const char *word;
        bool acid;
    } rows[] = {
        {"none",                  false},
        {"phosphoric acid",       true },
        {"nitric acid",           true },
        {"sulfuric acid",         true },
        {"citric acid",           true },
        {"potassium hydroxide",   false},
        {"potassium bicarbonate", false},
    };
    _Static_assert(sizeof rows / sizeof *rows == REAGENT_COUNT,
                   "a reagent of which nobody has tested whether it is an acid");

    (void)ctx;
    for (int r = 0; r < REAGENT_COUNT; r++) {
        assert_string_equal(reagent_words[r], rows[r].word);
        assert_int_equal(reagent_is_acid((enum reagent)r), rows[r].acid);
    }
    assert_null(reagent_words[REAGENT_COUNT]);
}

/* In a plain water alkalinity is what a strong base adds and an acid takes: so much for each
 * proton. */
static void a_dose_changes_the_alkalinity_by_its_charge(void **ctx)
{
    static const struct {
        enum reagent reagent;
        double from, to, meq_per_mmol, carbonate;
    } rows[] = {
        {REAGENT_NITRIC,   7.5, 5.8, -1, 0},
        {REAGENT_SULFURIC, 7.5, 5.8, -2, 0},
        {REAGENT_KOH,      5.8, 7.5, 1,  0},
        {REAGENT_KHCO3,    5.8, 7.5, 1,  1}, /* it brings its carbonate along */
        {REAGENT_KHCO3,    5.0, 6.0, 1,  1},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double carbonate = carbonate_of_alkalinity(1.2, rows[i].from, 20);
        struct water w = {carbonate, 0, 20};
        double mmol_l = dose(&w, rows[i].reagent, rows[i].from, rows[i].to);

        assert_true(mmol_l > 0.1);
        assert_near(carbonate_of_alkalinity(1.2 + rows[i].meq_per_mmol * mmol_l, rows[i].to, 20),
                    carbonate + rows[i].carbonate * mmol_l, 1e-9);
    }
}

/* Phosphate gives and takes as well, at any pH: what went down comes up again. */
static void a_base_undoes_what_the_acid_did(void **ctx)
{
    struct water w = {carbonate_of_alkalinity(1, 7.5, 25), 0.5, 25};

    (void)ctx;
    assert_near(dose(&w, REAGENT_KOH, 5.8, 7.5), dose(&w, REAGENT_NITRIC, 7.5, 5.8), 1e-9);
}

/* From pH 4.7 to 7.2 phosphoric acid gives between one and one and a half protons a mole, citric
 * two to nearly three: their pK are 2.1, 7.2 and 3.1, 4.8, 6.4 (CRC Handbook). */
static void weak_acids_give_the_protons_of_their_pk(void **ctx)
{
    struct water w = {carbonate_of_alkalinity(2, 8, 25), 0, 25};

    (void)ctx;
    assert_near(dose(&w, REAGENT_NITRIC, 8, 7.198) / dose(&w, REAGENT_PHOSPHORIC, 8, 7.198), 1.5,
                0.01);
    assert_near(dose(&w, REAGENT_NITRIC, 8, 4.7) / dose(&w, REAGENT_PHOSPHORIC, 8, 4.7), 1, 0.01);
    assert_near(dose(&w, REAGENT_NITRIC, 8, 6.40) / dose(&w, REAGENT_CITRIC, 8, 6.40), 2.5, 0.02);
    assert_near(dose(&w, REAGENT_NITRIC, 8, 4.76) / dose(&w, REAGENT_CITRIC, 8, 4.76), 1.5, 0.02);
}

static void nothing_is_dosed_the_other_way(void **ctx)
{
    struct water w = {2, 1, 25};

    (void)ctx;
    for (int r = REAGENT_PHOSPHORIC; r <= REAGENT_CITRIC; r++) {
        assert_true(dose(&w, (enum reagent)r, 5.8, 6.2) == 0);
        assert_true(dose(&w, (enum reagent)r, 5.8, 5.8) == 0);
        assert_true(dose(&w, (enum reagent)r, 5.8, 5.7) > 0);
    }
    for (int r = REAGENT_KOH; r <= REAGENT_KHCO3; r++) {
        assert_true(dose(&w, (enum reagent)r, 6.2, 5.8) == 0);
        assert_true(dose(&w, (enum reagent)r, 6.2, 6.2) == 0);
        assert_true(dose(&w, (enum reagent)r, 6.2, 6.3) > 0);
    }
}

static void a_reagent_that_cannot_get_there_says_so(void **ctx)
{
    struct water w = {2, 1, 25};
    struct err e = {0};
    double out = 7;

    (void)ctx;
    assert_true(dose(&w, REAGENT_KHCO3, 6, 8.0) > 0);
    assert_int_equal(acidity_dose_mmol_l(&w, REAGENT_KHCO3, 6, 8.01, &out, &e), ERR_RANGE);
    assert_string_equal(e.msg, "potassium bicarbonate does not take a water above pH 8.0");
    assert_true(dose(&w, REAGENT_CITRIC, 6, 3.0) > 0);
    assert_int_equal(acidity_dose_mmol_l(&w, REAGENT_CITRIC, 6, 2.99, &out, &e), ERR_RANGE);
    assert_string_equal(e.msg, "citric acid does not take a water below pH 3.0");
    assert_true(out == 7);                          /* left alone */
    assert_true(dose(&w, REAGENT_KOH, 6, 8.5) > 0); /* these can */
    assert_true(dose(&w, REAGENT_NITRIC, 6, 2.9) > 0);
}

/* At the pH of its pK1 half of the carbonate is bicarbonate: twice the alkalinity. Harned & Davis
 * 1943, from memory; the table ends at 10 and 30 C. */
static void half_of_the_carbonate_is_bicarbonate_at_pk1(void **ctx)
{
    static const double rows[][2] = {
        {0,  6.464},
        {10, 6.464},
        {15, 6.419},
        {20, 6.381},
        {25, 6.352},
        {30, 6.327},
        {45, 6.327}
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_near(carbonate_of_alkalinity(4, rows[i][1], rows[i][0]), 8, 0.003);
    }
    assert_near(carbonate_of_alkalinity(4, (6.381 + 6.352) / 2, 22.5), 8, 0.003);
    /* At pH 4 the acid itself outweighs an alkalinity of nothing. */
    assert_true(carbonate_of_alkalinity(-1, 4, 25) == 0);
    /* Its own second step: at 10.33 half is carbonate already, with two charges. */
    assert_near(carbonate_of_alkalinity(3 + 0.214, 10.33, 25), 2, 0.001); /* 0.214 meq/L is OH- */
}

static void without_phosphate_nutrients_leave_the_ph(void **ctx)
{
    static const double ph[] = {3.5, 4.7, 5.8, 7, 8.3, 10.4};

    (void)ctx;
    for (size_t i = 0; i < sizeof ph / sizeof *ph; i++) {
        struct water w = {1, 0, 25};

        assert_near(acidity_ph_with_phosphate(&w, ph[i]), ph[i], 1e-6);
    }
}

/* Dihydrogen phosphate in pure water makes pH 4.7 or so by itself, and takes any water towards
 * that: sqrt(K1 K2) in the limit, (2.148 + 7.198) / 2. */
static void much_phosphate_brings_its_own_ph(void **ctx)
{
    struct water w = {0.1, 100, 25};

    (void)ctx;
    assert_near(acidity_ph_with_phosphate(&w, 8), 4.67, 0.1);
}

/* CRC Handbook, from memory, as far as its tables go. */
static void densities_end_where_the_handbook_does(void **ctx)
{
    static const struct {
        enum reagent r;
        double most_pct, g_ml;
    } rows[] = {
        {REAGENT_PHOSPHORIC, 85, 1.685},
        {REAGENT_NITRIC,     70, 1.413},
        {REAGENT_SULFURIC,   98, 1.836},
        {REAGENT_CITRIC,     50, 1.227},
        {REAGENT_KOH,        50, 1.511},
        {REAGENT_KHCO3,      20, 1.135},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_near(reagent_density_g_ml(rows[i].r, 0), 0.998, 1e-9); /* water at 20 C */
        assert_near(reagent_density_g_ml(rows[i].r, rows[i].most_pct), rows[i].g_ml, 1e-9);
        assert_true(isnan(reagent_density_g_ml(rows[i].r, rows[i].most_pct + 0.1)));
        assert_true(isnan(reagent_density_g_ml(rows[i].r, -0.1)));
        assert_true(isnan(reagent_density_g_ml(rows[i].r, NAN)));
    }
    assert_true(isnan(reagent_density_g_ml(REAGENT_NONE, 0)));
}

/* mg in a mole are g/mol times 1000. */
static void reagents_feed_as_well(void **ctx)
{
    static const struct {
        enum reagent r;
        enum nutrient n;
        double mg;
    } rows[] = {
        {REAGENT_PHOSPHORIC, NUTRIENT_P,     30974},
        {REAGENT_NITRIC,     NUTRIENT_NO3_N, 14007},
        {REAGENT_SULFURIC,   NUTRIENT_S,     32060},
        {REAGENT_KOH,        NUTRIENT_K,     39098},
        {REAGENT_KHCO3,      NUTRIENT_K,     39098},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct nutrients got = reagent_nutrients_mg_mol(rows[i].r);

        assert_near(got.mg[rows[i].n], rows[i].mg, 0.5);
        got.mg[rows[i].n] = 0;
        assert_true(nutrients_none(&got));
    }
    for (size_t i = 0; i < 2; i++) {
        struct nutrients none = reagent_nutrients_mg_mol(i ? REAGENT_CITRIC : REAGENT_NONE);

        assert_true(nutrients_none(&none));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reagents_are_acids_or_bases),
        cmocka_unit_test(a_dose_changes_the_alkalinity_by_its_charge),
        cmocka_unit_test(a_base_undoes_what_the_acid_did),
        cmocka_unit_test(weak_acids_give_the_protons_of_their_pk),
        cmocka_unit_test(nothing_is_dosed_the_other_way),
        cmocka_unit_test(a_reagent_that_cannot_get_there_says_so),
        cmocka_unit_test(half_of_the_carbonate_is_bicarbonate_at_pk1),
        cmocka_unit_test(without_phosphate_nutrients_leave_the_ph),
        cmocka_unit_test(much_phosphate_brings_its_own_ph),
        cmocka_unit_test(densities_end_where_the_handbook_does),
        cmocka_unit_test(reagents_feed_as_well),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
