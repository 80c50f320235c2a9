/* alarm.h - what is wrong by the readings: alarms that evidence opens, and that shut when it
 * goes.
 *
 * Pure. The fold shows each reading to alarm_…; alarms with their evidence live in the state, so
 * an alarm is the same after a restart. It opens at one threshold and shuts at a lower one, so
 * that it does not flutter; in between it stays as it is. A person may acknowledge it (a `look`
 * task): it stays on the list until the evidence goes, and asks for nothing more.
 *
 *   level-high      over the float line, or over what the level was in drawdown, by 5 % of the
 *                   line and 4 standard deviations of a ruler (reading_error.h); shuts at 2
 *   level-low       below the float line by 8 % of it and 4 sd, once the float has worked and
 *                   while the reservoir has water to give; or its float seen not to let in water;
 *                   shuts at 2 sd
 *   level-odd       in drawdown, the cusums of what the level lost beside what its plant was to
 *                   drink (cusum.h): one level 4.3 sd off, or two 2.4 off on the same side
 *   swapped         the levels of two of one round, which fit each other better than themselves by
 *                   e^6 to 1; shuts at the next level of each
 *   hot             a solution of the crop's `hot` (28 C) or more; shuts 1 C below, and is old
 *                   after three days, or with the next solution (heat.h)
 *   wilting, brown-roots, blossom-end-rot
 *                   a person saw it; old after the days of its row, brown roots with the next
 *                   change too; seen again after a look it asks for another (sighted.h)
 *   too-strong      on float, 4 sd over what was expected; shuts at 2
 *   ph-drift        0.3 or more outside of the band, and outside on the same side before; or out
 *                   of it by a leap of 0.7 within 5 days; shuts in the band
 *   pace            drinks over 2.5 times what its crop does, or under 1 / 2.5, and that is known
 *                   to a quarter; shuts at 2 times
 *   reservoir-salt  plain water over its source by 0.1 mS/cm and a quarter of the source; shuts at
 *                   0.6 of that
 *   leak, air-lock  the cusums of what the reservoir lost (cusum.h); a leak by nights with every
 *                   shut-off closed too, which also shut it (overnight.h)
 *   meter           three readings in a row that cannot be; shuts at one that can, or when it is
 *                   calibrated */
#ifndef TARN_CORE_STATE_ALARM_H
#define TARN_CORE_STATE_ALARM_H

#include "daemon/core/state/alarm_says.h"
#include "daemon/core/state/state.h"

/* ---- For the fold. The entry's figures are at 25 C, and the state is as forecast for its instant,
 * before the entry is taken in. */

/* The level and the pH of a container. */
void alarm_container_reading(const struct room *room, struct state *s, size_t i,
                             const struct entry *e);
/* A level in drawdown, after its cusums took it in: what was lost in a day, and what was to be. A
 * level that is told anew ends the question whether the last one was another's. */
void alarm_level(struct state *s, size_t i, double lost_l_day, double expected_l_day, int64_t t_s);
/* The levels of two containers were told of each other: what they seemed to say of a leak is
 * forgotten. */
void alarm_swapped(struct state *s, size_t i, size_t other, int64_t t_s);
/* A strength `z` standard deviations over what was expected. */
void alarm_strength(struct state *s, size_t i, double ec_ms_cm, double z, int64_t t_s);
/* A float was seen working, or not ("no"). */
void alarm_float_seen(const struct room *room, struct state *s, size_t i, const struct entry *e);
/* A new solution, or a new plant: the old evidence says nothing of it. */
void alarm_new_solution(struct state *s, size_t i);
void alarm_new_plant(struct state *s, size_t i);
/* The reservoir's level, EC and pH, after observe_reservoir took the level in. */
void alarm_reservoir_reading(const struct room *room, struct state *s, const struct entry *e);
/* A night with every shut-off closed, after overnight.h weighed it: so much was lost in it. */
void alarm_overnight(struct state *s, double lost_l, int64_t t_s);
/* A reading of a meter (-1: nobody knows which) was believed, or could not be (odd). */
void alarm_meter(struct state *s, int meter, bool odd, int64_t t_s);
/* A person has looked at what is wrong with a subject. */
void alarm_acknowledge(struct state *s, struct subject subject);

/* ---- For all. */

struct alarm {
    enum alarm_kind kind;
    struct subject subject;
    int64_t since_s;
    bool seen;                 /* a person has acknowledged it */
    double sure_pct;           /* that it is not chance; at most 99.9 */
    char says[ALARM_SAYS_MAX]; /* what was expected, and what was seen */
    const char *look;          /* what to look at first */
};

struct alarms {
    struct alarm *alarm; /* the gravest first, and of one kind in the order of the room file */
    size_t n, cap;
};

/* What is wrong now. What is too old to be true still is left out. *out is overwritten; the caller
 * ends it with alarms_deinit. */
void alarms_derive(const struct room *room, const struct state *s, int64_t now_s,
                   struct alarms *out);
void alarms_deinit(struct alarms *a);

/* The alarms of a subject, borrowed until the state changes; NULL where it can have none. */
const struct alarm_states *alarm_states_of(const struct state *s, struct subject subject);

#endif
