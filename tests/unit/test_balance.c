/* Charge is neither made nor lost, whatever is dosed. What doses a reference program says stands in
 * tests/published/check_balance.c. */
#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"
#include "tests/cmocka_all.h"

#include <math.h>
#include <string.h>

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.10g is not %.10g within %g", got, want, within);
    }
}

/* A plain water: so much alkalinity, evened out by sodium. */
static struct dissolved plain(double alkalinity_meq_l, double ph)
{
    struct dissolved w = {.alkalinity_meq_l = alkalinity_meq_l, .temp_c = 25};

    w.ions.mmol_l[ION_NA] = alkalinity_meq_l;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, ph);
    return w;
}

static double dose(const struct dissolved *w, enum reagent r, double to)
{
    double mmol_l = NAN;
    struct err e = {0};

    if (balance_dose_closed(w, r, to, &mmol_l, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return mmol_l;
}

/* So much of the alkalinity for each mmol, and what comes along. */
static void each_reagent_moves_the_alkalinity_by_its_charge(void **ctx)
{
    static const struct {
        enum reagent reagent;
        double meq, carbonate, citrate;
        enum ion ion;
        bool brings;
    } rows[] = {
        {REAGENT_PHOSPHORIC, -1, 0, 0, ION_H2PO4, true },
        {REAGENT_NITRIC,     -1, 0, 0, ION_NO3,   true },
        {REAGENT_SULFURIC,   -2, 0, 0, ION_SO4,   true },
        {REAGENT_CITRIC,     0,  0, 1, ION_K,     false},
        {REAGENT_KOH,        1,  0, 0, ION_K,     true },
        {REAGENT_KHCO3,      1,  1, 0, ION_K,     true },
        {REAGENT_NONE,       0,  0, 0, ION_K,     false},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dissolved w = plain(2, 7.5);
        struct dissolved was = w;

        balance_add(&w, rows[i].reagent, 0.3);
        assert_near(w.alkalinity_meq_l - was.alkalinity_meq_l, 0.3 * rows[i].meq, 1e-12);
        assert_near(w.carbonate_mmol_l - was.carbonate_mmol_l, 0.3 * rows[i].carbonate, 1e-12);
        assert_near(w.citrate_mmol_l, 0.3 * rows[i].citrate, 1e-12);
        assert_near(w.ions.mmol_l[rows[i].ion] - was.ions.mmol_l[rows[i].ion],
                    rows[i].brings ? 0.3 : 0, 1e-12);
    }
}

static void a_dose_brings_the_water_where_it_was_to_come(void **ctx)
{
    static const struct {
        enum reagent reagent;
        double from, to;
    } rows[] = {
        {REAGENT_PHOSPHORIC, 7.5, 5.8},
        {REAGENT_NITRIC,     7.5, 5.8},
        {REAGENT_SULFURIC,   7.5, 5.8},
        {REAGENT_CITRIC,     7.5, 5.8},
        {REAGENT_KOH,        5.8, 7.5},
        {REAGENT_KHCO3,      5.0, 6.0},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dissolved w = plain(1.2, rows[i].from);

        balance_add(&w, rows[i].reagent, dose(&w, rows[i].reagent, rows[i].to));
        assert_near(balance_ph_closed(&w), rows[i].to, 1e-6);
    }
}

/* The pH in the open is the alkalinity's alone: however much gas there was before. */
static void the_open_air_forgets_how_much_gas_there_was(void **ctx)
{
    struct dissolved much = plain(1, 6.0);
    struct dissolved little = plain(1, 8.5);
    double mmol_l;

    (void)ctx;
    assert_near(balance_ph_open(&much), balance_ph_open(&little), 1e-9);
    assert_int_equal(balance_dose_open(&much, REAGENT_NITRIC, 6.5, &mmol_l, NULL), 0);
    balance_add(&much, REAGENT_NITRIC, mmol_l);
    assert_near(balance_ph_open(&much), 6.5, 1e-6);
    assert_near(much.carbonate_mmol_l, plain(1, 6.0).carbonate_mmol_l, 1e-12);
}

static void a_water_that_stands_comes_to_the_airs_balance(void **ctx)
{
    struct dissolved w = plain(2, 7.5);
    double before;

    (void)ctx;
    balance_add(&w, REAGENT_NITRIC, dose(&w, REAGENT_NITRIC, 5.8));
    before = balance_ph_closed(&w);
    balance_stand(&w, 0);
    assert_near(balance_ph_closed(&w), before, 1e-9);
    balance_stand(&w, 1); /* most of the gas in excess, and not all of it */
    assert_true(balance_ph_closed(&w) > before + 0.2);
    assert_true(balance_ph_closed(&w) < balance_ph_open(&w) - 0.1);
    balance_stand(&w, 30);
    assert_near(balance_ph_closed(&w), balance_ph_open(&w), 1e-6);
    w = plain(2, 9.5); /* one that lacks gas takes it up */
    balance_stand(&w, 1);
    assert_true(balance_ph_closed(&w) < 9.5);
}

static void a_ph_says_the_alkalinity_and_the_other_way_round(void **ctx)
{
    struct dissolved w = plain(1.5, 7.2);
    double open_ph = balance_ph_open(&w);

    (void)ctx;
    assert_near(balance_alkalinity_closed_meq_l(&w, 7.2), 1.5, 1e-6);
    assert_near(balance_alkalinity_open_meq_l(&w, open_ph), 1.5, 1e-6);
    w.carbonate_mmol_l = balance_carbonate_open_mmol_l(&w, open_ph);
    assert_near(balance_ph_closed(&w), open_ph, 1e-6);
    w.alkalinity_meq_l = -1; /* no carbonate makes that */
    assert_true(balance_carbonate_mmol_l(&w, 7) == 0);
}

static void nothing_is_dosed_the_other_way(void **ctx)
{
    struct dissolved w = plain(2, 6.0);

    (void)ctx;
    for (int r = REAGENT_PHOSPHORIC; r <= REAGENT_CITRIC; r++) {
        assert_true(dose(&w, (enum reagent)r, 6.1) == 0);
        assert_true(dose(&w, (enum reagent)r, 5.9) > 0);
    }
    for (int r = REAGENT_KOH; r <= REAGENT_KHCO3; r++) {
        assert_true(dose(&w, (enum reagent)r, 5.9) == 0);
        assert_true(dose(&w, (enum reagent)r, 6.1) > 0);
    }
}

static void a_reagent_that_cannot_get_there_says_so(void **ctx)
{
    struct dissolved w = plain(2, 6.0);
    struct err e = {0};
    double out = 7;

    (void)ctx;
    assert_true(dose(&w, REAGENT_KHCO3, 7.5) > 0);
    assert_int_equal(balance_dose_closed(&w, REAGENT_KHCO3, 8.01, &out, &e), ERR_RANGE);
    assert_string_equal(e.msg, "potassium bicarbonate does not take a water above pH 8.0");
    assert_true(dose(&w, REAGENT_CITRIC, 3.1) > 0);
    assert_int_equal(balance_dose_open(&w, REAGENT_CITRIC, 2.99, &out, &e), ERR_RANGE);
    assert_string_equal(e.msg, "citric acid does not take a water below pH 3.0");
}

/* pK1 of carbonic acid by temperature (Harned & Davis 1943, from memory): there half
 * of the carbonate is bicarbonate, in a water too dilute for activities to matter. */
static void half_of_the_carbonate_is_bicarbonate_at_pk1(void **ctx)
{
    static const double rows[][2] = {
        {10, 6.464},
        {15, 6.419},
        {20, 6.381},
        {25, 6.352},
        {30, 6.327}
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct dissolved w = {.alkalinity_meq_l = 0.01, .temp_c = rows[i][0]};

        assert_near(balance_carbonate_mmol_l(&w, rows[i][1]), 0.02, 0.001);
    }
}

/* Dihydrogen phosphate alone stands midway between its first two steps: (2.168 + 7.207) / 2. */
static void much_phosphate_brings_its_own_ph(void **ctx)
{
    struct dissolved w = {.temp_c = 25};

    (void)ctx;
    w.ions.mmol_l[ION_K] = w.ions.mmol_l[ION_H2PO4] = 50;
    assert_near(balance_ph_closed(&w), 4.6, 0.15);
    w.ions.mmol_l[ION_K] = 0; /* ammonium as its cation leaves the pH alone below 8 */
    w.ions.mmol_l[ION_NH4] = 50;
    assert_near(balance_ph_closed(&w), 4.6, 0.15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_reagent_moves_the_alkalinity_by_its_charge),
        cmocka_unit_test(a_dose_brings_the_water_where_it_was_to_come),
        cmocka_unit_test(the_open_air_forgets_how_much_gas_there_was),
        cmocka_unit_test(a_water_that_stands_comes_to_the_airs_balance),
        cmocka_unit_test(a_ph_says_the_alkalinity_and_the_other_way_round),
        cmocka_unit_test(nothing_is_dosed_the_other_way),
        cmocka_unit_test(a_reagent_that_cannot_get_there_says_so),
        cmocka_unit_test(half_of_the_carbonate_is_bicarbonate_at_pk1),
        cmocka_unit_test(much_phosphate_brings_its_own_ph),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
