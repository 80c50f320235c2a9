#include "daemon/core/chem/standards.h"

#include "daemon/core/chem/table.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

#define GAS_J_MOL_K   8.314462618 /* CODATA 2018, exact since the SI of 2019, as the next */
#define FARADAY_C_MOL 96485.33212
#define ZERO_C_K      273.15
#define SLOPE_LO      85 /* a maker's leaflet: 150 to 186 mV from pH 7 to 4 */
#define SLOPE_HI      105
#define SLOPE_WORN    95 /* US LTER protocol 2004: an efficiency of 0.95 and up */
#define OFFSET_MV     30 /* the leaflet */
#define CELL_OFF_PCT  10 /* common practice, no source */

/* By molality, which does not change with the temperature. */
static double kcl_us_cm(enum kcl which, double temp_c)
{
    static const double us_cm[][11] = {
        [KCL_0_01_M] = {772.92,  890.96,  1013.95, 1141.45, 1273.03, 1408.23, 1546.63, 1687.79,
                        1831.27, 1976.62, 2123.43},
        [KCL_0_1_M] = {7116.85, 8183.70, 9291.72, 10437.1, 11615.9, 12824.6, 14059.2, 15316.0,
                        16591.0, 17880.6, 19180.9},
    };
    struct table t = {0, 5, us_cm[which], sizeof us_cm[which] / sizeof *us_cm[which]};

    static_assert(sizeof us_cm / sizeof *us_cm == KCL_N, "a KCl standard has no conductivities");
    return table_at(&t, temp_c);
}

double standard_bottle_us_cm(enum kcl which, double temp_c)
{
    static const double at_25[] = {[KCL_0_01_M] = 1413, [KCL_0_1_M] = 12880};

    static_assert(sizeof at_25 / sizeof *at_25 == KCL_N, "a bottle of KCl has no value at 25 C");
    return at_25[which] * kcl_us_cm(which, temp_c) / kcl_us_cm(which, 25);
}

double standard_buffer_ph(enum buffer which, double temp_c)
{
    /* clang-format off */
    static const double ph[][6] = { /* at 10, 15, 20, 25, 30, 35 C */
        [BUFFER_4_01]  = { 3.997,  3.998,  4.001,  4.005, 4.011, 4.018},
        [BUFFER_6_86]  = { 6.923,  6.900,  6.881,  6.865, 6.853, 6.844},
        [BUFFER_7_00]  = { 7.06,   7.04,   7.02,   7.00,  6.99,  6.99},
        [BUFFER_9_18]  = { 9.332,  9.276,  9.225,  9.180, 9.139, 9.102},
        [BUFFER_10_01] = {10.179, 10.118, 10.062, 10.012, 9.966, 9.925},
    };
    /* clang-format on */
    struct table t = {10, 5, ph[which], sizeof ph[which] / sizeof *ph[which]};

    static_assert(sizeof ph / sizeof *ph == BUFFER_N, "a buffer has no pH");
    return table_at(&t, temp_c);
}

double standard_nernst_mv(double temp_c)
{
    return 1000 * log(10) * GAS_J_MOL_K * (temp_c + ZERO_C_K) / FARADAY_C_MOL;
}

enum verdict calibration_judge_ph(const struct calibration *c, char why[VERDICT_WHY_MAX])
{
    if (!(c->slope_pct >= SLOPE_LO && c->slope_pct <= SLOPE_HI)) {
        (void)snprintf(why, VERDICT_WHY_MAX,
                       "its slope of %.1f %% is not within %d to %d %%: clean or replace it",
                       c->slope_pct, SLOPE_LO, SLOPE_HI);
        return VERDICT_BAD;
    }
    if (fabs(c->offset_mv) > OFFSET_MV) { /* one that was not told is no fault */
        (void)snprintf(why, VERDICT_WHY_MAX,
                       "its offset of %+.0f mV is not within %d mV: clean or replace it",
                       c->offset_mv, OFFSET_MV);
        return VERDICT_BAD;
    }
    if (c->slope_pct < SLOPE_WORN) {
        (void)snprintf(why, VERDICT_WHY_MAX, "its slope of %.1f %% shows wear: clean it soon",
                       c->slope_pct);
        return VERDICT_WORN;
    }
    *why = '\0';
    return VERDICT_GOOD;
}

enum verdict calibration_judge_ec(const struct calibration *c, char why[VERDICT_WHY_MAX])
{
    if (!(fabs(c->slope_pct - 100) <= CELL_OFF_PCT)) {
        (void)snprintf(why, VERDICT_WHY_MAX,
                       "%.1f %% of its cell's constant is not within %d %%: clean or replace it",
                       c->slope_pct, CELL_OFF_PCT);
        return VERDICT_BAD;
    }
    *why = '\0';
    return VERDICT_GOOD;
}
