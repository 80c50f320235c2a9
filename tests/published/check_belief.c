/* Learning from readings, beside textbooks and a general-purpose library.
 *
 * ST-BT    Box & Tiao 1973, Bayesian Inference in Statistical Analysis, 1.2.3: two physicists,
 *          priors N(900, 20^2) and N(800, 80^2), a reading of 850 with 40 (from memory).
 * ST-NILE  Durbin & Koopman, local level on the flow of the Nile 1871-1970 (R's `Nile`, read),
 *          variances 15099 and 1469.1, diffuse start; filtered values recomputed outside of this
 *          project.
 * ST-Z     Normal quantiles, standard tables; to sixteen digits the three that Wichura prints to
 *          try an implementation by (1988, Applied Statistics 37:477, AS 241, PPND16; from memory).
 * GSL      Our closed forms beside numerical quadrature, root finding and matrices of the GNU
 *          Scientific Library: the use between two ages, the age of a use, what a bound teaches,
 *          and what plants that share a room's factor teach of each other. */
#include "daemon/core/model/belief.h"
#include "daemon/core/model/curve.h"
#include "tests/published/check.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_roots.h>

static void two_physicists_are_brought_together(void **state)
{
    struct gauss a = gauss_see((struct gauss){900, 20.0 * 20}, 1, 850, 40.0 * 40);
    struct gauss b = gauss_see((struct gauss){800, 80.0 * 80}, 1, 850, 40.0 * 40);
    struct gauss c = gauss_see((struct gauss){900, 20.0 * 20}, 1, 870, 40.0 * 40 / 100);

    (void)state;
    check_near("ST-BT", "first physicist, mean", 890.0, a.mean, 0.05);
    check_near("ST-BT", "  standard deviation", 17.89, sqrt(a.var), 0.05);
    check_near("ST-BT", "second physicist, mean", 840.0, b.mean, 0.05);
    check_near("ST-BT", "  standard deviation", 35.78, sqrt(b.var), 0.05);
    check_near("ST-BT", "first, after 100 readings of 870", 871.15, c.mean, 0.05);
    check_near("ST-BT", "  standard deviation", 3.922, sqrt(c.var), 0.005);
}

static const double nile[100] = {
    1120, 1160, 963, 1210, 1160, 1160, 813,  1230, 1370, 1140, 995,  935,  1110, 994,  1020,
    960,  1180, 799, 958,  1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774,  840,
    874,  694,  940, 833,  701,  916,  692,  1020, 1050, 969,  831,  726,  456,  824,  702,
    1120, 1100, 832, 764,  821,  768,  845,  864,  862,  698,  845,  744,  796,  1040, 759,
    781,  865,  845, 944,  984,  897,  822,  1010, 771,  676,  649,  846,  812,  742,  801,
    1040, 860,  874, 848,  890,  744,  749,  838,  1050, 918,  986,  797,  923,  975,  815,
    1020, 906,  901, 1170, 912,  746,  919,  718,  714,  740};

static void the_nile_is_filtered_as_published(void **state)
{
    struct gauss level = {0, 1e7};
    struct gauss at[101];
    double gain;

    (void)state;
    for (int t = 1; t <= 100; t++) {
        level = gauss_see(level, 1, nile[t - 1], 15099);
        at[t] = level;
        level.var += 1469.1;
    }
    gain = level.var / (level.var + 15099);
    check_near("ST-NILE", "t = 1, filtered level", 1118.3115, at[1].mean, 1e-3);
    check_near("ST-NILE", "  variance", 15076.24, at[1].var, 1.5);
    check_near("ST-NILE", "t = 2, filtered level", 1140.1084, at[2].mean, 1e-3);
    check_near("ST-NILE", "  variance", 7894.56, at[2].var, 0.8);
    check_near("ST-NILE", "t = 3, filtered level", 1072.316, at[3].mean, 1e-3);
    check_near("ST-NILE", "t = 10, filtered level", 1162.855, at[10].mean, 1e-3);
    check_near("ST-NILE", "t = 100, filtered level", 798.370, at[100].mean, 1e-3);
    check_near("ST-NILE", "  variance", 4032.16, at[100].var, 0.4);
    check_near("ST-NILE", "steady gain", 0.267048, gain, 3e-5);
}

