/* observation.h - learns from readings: levels, floats, strengths and the reservoir move the
 * beliefs.
 *
 * Pure; called by the fold and by nobody else, before the entry changes anything but the anchors:
 * each takes the state as forecast for the entry's instant. A reading is the truth with its noise:
 * what it shows is what is there. One that is far off is questioned, in state.aside, and what it
 * says of the plant's thirst is believed when a second one lies on the same side. All but
 * observe_reservoir cost O(1); a level that is off looks for one that it was swapped with, O(n). */
#ifndef TARN_CORE_STATE_OBSERVATION_H
#define TARN_CORE_STATE_OBSERVATION_H

#include "daemon/core/state/state.h"

/* A planting begins: what is believed of it before it drank. */
void observe_start(const struct room *room, struct state *s, size_t i);

/* A level of a container in drawdown, which the fold takes for true. */
void observe_level(const struct room *room, struct state *s, size_t i, const struct entry *e);

/* Was the float seen to let in water (or not yet)? */
void observe_float(const struct room *room, struct state *s, size_t i, const struct entry *e,
                   bool works);

/* A figure that is an EC (of a reading; before a bump or a draining), beside the anchor's forecast.
 * False when it was too far off to learn from. *out_z is by how many standard deviations it lay
 * above what was expected, learned from or not. */
bool observe_ec(const struct room *room, struct state *s, size_t i, const struct entry *e,
                enum figure figure, double *out_z);

/* The anchor's EC is known by measurement: keeps its doubt. */
void observe_ec_known(struct container_state *cs);

/* A solution was made, by a change or a bump, and its anchor's EC is known: what it will lose is
 * foretold, and set beside a reading when most of a week has gone by. */
void observe_solution_made(const struct room *room, struct state *s, size_t i, int64_t t_s);

/* The reservoir's level, all containers anchored at the entry's instant. O(containers). */
void observe_reservoir(const struct room *room, struct state *s, const struct entry *e);

/* The reservoir's level is known, and nothing follows from what it was before: it was filled up to
 * a mark. All containers are anchored at t_s. */
void observe_reservoir_known(struct state *s, double volume_l, int64_t t_s);

/* What is asked about an entry that was far off, or why nothing was learned from it: borrowed until
 * the state changes; NULL when it was as expected. */
const char *observe_aside(const struct state *s, int64_t seq);

#endif
