/* plan_instance.h - a planning problem as a file, so that any solver can be set beside ours.
 *
 * {"days":14,"reservoir":{"usable_l","line_loss_l"},
 *  "labour":{"budget_min":[one per day],"open_min","load_min","overtime_cost_per_min"},
 *  "cost":{"open","load","early_per_day","late_per_day","deviation_per_pct","unplanned"},
 *  "jobs":[{"id","earliest","due","latest","recipe","ec","tolerance_pct","volume_l","minutes"}]} */
#ifndef TARN_TESTS_BENCH_PLAN_INSTANCE_H
#define TARN_TESTS_BENCH_PLAN_INSTANCE_H

#include "daemon/core/plan/plan.h"

#include <jansson.h>

#define INSTANCE_NAME 64
#define INSTANCE_DAYS 366

struct instance {
    struct plan_room room; /* its budget is owned */
    double *budget;
    struct plan_job *job;
    char (*id)[INSTANCE_NAME];
    char (*recipe)[INSTANCE_NAME]; /* names, by number */
    size_t n, n_recipes;
};

/* 0, or -1 with a sentence in `why`: what is wrong, and where. */
int instance_read(const char *path, struct instance *out, char why[200]);
/* Frees what was read and leaves *in empty. */
void instance_deinit(struct instance *in);

/* An answer as JSON; and slots of one that was read back. */
json_t *instance_answer(const struct instance *in, const struct plan_slot *slot, double cost,
                        double bound, double seconds);

/* Prints one that is drawn. */
void instance_generate(long n, long days, uint64_t seed);

/* The exact model in CPLEX LP form: every strength at which a load may be cheapest is a place for
 * loads. */
void instance_write_lp(const struct instance *in);

/* Recomputes an answer's cost from the two files alone, with nothing of the planner's. NaN with a
 * sentence when it breaks a rule. */
double instance_check(const json_t *instance, const json_t *answer, char why[200]);

#endif
