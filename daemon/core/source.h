/* source.h - plain water from a reverse-osmosis unit: how much it makes, and of what.
 *
 * Pure. Flow grows by 3 % a degree of the feed water (the correction of ASTM D4516, from memory;
 * Water Quality Association, education kit). Strengths by mass balance of salt. */
#ifndef TARN_CORE_SOURCE_H
#define TARN_CORE_SOURCE_H

#include "daemon/core/agenda.h"

/* Flow at temp_c over that at rated_c: 1.03^(T - rated). */
double source_flow_factor(double temp_c, double rated_c);

/* Strength of what passes, and of what goes to the drain. rejection and recovery are 0 to 1,
 * recovery below 1. */
double source_permeate(double feed, double rejection_frac);
double source_concentrate(double feed, double rejection_frac, double recovery_frac);

/* Litres to the drain for made_l of water; 0 when the recovery was not told. */
double source_drain_l(const struct source_water *s, double made_l);

/* The instant at which making has to begin so that need_l are there at by_s, its own tank being
 * full at now_s: never before now_s. */
int64_t source_start_s(const struct source_water *s, double need_l, int64_t by_s, int64_t now_s);

/* Litres that can be there by then. */
double source_has_l(const struct source_water *s, int64_t now_s, int64_t by_s);

/* The next task that needs plain water: how much, and whether the source can have it. */
struct source_need {
    const struct task *task; /* borrowed from the agenda */
    double need_l, has_l;
    int64_t by_s, start_s; /* when it is to be there, and when making it has to begin */
};

/* False when none of the tasks needs any. */
bool source_next(const struct room *room, const struct state *s, const struct agenda *a,
                 int64_t now_s, struct source_need *out);

#endif
