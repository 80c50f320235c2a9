/* plan_instance.h - a planning problem as a file, so that any solver can be set beside ours.
 *
 * {"days":14,"reservoir":{"usable_l","line_loss_l"},
 *  "labour":{"budget_min":[one per day],"open_min","load_min","overtime_cost_per_min",
 *            "visit":[what each day with a load costs besides; may be left out]},
 *  "cost":{"open","load","early_per_day","late_per_day","deviation_per_pct","unplanned"},
 *  "jobs":[{"id","earliest","due","latest","recipe","ec","tolerance_pct","volume_l","minutes"}]} */
#ifndef TARN_TESTS_BENCH_PLAN_INSTANCE_H
#define TARN_TESTS_BENCH_PLAN_INSTANCE_H

#include "daemon/core/plan/plan.h"

#include <jansson.h>

#define INSTANCE_NAME 64
#define INSTANCE_DAYS 366

struct instance {
    struct plan_room room;  /* its budget is owned */
    double *budget, *visit; /* visit: NULL = none told */
    struct plan_job *job;
    char (*id)[INSTANCE_NAME];
    char (*recipe)[INSTANCE_NAME]; /* names, by number */
    size_t n, n_recipes;
};

/* 0, or -1 with a sentence in `why`: what is wrong, and where. */
int instance_read(const char *path, struct instance *out, char why[200]);
/* Frees what was read and leaves *in empty. */
void instance_deinit(struct instance *in);

/* A figure of a JSON object; NaN where it has none. */
double instance_number(const json_t *o, const char *key);

/* Writes "where: what" into why, and returns -1. */
int instance_wrong(char why[200], const char *what, const char *where);

/* An answer as JSON: days, their loads, who is in them, and who was left out. */
json_t *instance_answer(const struct instance *in, const struct plan_slot *slot, double cost,
                        double bound, double seconds);

#endif
