/* One dissolved thing that a plant takes: beside its equation, solved in small steps. */
#include "tests/cmocka_all.h"

#include "daemon/core/model/uptake.h"

#include <math.h>

#define STEPS 20000

/* What goes with a litre at a concentration. */
static double taken(double c, struct uptake u)
{
    return u.takes * fmin(1, c / u.scarce);
}

/* dC/dx = c_top - taken(C): midpoint steps. */
static double topped_by_steps(double c, double volumes, struct uptake u, double c_top)
{
    double h = volumes / STEPS;

    for (int i = 0; i < STEPS; i++) {
        double half = c + h / 2 * (c_top - taken(c, u));

        c += h * (c_top - taken(half, u));
    }
    return c;
}

/* d(C l)/dl = taken(C), from a full vessel down to left_frac. */
static double drawn_by_steps(double c, double left_frac, struct uptake u)
{
    double h = (1 - left_frac) / STEPS;
    double l = 1;

    for (int i = 0; i < STEPS; i++) {
        double half = c - h / 2 * (taken(c, u) - c) / l;

        c -= h * (taken(half, u) - half) / (l - h / 2);
        l -= h;
    }
    return c;
}

/* Plenty that stays, plenty that becomes scarce, scarce that stays so, and scarce that is fed. */
static void a_body_that_is_topped_up_solves_its_equation(void **ctx)
{
    static const double start[] = {150, 80, 9, 2, 0};
    static const double top[] = {0, 30, 200};
    static const double volumes[] = {0.1, 1, 4};
    struct uptake u = {100, 10};

    (void)ctx;
    for (size_t a = 0; a < 5; a++) {
        for (size_t b = 0; b < 3; b++) {
            for (size_t c = 0; c < 3; c++) {
                assert_float_equal(uptake_topped(start[a], volumes[c], u, top[b]),
                                   topped_by_steps(start[a], volumes[c], u, top[b]), 0.02);
            }
        }
    }
}

/* Drawn down a weak solution gets stronger where the plant takes less than it drinks. */
static void a_body_that_is_drawn_down_solves_its_equation(void **ctx)
{
    static const double start[] = {150, 80, 30, 9, 2, 0};
    static const double left[] = {0.9, 0.5, 0.2};
    static const struct uptake of[] = {
        {100, 10},
        {5,   10},
        {10,  40}
    };

    (void)ctx;
    for (size_t a = 0; a < 6; a++) {
        for (size_t b = 0; b < 3; b++) {
            for (size_t c = 0; c < 3; c++) {
                assert_float_equal(uptake_drawn(start[a], left[b], of[c]),
                                   drawn_by_steps(start[a], left[b], of[c]), 0.02);
            }
        }
    }
}

/* What no plant takes gathers with the water that goes; what goes as the water does stays even. */
static void a_share_that_goes_with_the_water(void **ctx)
{
    (void)ctx;
    assert_float_equal(uptake_share_topped(20, 3, 0, 10), 50, 1e-12);
    assert_float_equal(uptake_share_topped(20, 3, 1, 20), 20, 1e-12);
    assert_float_equal(uptake_share_topped(20, 1e6, 0.5, 10), 20, 1e-9);
    assert_float_equal(uptake_share_drawn(20, 0.5, 0), 40, 1e-12);
    assert_float_equal(uptake_share_drawn(20, 0.5, 1), 20, 1e-12);
    assert_float_equal(uptake_share_drawn(20, 0.25, 0.5), 40, 1e-12);
}

static void what_is_not_taken_only_gathers(void **ctx)
{
    struct uptake none = {0, 10};

    (void)ctx;
    assert_float_equal(uptake_topped(4, 2, none, 5), 14, 1e-12);
    assert_float_equal(uptake_topped(20, 2, none, 5), 30, 1e-12);
    assert_float_equal(uptake_drawn(4, 0.5, none), 8, 1e-12);
    assert_float_equal(uptake_drawn(8, 0.5, none), 16, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_body_that_is_topped_up_solves_its_equation),
        cmocka_unit_test(a_body_that_is_drawn_down_solves_its_equation),
        cmocka_unit_test(a_share_that_goes_with_the_water),
        cmocka_unit_test(what_is_not_taken_only_gathers),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
