/* standing.h - an alkaline water that stands for a night between two doses of acid.
 *
 * Pure. A dose turns most of the alkalinity into carbon dioxide, and what is left of it holds that
 * back: once the gas has gone, the pH stands where it was to be no longer. A second dose on the
 * morrow takes what is left. Where no roots are in the water yet, it may do so at once. */
#ifndef TARN_CORE_STATE_STANDING_H
#define TARN_CORE_STATE_STANDING_H

#include "daemon/core/state/waters.h"

/* What is left in plain water that every plant drinks of counts from here on: drunk once a day in a
 * vessel of its own volume, it adds so much to what roots do themselves. Our own estimate. */
#define STANDING_LEFT_MEQ_L 0.25

/* Nobody lets a seedling wait longer: after so many days its plant is taken to be in. */
#define STANDING_MOST_D 4

/* Does the first solution of a container stand at an instant, as it was made, and will rest above
 * what its stage bears? Its seedling waits for the second dose. */
bool standing_for_seedling(const struct room *room, const struct state *s, size_t i, int64_t t_s);

/* That solution at an instant, its gas as far gone as it goes in that time. */
struct dissolved standing_solution(const struct room *room, const struct state *s, size_t i,
                                   int64_t t_s);

/* Plain water in the reservoir, dosed once, that asks for its second dose by then. */
bool standing_reservoir(const struct room *room, const struct state *s, int64_t t_s);

#endif
