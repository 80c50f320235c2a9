/* truth.h - a simulated room whose truth the daemon does not know.
 *
 * Plants have their own thirst, curve and appetite; every day has its weather; waters are ions with
 * their charges (water.h); a reservoir may leak, a float clog or stick open. Stepped by the hour.
 * Meters read it with noise. For benchmarks and seasons. Nothing of the daemon's model is used but
 * the description of the room and, of that, what the crop file says.
 *
 * What a plant takes: by element in the ratios of OD-TOM (54 fortnightly balances of a cherry
 * tomato crop, shared references; medians), scaled to the crop's uptake; less as a concentration
 * falls (Michaelis & Menten); of sodium and chloride a share of what the water brings, and nitrate
 * for the chloride that is not there. What it takes of cations over anions, or the reverse, it
 * makes up for with acid or base, so nitrate raises the pH and ammonium lowers it.
 *
 * A truth that was told its season (truth_live) draws by counters: what a plant is like, and the
 * weather of a day, depend on the seed, the container, the planting and the day alone, whatever
 * people do meanwhile. It evaporates, and its waters stand open to the air; without a season they
 * are closed, since nothing but their EC is asked for. */
#ifndef TARN_TESTS_SIM_TRUTH_H
#define TARN_TESTS_SIM_TRUTH_H

#include "daemon/core/room/room.h"
#include "tests/sim/dice.h"
#include "tests/sim/water.h"

#include <stdbool.h>
#include <stdint.h>

/* How far the truth lies from what the crops say: standard deviations. */
struct truth_spread {
    double room, plant; /* ln of factors */
    double half_frac;   /* of the curve's half_day */
    double spread;      /* ln of the curve's spread */
    double appetite;    /* ln of the uptake concentration */
    double nitrate;     /* of the share of nitrate in what it takes, from plant to plant */
    double weather;     /* ln, for a day; a day leans on the day before by half */
    double own_weather; /* ln, for a day and a plant */
};
extern const struct truth_spread truth_usual;

/* What a season adds. */
struct truth_season {
    double evaporates_l_day;    /* of a container, through its lid and pot */
    double evaporates_frac_day; /* of the reservoir */
};
extern const struct truth_season truth_season_usual;

/* How a room differs from those that the usual spreads draw. What is 0 changes nothing but for
 * size and pace, which are 1 then. */
struct truth_way {
    double size, pace;       /* factors on what the crop file says: of thirst, and of its days */
    double evaporates_l_day; /* of a container, drunk by nobody */
    double heat_ln;          /* ln of the factor on all thirst in a week of heat … */
    int heat_week[2];        /* … which are these, counted from 0 */
    const double *series;    /* litres of a plant by day and compartment, in rows of n_days; … */
    size_t n_series, n_days; /* … NULL = plants follow their curve. Borrowed */
    double series_days;      /* over so many days a plant uses what its crop file says */
};

struct truth_plant {
    bool growing;
    double leak_l_day;    /* lost by nobody's drinking */
    const double *series; /* what it drinks by day, times its factor; NULL = by its curve */
    double series_scale;
    bool clogged; /* the float lets nothing in */
    bool stuck;   /* it does not shut */
    struct curve curve;
    double factor, appetite;
    double nitrate; /* what it takes of it, over what the ratios say */
    double age_day;
    struct water_body water;
    double float_day; /* age at which the line was reached; NaN = not yet */
    double weather;
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
    struct water_body reservoir;
    struct water_body source; /* a litre of it, as it is now: a filter may fail */
    bool holds_mix;
    bool closed; /* every shut-off is */
    double leak_l_day;
    double drawn_l, leaked_l; /* since the beginning */
    double dry_h;             /* hours in which the reservoir could not give what was asked,
                                 of each container that asked */
    double dry_hours;         /* the same, of the room */
    const struct truth_season *season; /* NULL = none; borrowed */
    struct truth_way way;
    uint64_t seed;
};

/* No plant anywhere, the reservoir full of the source's water. Borrows the room; truth_deinit
 * frees. */
void truth_init(struct truth *t, const struct room *room, uint64_t seed,
                struct truth_spread spread);

/* Frees the plants and leaves *t empty. */
void truth_deinit(struct truth *t);

/* From here on a season: to be told before the first plant is set in. */
void truth_live(struct truth *t, uint64_t seed, const struct truth_season *season);

/* Source water with so much of a recipe's products, as their labels have them, that it shows this
 * strength; plain source water where that is stronger. */
struct water_body truth_solution(const struct truth *t, size_t recipe, double volume_l,
                                 double ec_ms_cm);

/* Sets a plant in, with a solution to the start line; what the vessel held is gone. */
void truth_start(struct truth *t, size_t i, const struct water_body *solution);
/* Takes the plant out; what it stood in stays. */
void truth_harvest(struct truth *t, size_t i);
/* Drains it to its remainder and refills it to the float line with water like this. */
void truth_change(struct truth *t, size_t i, const struct water_body *like);
/* How warm the room's solutions are: 20 °C on a day like any other, and warmer where the weather
 * makes plants drink more. */
double truth_temp_c(const struct truth *t);
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
/* What a jug takes to bring the reservoir back from what it holds to a strip of tape at mark_l. */
double truth_jug_to(struct truth *t, double mark_l);
/* Off a meter, mS/cm, when the solution has this. */
double truth_read_ec(struct truth *t, double ec_ms_cm);

#endif
