/* band.h - when a solution is as a grower would have it: one measure for all policies.
 *
 * "In band" means that the plant neither starves nor burns, by the figures of its own crop. What is
 * asked at an instant follows from the crop and from when the float line was truly reached, never
 * from what a policy did or believed, so that no policy sets its own mark.
 *
 * On float the band goes from the spent share of what the plant may ask for, up to the
 * stage's target and a seventh over it. What it may ask for is the stage's target, or less
 * where steps forbid it: strength is raised by no more than the crop's step at a change, and
 * a solution lives for the stage's life_min at least, so from the float line on the ladder is
 * start strength, then a step more after each life_min. The upper end is target x 1.15: a mix
 * may lie 10 % off by the room's tolerance, and a meter that is cared for is good to 5 %.
 *
 * In drawdown nobody changes the solution, and it is the weak one that the plant was
 * started with: its band goes from the spent share of that strength up to a step over
 * the stage's target, since a step is what the crop bears at once. A drawdown
 * concentrates what a modest plant leaves. This band holds for the first life_min
 * days on float too, for the start solution may not be changed sooner.
 *
 * A crop's strengths count above what the source brings, at both ends: a meter shows food and the
 * water's own salts together, and a plant starves on the latter.
 *
 * An idle container is in no band and does not count. pH is in band inside the stage's own. */
#ifndef TARN_TESTS_SEASON_BAND_H
#define TARN_TESTS_SEASON_BAND_H

#include "tests/sim/truth.h"

#define BAND_OVER 1.15

struct band {
    double lo, hi; /* mS/cm */
    bool start;    /* of the start solution */
};

/* The band of EC that container i, which is planted, is held to now. */
struct band band_ec(const struct truth *t, size_t i);

/* Is a pH inside the band of the stage of container i? */
bool band_ph_in(const struct truth *t, size_t i, double ph);

#endif
