#include "daemon/core/model/ph_drift.h"

#include <math.h>

/* Common practice, no source, but for what a meter and days without a cause make of a pH: of
 * those the figures are our own estimate. */
#define DAY_S        86400.0
#define ROOM_PH_TURN 0.4 /* feeds are mostly nitrate: common practice, no source */
#define ROOM_SD      0.8 /* pH a turn: a tenth a day either way is usual where plants are grown … */
#define OWN_SD       0.4  /* … and what plants of one room differ by */
#define READ_SD      0.05 /* of a meter that is kept calibrated */
#define WANDER_SD    0.03 /* beside its drift, in a day */
#define LEAST_DAYS   1.0  /* in less the error of two readings is larger than any drift */
#define GATE_SD      4.0  /* what is farther off is a slip or a refill that nobody told of */
#define NEAREST_FRAC 0.25 /* of the band: no pH is set nearer to its end */

struct gauss ph_drift_room(void)
{
    return (struct gauss){ROOM_PH_TURN, ROOM_SD * ROOM_SD};
}

struct ph_drift ph_drift_of_plant(void)
{
    return (struct ph_drift){
        .own = {0, OWN_SD * OWN_SD}
    };
}

void ph_drift_set(struct ph_drift *d, double ph, int64_t t_s, double turns)
{
    d->from_s = t_s;
    d->from_turns = turns;
    d->from_ph = ph;
}

void ph_drift_unknown(struct ph_drift *d)
{
    d->from_s = 0;
}

/* A plant's own drift and the room's are each taught with the other's doubt as noise, from the same
 * state before: which of the two it was one reading cannot say, and many of many plants do. */
static void learn(struct ph_drift *d, struct gauss *room, double rise, double days, double turns)
{
    const struct gauss own = d->own;
    double ph_turn = rise / turns;
    double noise_var = (2 * READ_SD * READ_SD + WANDER_SD * WANDER_SD * days) / (turns * turns);
    double off = ph_turn - ph_drift_ph_turn(d, room);

    if (fabs(off) <= GATE_SD * sqrt(own.var + room->var + noise_var)) {
        d->own = gauss_see(own, 1, ph_turn - room->mean, room->var + noise_var);
        *room = gauss_see(*room, 1, ph_turn - own.mean, own.var + noise_var);
    }
}

void ph_drift_read(struct ph_drift *d, struct gauss *room, double ph, int64_t t_s, double turns)
{
    double days = (double)(t_s - d->from_s) / DAY_S;

    if (d->from_s && days >= LEAST_DAYS && turns > d->from_turns) {
        learn(d, room, ph - d->from_ph, days, turns - d->from_turns);
    }
    ph_drift_set(d, ph, t_s, turns);
}

double ph_drift_ph_turn(const struct ph_drift *d, const struct gauss *room)
{
    return d->own.mean + room->mean;
}

double ph_drift_days_within(const struct ph_drift *d, const struct gauss *room, double turns_day,
                            double lo, double hi)
{
    double ph_day = ph_drift_ph_turn(d, room) * turns_day;

    if (!d->from_s) {
        return INFINITY;
    }
    if (d->from_ph < lo || d->from_ph > hi) {
        return 0;
    }
    return ph_day == 0 ? INFINITY : ((ph_day > 0 ? hi : lo) - d->from_ph) / ph_day;
}

double ph_drift_aim(double lo, double hi, double ph_day, double days)
{
    double most = (hi - lo) * (0.5 - NEAREST_FRAC);
    double before = fmax(-most, fmin(most, ph_day * days / 2));

    return round(10 * ((lo + hi) / 2 - before)) / 10;
}
