/* prediction.h - forecasts with their doubt: by when with which probability, and how much give or
 * take.
 *
 * Pure. What forecast.h says in one figure is here a distribution, so that a task can be given
 * days on which it will do: from what is believed of the plants (belief.h), of the weather to
 * come, and of what things were measured with. A time is asked for by the probability that it has
 * come by then: 0.05 and 0.95 hold it nine times in ten. */
#ifndef TARN_CORE_STATE_PREDICTION_H
#define TARN_CORE_STATE_PREDICTION_H

#include "daemon/core/state/forecast.h"

#define NINE_IN_TEN 1.645 /* standard deviations to either side that hold nine times in ten */

/* Probability that a container is down to its float line by t_s; 0 when it is idle. */
double predict_float_p(const struct room *room, const struct state *s, size_t i, int64_t t_s);

/* By when it is with probability p; FORECAST_NEVER when not within a year. What was reached, or
 * looked for in vain, in the past is not foretold again. */
int64_t predict_float_s(const struct room *room, const struct state *s, size_t i, double p);

/* The strength of a container at t_s. */
struct gauss predict_ec(const struct room *room, const struct state *s, size_t i, int64_t t_s);

/* … and what it is at most with probability p: a plant takes the less the less there is, so that
 * the low end does not lie below what is left when all is nearly gone. */
double predict_ec_at(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                     double p);

/* Standard deviation of what a container holds of each nutrient at t_s, mg/L: what its strength is
 * unsure of was taken or was not, and a fifth of what goes with that since plants differ in their
 * proportions (quartiles of OD-TOM, Hemming et al. 2020). 0 of what its crop says nothing of. */
void predict_feed_sd_mg_l(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                          double out_sd[FEED_COUNT]);

/* By when its food, the EC less the water's part, is below food_low with probability p, from from_s
 * on; FORECAST_NEVER when not within a year. */
int64_t predict_food_below_s(const struct room *room, const struct state *s, size_t i,
                             double food_low, double p, int64_t from_s);

/* Litres drawn from the reservoir between two instants. O(containers). */
struct gauss predict_draw_l(const struct room *room, const struct state *s, int64_t from_s,
                            int64_t to_s);

/* The standard deviation of the log of litres that are gone, as it is promised before the room's
 * own record (record.h) widens or narrows it. */
double predict_doubt_of(const struct gauss *gone);

/* What the reservoir holds at t_s, if nobody fills it: at most this with probability p. 0 when it
 * is empty, or holds no water. */
double predict_reservoir_l(const struct room *room, const struct state *s, int64_t t_s, double p);

/* By when the reservoir is down to volume_l with probability p, from from_s on; FORECAST_NEVER when
 * not within a year, or it holds no water. */
int64_t predict_reservoir_s(const struct room *room, const struct state *s, double volume_l,
                            double p, int64_t from_s);

#endif
