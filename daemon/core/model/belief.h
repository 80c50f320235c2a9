/* belief.h - what is believed of a plant's thirst and appetite, and of the room's.
 *
 * Pure. A plant uses theta times its crop's curve, sooner or later and slower or faster. The logs
 * of theta, of the age at half use and of the spread are normal given what all plants of the room
 * share, r = (ln of a factor on their size, ln of a factor on their pace):
 * x = (ln theta, ln half, ln spread) ~ N(a + b r, v), r ~ N. So what one plant shows moves the
 * room's belief and, through it, that of the others, in time that does not grow with the number of
 * plants; this is exact, a tree of normals (Lauritzen & Spiegelhalter 1988). A crop's file that is
 * off is off for all, and a dozen plants tell soon. What the reservoir shows is the sum of all, and
 * updates all at once; that they are then not quite independent given the room is left out.
 *
 * Observations enter through their logarithm, so that a factor is a factor: an extended Kalman
 * filter. The crop's curve is a weak prior: size and pace may both be off by two, and who is late
 * is slow. All of it wanders with time, the room's size too: what it moved by is exact while plants
 * lean on the room alike, and near it where not. */
#ifndef TARN_CORE_MODEL_BELIEF_H
#define TARN_CORE_MODEL_BELIEF_H

#include "daemon/core/model/curve.h"
#include "daemon/core/model/gauss.h"

#include <stdbool.h>
#include <stddef.h>

enum { BELIEF_LN_THETA, BELIEF_LN_HALF, BELIEF_LN_SPREAD, BELIEF_N };
enum { ROOM_SIZE, ROOM_PACE, ROOM_N };

/* What all plants of a room have in common. */
struct belief_room {
    double mean[ROOM_N];
    double var[ROOM_N][ROOM_N];
};

struct belief {
    double a[BELIEF_N];
    double b[BELIEF_N][ROOM_N];
    double v[BELIEF_N][BELIEF_N];
    struct gauss appetite; /* ln of the factor on the uptake concentration */
};

/* The room before anything was seen, and a plant. */
struct belief_room belief_room(void);
struct belief belief_of(void);

/* The curve of the mean of x. */
struct curve belief_curve(const struct belief *p, const struct belief_room *room,
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
double belief_var(const struct belief *p, const struct belief_room *room, const struct lean *h);
double belief_own_var(const struct belief *p, const struct lean *h);
/* How h x moves with what the room shares; and the variance of something that moves so. */
struct room_lean {
    double of[ROOM_N];
};
struct room_lean belief_room_lean(const struct belief *p, const struct lean *h);
double belief_room_var(const struct belief_room *room, const struct room_lean *c);
/* What such a lean makes of the room's mean. */
double belief_room_mean(const struct belief_room *room, const struct room_lean *c);

/* ln of a use was seen `off` away from what was expected, with this noise: the plant alone. */
void belief_see(struct belief *p, struct belief_room *room, const struct lean *h, double off,
                double noise_var);

/* A plant's part of a sum that was seen. `litres` is its expected share; of the whole, `left`
 * litres were not explained by the plants' own means, `room_lean` is how the whole moves with the
 * room, and whole_var its variance given the room, noise included. The room itself is
 * the caller's: belief_room_sees(room, room_lean, left, whole_var). */
void belief_share(struct belief *p, const struct lean *h, double litres, double left_l,
                  const struct room_lean *room_lean, double whole_var);

/* The room after an observation as in belief_share. All plants had the same weather, so many of
 * them tell no more of its size than the weather lets through: it is never known better than that.
 */
void belief_room_sees(struct belief_room *room, const struct room_lean *c, double left, double var);

/* A bound on ln of a use: it lies `off` above (or below) what was expected. */
void belief_bound(struct belief *p, struct belief_room *room, const struct lean *h, double off,
                  double soft_sd, bool above);

/* Time passes: plants wander from their factor and their curve, so that the last weeks count
 * most. */
void belief_drift(struct belief *p, double days);

/* … and the variance that this adds to ln theta. */
double belief_drift_var(double days);

/* … and likewise to ln of the room's size. */
double belief_room_drift_var(double days);
void belief_room_drift(struct belief_room *room, double days);

/* The same of days to come: a hot week ends, so it wanders no farther than it can come back from.
 */
double belief_drift_ahead_var(double days);
double belief_room_drift_ahead_var(double days);

/* What the last `days` days moved the room's factor by, which is in its variance already, moved
 * this plant too. */
void belief_room_moved(struct belief *p, const struct belief_room *room, double days);

/* The weather of `days` days makes the use that much more or less than the curve: variance of its
 * log. Days lean on the day before. */
double belief_weather_var(double days);

#endif
