/* observation.h - what a reading teaches.
 *
 * Pure; called by the fold (state.c) and by nobody else, before the entry changes anything but the
 * anchors: each takes the state as forecast for the entry's instant. A reading that cannot be is set
 * aside: it is kept, explained in state.aside, and teaches nothing; a second one like it is
 * believed. All but observe_reservoir cost O(1).
 *
 * Evidence for a leak or a clog is summed up as a cusum (Page 1954, Biometrika 41:100) of what the
 * reservoir lost over what the plants drink, in standard deviations. */
#ifndef TARN_CORE_STATE_OBSERVATION_H
#define TARN_CORE_STATE_OBSERVATION_H

#include "daemon/core/state/state.h"

#define OBSERVE_CUSUM_SLACK 0.5
#define OBSERVE_CUSUM_OPEN  4.4
#define OBSERVE_CUSUM_SHUT  1.0

/* Standard deviations of what a person reads. */
double observe_level_sd(const struct container *c);     /* a ruler in a bucket, litres */
double observe_reservoir_sd(const struct reservoir *v); /* a mark on the wall, litres */
double observe_ec_sd(double ec_ms_cm);

/* A planting begins: what is believed of it before it drank. */
void observe_start(const struct room *room, struct state *s, size_t i);

/* A level of a container in drawdown. True when it is to be believed. */
bool observe_level(const struct room *room, struct state *s, size_t i, const struct entry *e);

/* Was the float seen to let in water (or not yet)? */
void observe_float(const struct room *room, struct state *s, size_t i, const struct entry *e,
                   bool works);

/* A figure that is an EC (of a reading; before a bump or a draining), and the anchor's forecast beside
 * it. */
void observe_ec(const struct room *room, struct state *s, size_t i, const struct entry *e,
                enum figure figure);

/* The anchor's EC is known by measurement, or moved by the forecast to t_s: keeps its doubt. */
void observe_ec_known(struct container_state *cs);
void observe_ec_forecast(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                         double out_by[EC_BY_N]);

/* Its part that leans on the curve. */
struct lean observe_thirst(const double by[EC_BY_N]);

/* The reservoir's level, all containers anchored at the entry's instant. O(containers). */
void observe_reservoir(const struct room *room, struct state *s, const struct entry *e);

/* The reservoir's level is known, and nothing follows from what it was before: it was filled up to
 * a mark. All containers are anchored at t_s. */
void observe_reservoir_known(struct state *s, double volume_l, int64_t t_s);

/* Why an entry was set aside; NULL when it was not. */
const char *observe_aside(const struct state *s, int64_t seq);

#endif
