/* food.h - how strong a container's solution is beside what its stage wants, by its food alone.
 *
 * What plants leave of a water (water_ballast_ms_cm) conducts and feeds nobody. The measure is a
 * fresh solution of the stage's recipe in the room's own water, made to the crop's figure: what
 * that holds besides such salts is 1. No policy has a part in it. */
#ifndef TARN_TESTS_SEASON_FOOD_H
#define TARN_TESTS_SEASON_FOOD_H

#include "tests/sim/truth.h"

/* The edges of the bands of such shares: the wide one, and the narrow one. */
#define FOOD_WIDE   0.50
#define FOOD_NARROW 0.75
#define FOOD_OVER   1.15

/* What a fresh solution of a stage holds, mS/cm; each is found once. */
struct food_targets {
    double *ms_cm; /* owned: by crop and stage; 0 = not found yet */
};

void food_init(struct food_targets *f, const struct room *room);
void food_deinit(struct food_targets *f);

/* Of the plant in container i, which is planted: 1 = as a fresh solution has it. */
double food_share(struct food_targets *f, const struct truth *t, size_t i);

#endif