static void quantiles_are_those_of_the_tables(void **state)
{
    static const double rows[][2] = {
        {0.80,  0.8416},
        {0.90,  1.2816},
        {0.95,  1.6449},
        {0.975, 1.9600},
        {0.99,  2.3263},
        {0.995, 2.5758},
        {0.999, 3.0902}
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char row[48];

        (void)snprintf(row, sizeof row, "normal quantile of %g", rows[i][0]);
        check_near("ST-Z", row, rows[i][1], normal_quantile(rows[i][0]), 1e-4);
    }
    check_near("ST-Z", "normal quantile of 0.25, AS 241", -0.6744897501960817,
               normal_quantile(0.25), 1e-15);
    check_near("ST-Z", "normal quantile of 0.001, AS 241", -3.090232306167814,
               normal_quantile(0.001), 4e-15);
    check_near("ST-Z", "normal quantile of 1e-20, AS 241", -9.262340089798408,
               normal_quantile(1e-20), 1e-14);
    check_near("GSL", "P(Z < -3.7)", gsl_cdf_ugaussian_P(-3.7), normal_below(-3.7), 1e-15);
    check_near("GSL", "P(Z < 1.1)", gsl_cdf_ugaussian_P(1.1), normal_below(1.1), 1e-14);
}

/* GSL's own quantile is of the same paper, so its distribution function is asked the way back
 * too. */
static void quantiles_are_the_way_back_of_the_distribution(void **state)
{
    double worst = 0;
    double round_trip = 0;

    (void)state;
    for (int i = 1; i < 4000; i++) {
        /* Near 0 and 1, across both joints (0.075 and e^-25), and all between. */
        double p = i < 3000 ? i / 3000.0 : pow(10, -(i - 2999) / 4.0);
        double z = normal_quantile(p);

        worst = fmax(worst, fabs(z - gsl_cdf_ugaussian_Pinv(p)) / fmax(1, fabs(z)));
        round_trip = fmax(round_trip, fabs(gsl_cdf_ugaussian_P(z) / p - 1) / fmax(1, z * z));
    }
    check_near("GSL", "quantiles of 4000 p, off by at most", 0, worst, 2e-15);
    check_near("GSL", "  and P of them, as a share of p", 0, round_trip, 2e-15);
}

/* ---- integrals and roots */

static double rate(double age_day, void *curve)
{
    return curve_rate_l_day(curve, 1, age_day);
}

static double integral(gsl_function *f, double from, double to)
{
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(1000);
    double out = NAN;
    double err;

    assert_int_equal(gsl_integration_qags(f, from, to, 0, 1e-11, 1000, w, &out, &err), 0);
    gsl_integration_workspace_free(w);
    return out;
}

struct litres {
    struct curve *curve;
    double from, litres;
};

static double still_to_drink(double age_day, void *p)
{
    struct litres *l = p;
    gsl_function f = {rate, l->curve};

    return integral(&f, l->from, age_day) - l->litres;
}

static void use_is_the_integral_and_its_age_the_root(void **state)
{
    struct curve tomato = {1.8, 31, 8};
    gsl_function f = {rate, &tomato};
    static const double ages[][2] = {
        {0,  10 },
        {5,  31 },
        {31, 32 },
        {20, 100}
    };
    gsl_root_fsolver *root = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);

    (void)state;
    for (size_t i = 0; i < sizeof ages / sizeof *ages; i++) {
        double litres = integral(&f, ages[i][0], ages[i][1]);
        struct litres l = {&tomato, ages[i][0], litres};
        gsl_function g = {still_to_drink, &l};
        char row[48];

        (void)snprintf(row, sizeof row, "litres from day %g to %g", ages[i][0], ages[i][1]);
        check_near("GSL", row, litres, curve_use_l(&tomato, 1, ages[i][0], ages[i][1]),
                   litres * 1e-9);
        assert_int_equal(gsl_root_fsolver_set(root, &g, ages[i][0], 200), 0);
        for (int k = 0; k < 100; k++) {
            assert_int_equal(gsl_root_fsolver_iterate(root), 0);
        }
        check_near("GSL", "  and the age of so many litres", gsl_root_fsolver_root(root),
                   curve_age_day(&tomato, 1, ages[i][0], litres), 1e-6);
    }
    gsl_root_fsolver_free(root);
}

/* ---- what a bound teaches */

struct bounded {
    struct gauss prior;
    double bound, soft_sd;
    int power;
};

static double weighed(double x, void *p)
{
    struct bounded *b = p;
    double z = (x - b->prior.mean) / sqrt(b->prior.var);

    return pow(x, b->power) * exp(-z * z / 2) * gsl_cdf_ugaussian_P((x - b->bound) / b->soft_sd);
}

