/* plan_draw.h - draws a planning problem, and prints it as a file.
 *
 * The figures are those of a room of tubs: windows of a few days, two sizes of container, strengths
 * that often nearly meet. The same seed prints the same file. */
#ifndef TARN_TESTS_BENCH_PLAN_DRAW_H
#define TARN_TESTS_BENCH_PLAN_DRAW_H

#include <stdint.h>

/* n >= 0 jobs over days >= 1 days, to stdout. */
void plan_draw_instance(long n, long days, uint64_t seed);

#endif
