/* observe_common.h - what observation.c and observe_reservoir.c have in common.
 *
 * Private to them. */
#ifndef TARN_CORE_STATE_OBSERVE_COMMON_H
#define TARN_CORE_STATE_OBSERVE_COMMON_H

#include "daemon/core/state/state.h"

/* No one look pulls more at what is believed than one so many standard deviations off (Huber 1964,
 * Ann. Math. Stat. 35:73); set by tests/bench/predictbench. */
#define OBSERVE_PULL_SD 2.5

/* Keeps what is asked about an entry, or why nothing was learned from it; the oldest are forgotten
 * when there are very many. */
__attribute__((format(printf, 3, 4))) void observe_set_aside(struct state *s, const struct entry *e,
                                                             const char *fmt, ...);

/* The square. */
double observe_sq(double x);

/* Days since the planting of a container. */
double observe_age_day(const struct container_state *cs, int64_t t_s);

/* What its crop's file says that it drinks. */
const struct curve *observe_prior(const struct room *room, const struct container_state *cs);

/* Makes the curve anew that belongs to what is believed now. */
void observe_refresh(const struct room *room, const struct state *s, struct container_state *cs);

/* Time passes for what is believed, up to an instant: of the room, and then of a plant. */
void observe_wander_room(struct state *s, int64_t t_s);
void observe_wander(const struct state *s, struct container_state *cs, int64_t t_s);

#endif