static double moment(struct bounded b, int power)
{
    gsl_function f = {weighed, &b};
    double sd = sqrt(b.prior.var);

    b.power = power;
    return integral(&f, b.prior.mean - 9 * sd, b.prior.mean + 9 * sd);
}

static void a_bound_teaches_what_its_moments_say(void **state)
{
    static const double bounds[] = {-0.5, 0, 0.4, 0.9};

    (void)state;
    for (size_t i = 0; i < sizeof bounds / sizeof *bounds; i++) {
        struct bounded b = {
            {0.1, 0.35 * 0.35},
            bounds[i], 0.12, 0
        };
        double mass = moment(b, 0);
        double mean = moment(b, 1) / mass;
        struct gauss got = gauss_bound(b.prior, b.bound, b.soft_sd, true);
        char row[48];

        (void)snprintf(row, sizeof row, "seen above %g, mean", bounds[i]);
        check_near("GSL", row, mean, got.mean, 1e-8);
        check_near("GSL", "  variance", moment(b, 2) / mass - mean * mean, got.var, 1e-8);
    }
}

/* ---- plants that share a room: our tree of normals beside the whole matrix */

enum { PLANTS = 3, DIM = ROOM_N + PLANTS * BELIEF_N };

struct whole {
    gsl_vector *mean;
    gsl_matrix *var;
};

/* All at once: x_p = own_p + B r, where ln theta holds the room's size, and ln half and ln spread
 * its pace. As a matrix S of what is independent (r, then each plant's own), S V S'. */
static struct whole whole_of(const struct belief *p, const struct belief_room *room)
{
    struct whole w = {gsl_vector_calloc(DIM), gsl_matrix_calloc(DIM, DIM)};
    gsl_matrix *own = gsl_matrix_calloc(DIM, DIM);
    gsl_matrix *sums = gsl_matrix_calloc(DIM, DIM);
    gsl_matrix *half = gsl_matrix_calloc(DIM, DIM);

    gsl_matrix_set_identity(sums);
    for (int r = 0; r < ROOM_N; r++) {
        gsl_matrix_set(own, r, r, room->var[r][r]);
    }
    for (int k = 0; k < PLANTS; k++) {
        int at = ROOM_N + k * BELIEF_N;

        for (int i = 0; i < BELIEF_N; i++) {
            for (int j = 0; j < BELIEF_N; j++) {
                gsl_matrix_set(own, at + i, at + j, p[k].v[i][j]);
            }
        }
        gsl_matrix_set(sums, at + BELIEF_LN_THETA, ROOM_SIZE, 1);
        gsl_matrix_set(sums, at + BELIEF_LN_HALF, ROOM_PACE, 1);
        gsl_matrix_set(sums, at + BELIEF_LN_SPREAD, ROOM_PACE, 1);
    }
    (void)gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, sums, own, 0, half);
    (void)gsl_blas_dgemm(CblasNoTrans, CblasTrans, 1, half, sums, 0, w.var);
    gsl_matrix_free(own);
    gsl_matrix_free(sums);
    gsl_matrix_free(half);
    return w;
}

static void whole_sees(struct whole *w, int plant, const struct lean *h, double y, double noise_var)
{
    gsl_vector *row = gsl_vector_calloc(DIM);
    gsl_vector *gain = gsl_vector_calloc(DIM);
    double expected;
    double s;

    for (int i = 0; i < BELIEF_N; i++) {
        gsl_vector_set(row, ROOM_N + plant * BELIEF_N + i, h->h[i]);
    }
    (void)gsl_blas_dgemv(CblasNoTrans, 1, w->var, row, 0, gain);
    (void)gsl_blas_ddot(row, gain, &s);
    (void)gsl_blas_ddot(row, w->mean, &expected);
    s += noise_var;
    (void)gsl_blas_daxpy((y - expected) / s, gain, w->mean);
    (void)gsl_blas_dger(-1 / s, gain, gain, w->var);
    gsl_vector_free(row);
    gsl_vector_free(gain);
}

