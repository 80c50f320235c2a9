/* truth.h - a simulated room whose truth the daemon does not know.
 *
 * Plants have their own factor, curve and appetite; every day has its weather; a
 * reservoir may leak, a float clog or stick open. Stepped by the hour. Meters read it
 * with noise. For benchmarks and seasons.
 *
 * A truth that was told its season (truth_live) draws by counters: what a plant is like, and the
 * weather of a day, depend on the seed, the container, the planting and the day alone, whatever
 * people do meanwhile. It evaporates, and its solutions have a pH that drifts. */
#ifndef TARN_TESTS_SIM_TRUTH_H
#define TARN_TESTS_SIM_TRUTH_H

#include "daemon/core/room/room.h"

#include <stdbool.h>
#include <stdint.h>

/* A generator of its own, so that a seed means the same everywhere (splitmix64: Steele, Lea & Flood
 * 2014). */
struct dice {
    uint64_t state;
};
double dice_even(struct dice *d);   /* in [0, 1) */
double dice_normal(struct dice *d); /* mean 0, standard deviation 1 */

/* The dice of one purpose, one subject and one day: the same whenever they are asked for. */
struct dice dice_of(uint64_t seed, uint64_t purpose, uint64_t subject, uint64_t day);

/* How far the truth lies from what the crops say: standard deviations. */
struct truth_spread {
    double room, plant; /* ln of factors */
    double half_frac;   /* of the curve's half_day */
    double spread;      /* ln of the curve's spread */
    double appetite;    /* ln of the uptake concentration */
    double weather;     /* ln, for a day; a day leans on the day before by half */
    double own_weather; /* ln, for a day and a plant */
};
extern const struct truth_spread truth_usual;

/* What a season adds. */
struct truth_season {
    double evaporates_l_day;    /* of a container, through its lid and pot */
    double evaporates_frac_day; /* of the reservoir */
    double ph_rest,
        ph_rest_sd;     /* where a solution drifts to, in the mean and from plant to plant */
    double ph_pull_day; /* share of the way in a day … */
    double ph_pull_sd;  /* … ln, from plant to plant */
    double tank_ph_day; /* plain water takes up or loses this much in a day */
};
extern const struct truth_season truth_season_usual;

struct truth_plant {
    bool growing;
    bool clogged; /* the float lets nothing in */
    bool stuck;   /* it does not shut */
    struct curve curve;
    double factor, appetite;
    double age_day;
    double volume_l, ec_ms_cm;
    double float_day; /* age at which the line was reached; NaN = not yet */
    double weather;
    double ph, ph_rest, ph_pull_day; /* of a season */
    uint64_t planting;
};

struct truth {
    const struct room *room;
    struct truth_spread spread;
    struct dice dice;
    struct truth_plant *plant; /* one a container; owned */
    double room_factor;
    double day;
    double weather; /* ln of today's */
    double reservoir_l, reservoir_ec;
    bool holds_mix;
    double leak_l_day;
    double drawn_l, leaked_l; /* since the beginning */
    double dry_h;             /* hours in which the reservoir could not give what was asked,
                                 of each container that asked */
    double dry_hours;         /* the same, of the room */
    const struct truth_season *season; /* NULL = none; borrowed */
    uint64_t seed;
    double reservoir_ph, source_ec;
};

/* Every container empty, the reservoir full of source water. Borrows the room;
 * truth_deinit frees. */
void truth_init(struct truth *t, const struct room *room, uint64_t seed,
                struct truth_spread spread);

/* Frees the plants and leaves *t empty. */
void truth_deinit(struct truth *t);

/* From here on a season: to be told before the first plant is set in. */
void truth_live(struct truth *t, uint64_t seed, const struct truth_season *season);

/* Sets a plant in, with a solution to the start line. */
void truth_start(struct truth *t, size_t i, double ec_ms_cm);
/* Takes the plant out. */
void truth_harvest(struct truth *t, size_t i);
/* Drains and refills it to the float line from the mix. */
void truth_change(struct truth *t, size_t i, double mix_ec_ms_cm);
/* Lets an hour go by. */
void truth_hour(struct truth *t);

/* The stage by the calendar of the crop: what a person has seen is not known here. */
const struct stage *truth_stage(const struct truth *t, size_t i);

/* What a plant drinks in a day of plain weather, now. */
double truth_rate_l_day(const struct truth *t, size_t i);

/* What a person reads off a ruler in container i, litres. */
double truth_read_level(struct truth *t, size_t i);
/* Off the mark on the reservoir, litres. */
double truth_read_reservoir(struct truth *t);
/* Off a meter, mS/cm, when the solution has this. */
double truth_read_ec(struct truth *t, double ec_ms_cm);

#endif
