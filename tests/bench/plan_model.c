#include "tests/bench/plan_model.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int ascending(const void *pa, const void *pb)
{
    double a = *(const double *)pa;
    double b = *(const double *)pb;

    return (a > b) - (a < b);
}

static bool serves(const struct plan_job *j, double ec)
{
    return 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm <= j->tolerance_pct * (1 + 1e-12);
}

static size_t strengths(const struct instance *in, size_t recipe, double *out)
{
    size_t n = 0;
    size_t kept = 0;

    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        if (j->recipe == recipe) {
            out[n++] = j->ec_ms_cm;
            out[n++] = j->ec_ms_cm * (1 - j->tolerance_pct / 100);
            out[n++] = j->ec_ms_cm * (1 + j->tolerance_pct / 100);
        }
    }
    if (n) {
        qsort(out, n, sizeof *out, ascending);
    }
    for (size_t k = 0; k < n; k++) {
        if (kept == 0 || out[k] > out[kept - 1]) {
            out[kept++] = out[k];
        }
    }
    return kept;
}

static bool on_day(const struct plan_job *j, long d)
{
    return d >= j->earliest && d <= j->latest;
}

/* Writes one kind of row for every x of job i on day d at strength s of its recipe. */
struct lp {
    const struct instance *in;
    double **ec;
    size_t *n_ec;
};

static void lp_objective(const struct lp *lp)
{
    const struct instance *in = lp->in;
    const struct plan_cost *c = &in->room.cost;

    printf("Minimize\n cost: 0 zero");
    for (size_t d = 0; d < in->room.n_days; d++) {
        printf("\n + %.9g z%zu + %.9g o%zu", c->open + plan_visit_cost(&in->room, (int32_t)d), d,
               c->overtime_per_min, d);
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf("\n + %.9g n%zu_%zu_%zu", c->load, d, r, s);
            }
        }
    }
    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        printf("\n + %.9g u%zu", c->unplanned, i);
        for (size_t d = 0; d < in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                double ec = lp->ec[j->recipe][s];
                double wait = (long)d < j->due ? c->early_per_day * (double)(j->due - (long)d)
                                               : c->late_per_day * (double)((long)d - j->due);

                if (serves(j, ec)) {
                    printf("\n + %.9g x%zu_%zu_%zu",
                           wait + c->deviation_per_pct * 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm,
                           i, d, s);
                }
            }
        }
    }
    printf("\nSubject To\n");
}

static void lp_jobs(const struct lp *lp)
{
    for (size_t i = 0; i < lp->in->n; i++) {
        const struct plan_job *j = &lp->in->job[i];

        printf(" once%zu: u%zu", i, i);
        for (size_t d = 0; d < lp->in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("\n + x%zu_%zu_%zu", i, d, s);
                }
            }
        }
        printf(" = 1\n");
    }
}

static void lp_loads(const struct lp *lp)
{
    const struct instance *in = lp->in;
    double each_l = in->room.usable_l - in->room.line_loss_l;

    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf(" cap%zu_%zu_%zu: - %.9g n%zu_%zu_%zu", d, r, s, each_l, d, r, s);
                for (size_t i = 0; i < in->n; i++) {
                    if (in->job[i].recipe == r && on_day(&in->job[i], (long)d) &&
                        serves(&in->job[i], lp->ec[r][s])) {
                        printf("\n + %.9g x%zu_%zu_%zu", in->job[i].volume_l, i, d, s);
                    }
                }
                printf(" <= 0\n");
                for (size_t i = 0; i < in->n; i++) {
                    if (in->job[i].recipe == r && on_day(&in->job[i], (long)d) &&
                        serves(&in->job[i], lp->ec[r][s])) {
                        printf(" in%zu_%zu_%zu: x%zu_%zu_%zu - n%zu_%zu_%zu <= 0\n", i, d, s, i, d,
                               s, d, r, s);
                    }
                }
            }
        }
    }
}

static void lp_days(const struct lp *lp)
{
    const struct instance *in = lp->in;

    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t i = 0; i < in->n; i++) {
            const struct plan_job *j = &in->job[i];
            bool any = false;

            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("%s x%zu_%zu_%zu", any ? "\n +" : " ", i, d, s);
                    any = true;
                }
            }
            if (any) {
                printf(" - z%zu <= 0\n", d);
            }
        }
        printf(" work%zu: %.9g z%zu - o%zu", d, in->room.changeover_min, d, d);
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf("\n + %.9g n%zu_%zu_%zu", in->room.load_min, d, r, s);
            }
        }
        for (size_t i = 0; i < in->n; i++) {
            const struct plan_job *j = &in->job[i];

            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf("\n + %.9g x%zu_%zu_%zu", j->minutes, i, d, s);
                }
            }
        }
        printf(" <= %.9g\n", in->room.budget_min[d]);
    }
}

static void lp_kinds(const struct lp *lp)
{
    const struct instance *in = lp->in;

    printf("Bounds\n zero = 0\nBinaries\n");
    for (size_t d = 0; d < in->room.n_days; d++) {
        printf(" z%zu\n", d);
    }
    for (size_t i = 0; i < in->n; i++) {
        const struct plan_job *j = &in->job[i];

        printf(" u%zu\n", i);
        for (size_t d = 0; d < in->room.n_days; d++) {
            for (size_t s = 0; on_day(j, (long)d) && s < lp->n_ec[j->recipe]; s++) {
                if (serves(j, lp->ec[j->recipe][s])) {
                    printf(" x%zu_%zu_%zu\n", i, d, s);
                }
            }
        }
    }
    printf("Generals\n");
    for (size_t d = 0; d < in->room.n_days; d++) {
        for (size_t r = 0; r < in->n_recipes; r++) {
            for (size_t s = 0; s < lp->n_ec[r]; s++) {
                printf(" n%zu_%zu_%zu\n", d, r, s);
            }
        }
    }
    printf("End\n");
}

void plan_model_write(const struct instance *in)
{
    struct lp lp = {.in = in,
                    .ec = mem_array(in->n_recipes, sizeof(double *)),
                    .n_ec = mem_array(in->n_recipes, sizeof(size_t))};

    for (size_t r = 0; r < in->n_recipes; r++) {
        lp.ec[r] = mem_array(3 * in->n, sizeof *lp.ec[r]);
        lp.n_ec[r] = strengths(in, r, lp.ec[r]);
    }
    lp_objective(&lp);
    lp_jobs(&lp);
    lp_loads(&lp);
    lp_days(&lp);
    lp_kinds(&lp);
    for (size_t r = 0; r < in->n_recipes; r++) {
        free(lp.ec[r]);
    }
    free(lp.ec);
    free(lp.n_ec);
}