static void plants_teach_of_each_other_what_the_whole_matrix_says(void **state)
{
    static const struct curve prior = {1.8, 31, 8};
    static const struct lean leans[] = {{{1, -3.1, 0.3}}, {{1, -1.6, 0.1}}, {{1, -3.7, 0.5}}};
    static const double seen[] = {0.4, 0.1, -0.3, 0.5, 0.2, 0.35};
    struct belief_room room = belief_room();
    struct belief p[PLANTS];
    struct whole w;

    (void)state;
    for (int k = 0; k < PLANTS; k++) {
        p[k] = belief_of();
    }
    w = whole_of(p, &room);
    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        int k = (int)i % PLANTS;
        const struct lean *h = &leans[(i * 2) % 3];
        struct room_lean c = belief_room_lean(&p[k], h);
        double mean = belief_room_mean(&room, &c);

        for (int j = 0; j < BELIEF_N; j++) {
            mean += h->h[j] * p[k].a[j];
        }
        whole_sees(&w, k, h, seen[i], 0.02);
        belief_see(&p[k], &room, h, seen[i] - mean, 0.02);
    }
    for (int r = 0; r < ROOM_N; r++) {
        check_near("GSL", r == ROOM_SIZE ? "the room's size, mean" : "its pace, mean",
                   gsl_vector_get(w.mean, (size_t)r), room.mean[r], 1e-12);
        check_near("GSL", "  variance", gsl_matrix_get(w.var, (size_t)r, (size_t)r), room.var[r][r],
                   1e-12);
    }
    check_near("GSL", "  covariance of both", gsl_matrix_get(w.var, ROOM_SIZE, ROOM_PACE),
               room.var[ROOM_SIZE][ROOM_PACE], 1e-12);
    for (int k = 0; k < PLANTS; k++) {
        struct curve c = belief_curve(&p[k], &room, &prior);
        int at = ROOM_N + k * BELIEF_N;
        char row[48];

        (void)snprintf(row, sizeof row, "plant %d, ln of its factor", k + 1);
        check_near("GSL", row, gsl_vector_get(w.mean, at), log(c.most_l_day / prior.most_l_day),
                   1e-12);
        check_near("GSL", "  and of its half", gsl_vector_get(w.mean, at + BELIEF_LN_HALF),
                   log(c.half_day / prior.half_day), 1e-12);
        check_near("GSL", "  variance of the factor", gsl_matrix_get(w.var, at, at),
                   belief_var(&p[k], &room, &(struct lean){{1}}), 1e-12);
    }
    gsl_vector_free(w.mean);
    gsl_matrix_free(w.var);
}

/* After the room's factor wandered, beside the whole matrix to which the move was added: plants
 * that lean on the room alike are moved alike, and know of each other what they should. */
#define WANDERS_NEAR 1e-12
static void a_room_that_wanders_moves_all_its_plants(void **state)
{
    static const struct lean h = {
        {1, -3.1, 0.3}
    };
    struct belief_room room = belief_room();
    struct belief p[PLANTS];
    struct whole w;
    double moved = belief_room_drift_var(9);
    struct room_lean a;
    struct room_lean b;
    double common = 0;

    (void)state;
    for (int k = 0; k < PLANTS; k++) {
        p[k] = belief_of();
    }
    w = whole_of(p, &room);
    for (int k = 0; k < PLANTS; k++) { /* each of them leaves what was expected by as much */
        whole_sees(&w, k, &h, 0.3, 0.02);
        belief_see(&p[k], &room, &h, 0.3, 0.02);
    }
    room.var[ROOM_SIZE][ROOM_SIZE] += moved;
    for (int k = 0; k < PLANTS; k++) {
        belief_room_moved(&p[k], &room, 9);
    }
    check_near("GSL", "wandered: a plant's variance", gsl_matrix_get(w.var, ROOM_N, ROOM_N) + moved,
               belief_var(&p[0], &room, &(struct lean){{1}}), WANDERS_NEAR);
    a = belief_room_lean(&p[0], &(struct lean){{1}});
    b = belief_room_lean(&p[1], &(struct lean){{1}});
    for (int r = 0; r < ROOM_N; r++) {
        for (int q = 0; q < ROOM_N; q++) {
            common += a.of[r] * room.var[r][q] * b.of[q];
        }
    }
    check_near("GSL", "  and what two have in common",
               gsl_matrix_get(w.var, ROOM_N, ROOM_N + BELIEF_N) + moved, common, WANDERS_NEAR);
    gsl_vector_free(w.mean);
    gsl_matrix_free(w.var);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_physicists_are_brought_together),
        cmocka_unit_test(the_nile_is_filtered_as_published),
        cmocka_unit_test(quantiles_are_those_of_the_tables),
        cmocka_unit_test(quantiles_are_the_way_back_of_the_distribution),
        cmocka_unit_test(use_is_the_integral_and_its_age_the_root),
        cmocka_unit_test(a_bound_teaches_what_its_moments_say),
        cmocka_unit_test(plants_teach_of_each_other_what_the_whole_matrix_says),
        cmocka_unit_test(a_room_that_wanders_moves_all_its_plants),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
