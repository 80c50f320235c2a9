/* predict_trial.h - one simulated room, and a grower who reads it as growers do.
 *
 * A level a week, now and then a day forgotten, the reservoir every three days. What the core
 * foretells on the way is set beside what came. */
#ifndef TARN_TESTS_BENCH_PREDICT_TRIAL_H
#define TARN_TESTS_BENCH_PREDICT_TRIAL_H

#include "tests/bench/predict_score.h"

#include <stdint.h>

/* Lives the room of b once, with that fault in it, and adds what was seen to the scores of b. */
void trial_run(struct bench *b, enum faults fault, uint64_t seed);

#endif
