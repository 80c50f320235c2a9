/* strength.h - how strong a container's solution is to be, and when it serves no longer.
 *
 * Pure. A meter shows food and the water's own salts together. Targets and steps are strengths of
 * a fresh solution, made of source water; whether one is spent goes by its food alone, since what
 * the plant leaves of the water gathers and would pass for food. Food itself is a sum: nitrate may
 * be gone while calcium and sulfate still conduct, so where it is known what was in the products,
 * nitrogen, potassium and calcium are looked at one by one. */
#ifndef TARN_CORE_STATE_STRENGTH_H
#define TARN_CORE_STATE_STRENGTH_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

/* What a fresh solution for a stage is made to in the end, and the next one of a container: by the
 * crop's step above the last, where that is less; burnt tips hold it where it is. */
double strength_target_ms_cm(const struct room *room, const struct crop *crop,
                             const struct stage *stage);
double strength_next_ms_cm(const struct room *room, const struct container_state *cs,
                           const struct stage *stage);

/* Of such a strength, the food; and the strength that a body would have were it fresh: with no
 * more of the water's salts than the source brings. */
double strength_food_ms_cm(const struct room *room, double fresh_ms_cm);
double strength_as_fresh_ms_cm(const struct room *room, struct liquid body);

/* The share of the target below which a bump is worth its while, as the room's dial has it. */
double strength_bump_frac(const struct room *room, const struct stage *stage);

/* The food that is such a share of what the next solution is to have: one that may be raised by a
 * step falls below it sooner. */
double strength_share_ms_cm(const struct room *room, const struct container_state *cs,
                            const struct stage *stage, double frac);

/* The food below which the present solution is spent. */
double strength_spent_ms_cm(const struct room *room, const struct container_state *cs,
                            const struct stage *stage);

/* What has gathered in a body beyond what the source brings, as a share of the strength that the
 * present solution was made to. */
double strength_gathered_frac(const struct room *room, const struct container_state *cs,
                              struct liquid body);

/* The first instant from from_s to until_s at which more than such a share has gathered, or a
 * nutrient falls short: below what counts as spent of what was published for the stage, or
 * of what a fresh solution of that strength holds where that is less. *out_feed is which.
 * FORECAST_NEVER when neither comes, or nobody knows what was in the products. */
int64_t strength_gathered_s(const struct room *room, const struct state *s, size_t i, double frac,
                            int64_t from_s, int64_t until_s);
int64_t strength_short_s(const struct room *room, const struct state *s, size_t i,
                         const struct stage *stage, int64_t from_s, int64_t until_s,
                         enum feed *out_feed);

/* mg/L below which each nutrient of the present solution is short; 0 = it is not looked at. */
struct strength_least {
    double mg_l[FEED_COUNT];
};
struct strength_least strength_least_of(const struct room *room, const struct state *s,
                                        const struct container_state *cs,
                                        const struct stage *stage);

/* Is one of them short where so many mg/L are there? *out_feed is which. False where nobody knows
 * what was in the products. */
bool strength_is_short(const struct strength_least *least, const struct nutrients *mg_l,
                       enum feed *out_feed);

/* Of the food that is wanted: where more than this is there although something is short, a bump
 * adds too little of it, and a change mends it. Our own choice. */
#define STRENGTH_BUMP_MENDS 0.8

/* Days after which a fresh solution of the last stage's target is spent, or short of something, by
 * a full-grown plant of the crop on float_volume_l that is topped up from the source. In half the
 * litres it lasts half as long. INFINITY where it is never spent. */
double strength_lasts_day(const struct room *room, const struct state *s, const struct crop *crop,
                          double float_volume_l);

#endif
