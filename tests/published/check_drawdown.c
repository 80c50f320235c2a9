/* Drinking and strength, beside published values and beside numerical integration.
 *
 * WU-DRIFT  Mass balance at a constant uptake concentration: the form of Langenfeld et al. 2022,
 *           Sustainability 14:10204, and Sonneveld & Voogt 2009; the numbers are recomputed by hand
 *           from it. A strength rises if and only if what is taken up is weaker than what is there
 *           (closed) or than what is supplied (topped up).
 * ST-ORANGE Girths of five trees, R's data set `Orange` (Draper & Smith 1981), and their
 *           least-squares logistic; parameters recomputed outside of this project.
 * NUM       Our closed forms beside Simpson's rule and the method of Runge and Kutta. */
#include "daemon/core/model/curve.h"
#include "daemon/core/model/solution.h"
#include "tests/published/check.h"

static double ec_drawn(struct liquid tub, double use_l, double uptake)
{
    return solution_drawn(tub, use_l, uptake).ec_ms_cm;
}

static double ec_topped(struct liquid tub, double use_l, double uptake, double top_ms_cm)
{
    struct liquid top = {.ec_ms_cm = top_ms_cm};

    return solution_topped(tub, use_l, uptake, top).ec_ms_cm;
}

static void mass_balance_has_the_published_strengths(void **state)
{
    static const struct liquid tub = {.volume_l = 10, .ec_ms_cm = 1.6};

    (void)state;
    check_near("WU-DRIFT", "5 of 10 L drunk, uptake 0.8", 2.4, ec_drawn(tub, 5, 0.8), 1e-12);
    check_near("WU-DRIFT", "5 of 10 L drunk, uptake 1.6", 1.6, ec_drawn(tub, 5, 1.6), 1e-12);
    check_near("WU-DRIFT", "5 of 10 L drunk, uptake 2.0", 1.2, ec_drawn(tub, 5, 2.0), 1e-12);
    check_near("WU-DRIFT", "10 L topped with 1.6, uptake 0.8", 2.4, ec_topped(tub, 10, 0.8, 1.6),
               1e-12);
    check_near("WU-DRIFT", "10 L topped with 1.6, uptake 1.6", 1.6, ec_topped(tub, 10, 1.6, 1.6),
               1e-12);
    check_near("WU-DRIFT", "10 L topped with 1.6, uptake 2.0", 1.2, ec_topped(tub, 10, 2.0, 1.6),
               1e-12);
    check_near("WU-DRIFT", "10 L topped with water, uptake 0.8", 0.8, ec_topped(tub, 10, 0.8, 0),
               1e-12);
}

static int sign(double x)
{
    return fabs(x) < 1e-12 ? 0 : x > 0 ? 1 : -1;
}

static void strength_rises_only_when_uptake_is_weaker(void **state)
{
    int wrong = 0;

    (void)state;
    for (int there = 2; there <= 30; there++) {
        for (int taken = 0; taken <= 30; taken++) {
            struct liquid tub = {.volume_l = 18, .ec_ms_cm = there / 10.0};
            double uptake = taken / 10.0;
            double top = (30 - there) / 20.0;

            wrong += sign(ec_drawn(tub, 1, uptake) - tub.ec_ms_cm) != sign(tub.ec_ms_cm - uptake);
            wrong += sign(ec_topped(tub, 1, uptake, top) - tub.ec_ms_cm) != sign(top - uptake);
        }
    }
    check_near("WU-DRIFT", "sign rule, exceptions of 1798", 0, wrong, 0);
}

/* dC/dW = (C - uptake) / (V0 - W) when closed: Runge and Kutta's method, fourth order. */
static double drawn_by_steps(struct liquid tub, double use_l, double uptake)
{
    const int n = 1000;
    double h = use_l / n;
    double c = tub.ec_ms_cm;

    for (int i = 0; i < n; i++) {
        double left_l = tub.volume_l - i * h;
        double k1 = (c - uptake) / left_l;
        double k2 = (c + h / 2 * k1 - uptake) / (left_l - h / 2);
        double k3 = (c + h / 2 * k2 - uptake) / (left_l - h / 2);
        double k4 = (c + h * k3 - uptake) / (left_l - h);

        c += h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
    }
    return c;
}

static void the_closed_form_of_drawdown_solves_its_equation(void **state)
{
    static const struct liquid tub = {.volume_l = 18, .ec_ms_cm = 1.1};

    (void)state;
    check_near("NUM", "Runge-Kutta, 12 of 18 L, uptake 0.7", drawn_by_steps(tub, 12, 0.7),
               ec_drawn(tub, 12, 0.7), 1e-9);
    check_near("NUM", "Runge-Kutta, 12 of 18 L, uptake 1.3", drawn_by_steps(tub, 12, 1.3),
               ec_drawn(tub, 12, 1.3), 1e-9);
}

/* Simpson's rule over the rate. */
static double use_by_steps(const struct curve *c, double theta, double a0, double a1)
{
    const int n = 2000;
    double h = (a1 - a0) / n;
    double sum = curve_rate_l_day(c, theta, a0) + curve_rate_l_day(c, theta, a1);

    for (int i = 1; i < n; i++) {
        sum += (i % 2 ? 4 : 2) * curve_rate_l_day(c, theta, a0 + i * h);
    }
    return sum * h / 3;
}

static const struct curve curves[] = {
    {.most_l_day = 1.8,  .half_day = 31, .spread_day = 8},
    {.most_l_day = 0.25, .half_day = 24, .spread_day = 6},
    {.most_l_day = 3,    .half_day = 10, .spread_day = 1},
};

