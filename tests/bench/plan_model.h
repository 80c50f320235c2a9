/* plan_model.h - a planning problem as an exact model that any solver reads (CPLEX LP form).
 *
 * Every strength at which a load may be cheapest is a place for loads: those that jobs want, and
 * the ends of what they bear. Variables: x job, day, strength; n loads; z open days; o overtime;
 * u left out. */
#ifndef TARN_TESTS_BENCH_PLAN_MODEL_H
#define TARN_TESTS_BENCH_PLAN_MODEL_H

#include "tests/bench/plan_instance.h"

/* To stdout. */
void plan_model_write(const struct instance *in);

#endif
