/* feeding.h - what keeping the solutions of the room up will take in the coming weeks, roughly.
 *
 * Pure. Lives each container forward from morning to morning by its forecast, and does what the
 * rules of jobs_solution.c would ask for then: a change when its time is over, its water has
 * gathered or something is short that a bump does not mend; else a bump when it is worth one.
 * Nothing is bundled and nobody is late, so it is no plan: it is for comparing one room with
 * another that is supposed. */
#ifndef TARN_CORE_TASKS_FEEDING_H
#define TARN_CORE_TASKS_FEEDING_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

struct feeding {
    int bumps, changes;
    double minutes;   /* for these, without what a mix takes */
    double short_day; /* mornings on which a container was found spent or short of something */
};

/* Of all containers together, over so many days from now_s. */
struct feeding feeding_foresee(const struct room *room, const struct state *s, int64_t now_s,
                               int days);

/* A week as it would be with visits: nothing is done between them, and somebody comes when the
 * waiting has cost as much as the way (visiting_weighs), or when a plant suffers. */
struct feeding_week {
    double visits;
    double minutes;    /* of readings, bumps, changes, mixes and fills, with the way */
    double narrow_pct; /* of the days on float: food within 75 to 115 % of what the stage wants */
    double water_l;    /* what floats and changes take */
};

/* The mean week of so many days from now_s. thirst_sd = how many standard deviations of what is
 * believed of it every plant is thirstier; 0 = as it is believed. */
struct feeding_week feeding_week(const struct room *room, const struct state *s, int64_t now_s,
                                 int days, double thirst_sd);

#endif