static void use_is_the_integral_of_the_rate(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof curves / sizeof *curves; i++) {
        for (int a0 = 0; a0 < 60; a0 += 25) {
            double want = use_by_steps(&curves[i], 1.3, a0, a0 + 40);

            check_near("NUM", "Simpson's rule, 40 days, L", want,
                       curve_use_l(&curves[i], 1.3, a0, a0 + 40), 1e-8 * want);
        }
    }
}

static void the_integral_to_the_age_is_the_litres(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof curves / sizeof *curves; i++) {
        for (int power = 0; power < 4; power++) {
            double litres = 0.5 * pow(4, power);
            double age = curve_age_day(&curves[i], 0.8, 3, litres);

            check_near("NUM", "Simpson's rule to the age found, L", litres,
                       use_by_steps(&curves[i], 0.8, 3, age), 1e-8 * litres);
        }
    }
}

enum { TREES = 5, AGES = 7 };

static const double orange_age[AGES] = {118, 484, 664, 1004, 1231, 1372, 1582};
static const double orange_mm[TREES][AGES] = {
    {30, 58, 87,  115, 120, 142, 145},
    {33, 69, 111, 156, 172, 203, 203},
    {30, 51, 75,  108, 115, 139, 140},
    {32, 62, 112, 167, 179, 209, 214},
    {30, 49, 81,  125, 142, 174, 177},
};

/* Sum of squares between the logistic and the trees from..to - 1. */
static double squares(const struct curve *c, int from, int to)
{
    double sum = 0;

    for (int tree = from; tree < to; tree++) {
        for (int k = 0; k < AGES; k++) {
            sum += pow(orange_mm[tree][k] - curve_rate_l_day(c, 1, orange_age[k]), 2);
        }
    }
    return sum;
}

static void the_logistic_has_the_published_residuals(void **state)
{
    static const struct {
        struct curve fit;
        double rse;
    } tree[TREES] = {
        {{154.16, 627.19, 362.57}, 6.652},
        {{219.00, 700.35, 332.49}, 8.525},
        {{158.83, 734.84, 400.95}, 6.258},
        {{225.30, 710.71, 303.14}, 9.868},
        {{207.26, 861.30, 379.95}, 8.058},
    };
    static const struct curve pooled = {192.688, 728.756, 353.534};

    (void)state;
    for (int i = 0; i < TREES; i++) {
        check_near("ST-ORANGE", "R Orange, tree by tree, RSE in mm", tree[i].rse,
                   sqrt(squares(&tree[i].fit, i, i + 1) / (AGES - 3)), 0.001 * tree[i].rse);
    }
    check_near("ST-ORANGE", "R Orange, pooled, sum of squares", 17480.2, squares(&pooled, 0, TREES),
               1e-4 * 17480.2);
    check_near("ST-ORANGE", "R Orange, pooled, RSE in mm", 23.372,
               sqrt(squares(&pooled, 0, TREES) / (TREES * AGES - 3)), 1e-3);
}

/* Solves a 3 x 3 system by Gauss's elimination; its matrix is positive definite. */
static void solve3(double a[3][4], double out_x[3])
{
    for (int i = 0; i < 3; i++) {
        for (int r = i + 1; r < 3; r++) {
            double f = a[r][i] / a[i][i];

            for (int k = i; k < 4; k++) {
                a[r][k] -= f * a[i][k];
            }
        }
    }
    for (int i = 2; i >= 0; i--) {
        out_x[i] = a[i][3];
        for (int k = i + 1; k < 3; k++) {
            out_x[i] -= a[i][k] * out_x[k];
        }
        out_x[i] /= a[i][i];
    }
}

/* One step of Gauss and Newton towards the least squares of all trees. */
static void step_to_least_squares(struct curve *c)
{
    double normal[3][4] = {{0}};
    double step[3];

    for (int tree = 0; tree < TREES; tree++) {
        for (int k = 0; k < AGES; k++) {
            double f = curve_rate_l_day(c, 1, orange_age[k]);
            double share = f / c->most_l_day;
            double by_half = -f * (1 - share) / c->spread_day;
            double by_spread = by_half * (orange_age[k] - c->half_day) / c->spread_day;
            double row[4] = {share, by_half, by_spread, orange_mm[tree][k] - f};

            for (int i = 0; i < 3; i++) {
                for (int j = 0; j < 4; j++) {
                    normal[i][j] += row[i] * row[j];
                }
            }
        }
    }
    solve3(normal, step);
    c->most_l_day += step[0];
    c->half_day += step[1];
    c->spread_day += step[2];
}

static void the_least_squares_of_our_logistic_are_the_published_ones(void **state)
{
    struct curve c = {.most_l_day = 170, .half_day = 650, .spread_day = 300};

    (void)state;
    for (int i = 0; i < 30; i++) {
        step_to_least_squares(&c);
    }
    check_near("ST-ORANGE", "R Orange, pooled, Asym in mm", 192.688, c.most_l_day, 0.193);
    check_near("ST-ORANGE", "R Orange, pooled, xmid in days", 728.756, c.half_day, 0.729);
    check_near("ST-ORANGE", "R Orange, pooled, scal in days", 353.534, c.spread_day, 0.354);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mass_balance_has_the_published_strengths),
        cmocka_unit_test(strength_rises_only_when_uptake_is_weaker),
        cmocka_unit_test(the_closed_form_of_drawdown_solves_its_equation),
        cmocka_unit_test(use_is_the_integral_of_the_rate),
        cmocka_unit_test(the_integral_to_the_age_is_the_litres),
        cmocka_unit_test(the_logistic_has_the_published_residuals),
        cmocka_unit_test(the_least_squares_of_our_logistic_are_the_published_ones),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
