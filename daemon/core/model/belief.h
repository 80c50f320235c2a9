/* belief.h - what is believed of a plant's thirst and appetite, and of the room's.
 *
 * Pure. A plant uses theta times its crop's curve, `shift` days later and slower or faster; ln
 * theta, the shift and ln of the spread are normal given the room's factor, which all plants
 * share: x = (ln theta, shift, ln spread) ~ N(a + b rho, v), ln of the room's factor rho ~ N. So
 * what one plant shows moves the room's belief and, through it, that of the others, in time that
 * does not grow with the number of plants; this is exact, a tree of normals (Lauritzen &
 * Spiegelhalter 1988). What the reservoir shows is the sum of all, and updates all at once; that
 * they are then not quite independent given the room is left out.
 *
 * Observations enter through their logarithm, so that a factor is a factor: an extended Kalman
 * filter. The crop's curve is a weak prior: of ln theta N(0, 0.37^2), of which the room has a part;
 * the shift's standard deviation is 38 % of the age at which the plant drinks half of its most, of
 * ln spread it is 0.35, and who is late is slow. All of it wanders with time, the room's factor
 * too: what it moved by is exact while plants lean on the room alike, and near it where not. */
#ifndef TARN_CORE_MODEL_BELIEF_H
#define TARN_CORE_MODEL_BELIEF_H

#include "daemon/core/model/curve.h"
#include "daemon/core/model/gauss.h"

#include <stdbool.h>
#include <stddef.h>

enum { BELIEF_LN_THETA, BELIEF_SHIFT, BELIEF_LN_SPREAD, BELIEF_N };

struct belief {
    double a[BELIEF_N];
    double b[BELIEF_N];
    double v[BELIEF_N][BELIEF_N];
    struct gauss appetite; /* ln of the factor on the uptake concentration */
};

/* The room's factor before anything was seen, and a plant's. */
struct gauss belief_room(void);
struct belief belief_of(const struct curve *prior);

/* The curve of the mean of x. */
struct curve belief_curve(const struct belief *p, const struct gauss *room,
                          const struct curve *prior);

/* The same curve with one of x moved by a little: for derivatives. */
struct curve belief_stepped(const struct curve *c, int k, double step);

/* By how much each of x differs between two curves of one plant. */
void belief_moved(const struct curve *from, const struct curve *to, double out[BELIEF_N]);

/* How the log of the use between two ages leans on x: h = d ln C / dx at the mean. */
struct lean {
    double h[BELIEF_N];
};
struct lean belief_lean(const struct curve *now, double a0_day, double a1_day);

/* Variance of h x, the room's part included; and of the plant's part alone, given the room. */
double belief_var(const struct belief *p, const struct gauss *room, const struct lean *h);
double belief_own_var(const struct belief *p, const struct lean *h);
/* How h x moves with the room's factor. */
double belief_room_lean(const struct belief *p, const struct lean *h);

/* ln of a use was seen `off` away from what was expected, with this noise: the plant alone. */
void belief_see(struct belief *p, struct gauss *room, const struct lean *h, double off,
                double noise_var);

/* A plant's part of a sum that was seen. `litres` is its expected share; of the whole, `left`
 * litres were not explained by the plants' own means, `room_lean` is how the whole moves with the
 * room's factor, and whole_var its variance given the room, noise included. The room itself is
 * the caller's: belief_room_sees(room, room_lean, left, whole_var). */
void belief_share(struct belief *p, const struct lean *h, double litres, double left_l,
                  double room_lean, double whole_var);

/* The room's factor after an observation as in belief_share. All plants had the same weather, so
 * many of them tell no more of the room than the weather lets through: it is never known better
 * than that. */
struct gauss belief_room_sees(struct gauss room, double room_lean, double left, double var);

/* A bound on ln of a use: it lies `off` above (or below) what was expected. */
void belief_bound(struct belief *p, struct gauss *room, const struct lean *h, double off,
                  double soft_sd, bool above);

/* Time passes: plants wander from their factor and their curve, so that the last weeks count
 * most. */
void belief_drift(struct belief *p, const struct curve *prior, double days);

/* … and the variance that this adds to ln theta. */
double belief_drift_var(double days);

/* … and likewise to ln of the room's factor. */
double belief_room_drift_var(double days);

/* What the last `days` days moved the room's factor by, which is in its variance already, moved
 * this plant too. */
void belief_room_moved(struct belief *p, const struct gauss *room, double days);

/* The weather of `days` days makes the use that much more or less than the curve: variance of its
 * log. Days lean on the day before. */
double belief_weather_var(double days);

#endif
