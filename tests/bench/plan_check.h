/* plan_check.h - an answer to a planning problem, held to its rules by the two files alone.
 *
 * Shares nothing with the planner: what they agree on, two programs found. */
#ifndef TARN_TESTS_BENCH_PLAN_CHECK_H
#define TARN_TESTS_BENCH_PLAN_CHECK_H

#include <jansson.h>

/* The answer's cost, reckoned anew. NaN, with a sentence in why, when it breaks a rule. */
double plan_check_answer(const json_t *instance, const json_t *answer, char why[200]);

#endif
