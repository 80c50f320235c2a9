/* Carbonate and phosphate in balance with acid and base, closed and in the open.
 *
 * PH-NIST  Primary buffers at 25 C: 0.025 m NaHCO3 and Na2CO3, pH 10.012 (Staples & Bates 1969,
 *          read); 0.025 m KH2PO4 and Na2HPO4, pH 6.865 (NIST, DIN 19266; from memory).
 * AC-2320  Standard Methods 2320: where the titration of 30, 150 and 500 mg/L as CaCO3 ends, pH
 *          4.9, 4.6 and 4.3 (from memory). Some of the gas is lost in their beaker, and ours is
 *          closed: lower by 0.2 at most.
 * AC-HCO3  A solution of sodium bicarbonate: pH 8.3, the other end of that titration.
 * AC-RAIN  Pure water in balance with the air: pH 5.6 (textbooks; from memory).
 * AC-80    At pH 5.8 about 80 % of the bicarbonate is gone (NCSU Hort. Info. Leaflet 558, from
 *          memory); 78.1 % by the closed form without activities.
 * AC-OPEN  What is left holds 5.8 in the open only when all but the bicarbonate of the air's gas is
 *          gone: [HCO3] = K1 KH pCO2 / [H] (Stumm & Morgan, Aquatic Chemistry, chapter 4; from
 *          memory). */
#include "daemon/base/err.h"
#include "daemon/core/chem/balance.h"
#include "tests/published/check.h"

#define CACO3_MG_MEQ 50.04

/* Of sodium, so that nothing pairs much. */
static struct dissolved of_carbonate(double alkalinity_meq_l, double carbonate_mmol_l)
{
    return (struct dissolved){.alkalinity_meq_l = alkalinity_meq_l,
                              .carbonate_mmol_l = carbonate_mmol_l,
                              .temp_c = 25,
                              .ions.mmol_l = {[ION_NA] = alkalinity_meq_l}};
}

static void primary_buffers_have_their_ph(void **state)
{
    struct dissolved carbonate = of_carbonate(75, 50);
    struct dissolved phosphate = {
        .alkalinity_meq_l = 25,
        .temp_c = 25,
        .ions.mmol_l = {[ION_K] = 25, [ION_NA] = 50, [ION_H2PO4] = 50}
    };

    (void)state;
    check_near("PH-NIST", "carbonate buffer, 0.025 m each", 10.012, balance_ph_closed(&carbonate),
               0.05);
    check_near("PH-NIST", "phosphate buffer, 0.025 m each", 6.865, balance_ph_closed(&phosphate),
               0.05);
}

static void a_titration_ends_where_standard_methods_ends_it(void **state)
{
    static const double rows[][2] = {
        {30,  4.9},
        {150, 4.6},
        {500, 4.3}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double meq_l = rows[i][0] / CACO3_MG_MEQ;
        struct dissolved w = of_carbonate(meq_l, meq_l);
        char row[64];

        (void)snprintf(row, sizeof row, "bicarbonate, %g mg/L as CaCO3, pH", rows[i][0]);
        check_near("AC-HCO3", row, 8.3, balance_ph_closed(&w), 0.1);
        balance_add(&w, REAGENT_NITRIC, meq_l);
        (void)snprintf(row, sizeof row, "  with as much acid, pH");
        check_between("AC-2320", row, rows[i][1] - 0.2, rows[i][1], balance_ph_closed(&w));
    }
}

static double dose(const struct dissolved *w, double to, bool open)
{
    struct err e = {0};
    double mmol_l = NAN;

    if ((open ? balance_dose_open : balance_dose_closed)(w, REAGENT_NITRIC, to, &mmol_l, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return mmol_l;
}

static void most_of_the_bicarbonate_is_gone_at_5_8(void **state)
{
    struct dissolved w = of_carbonate(4, 0);

    (void)state;
    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, 8.0);
    check_between("AC-80", "4 meq/L from pH 8.0 to 5.8, share", 0.75, 0.80,
                  dose(&w, 5.8, false) / 4);
}

static void in_the_open_nearly_all_of_it_has_to_go(void **state)
{
    struct dissolved pure = {.temp_c = 25};
    struct dissolved w = of_carbonate(4, 4);
    double left_meq_l = pow(10, 3 - 6.352 - 1.468 - 3.38 + 5.8);

    (void)state;
    check_near("AC-RAIN", "pure water in the open, pH", 5.6, balance_ph_open(&pure), 0.05);
    check_near("AC-OPEN", "4 meq/L to 5.8 in the open, meq/L", 4 - left_meq_l, dose(&w, 5.8, true),
               0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(primary_buffers_have_their_ph),
        cmocka_unit_test(a_titration_ends_where_standard_methods_ends_it),
        cmocka_unit_test(most_of_the_bicarbonate_is_gone_at_5_8),
        cmocka_unit_test(in_the_open_nearly_all_of_it_has_to_go),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
