/* forecast.h - what the room holds at an instant, and when something will be.
 *
 * Pure. Values follow from the anchors in the state by the crop's water-use curve (curve.h) and the
 * mass balance of solution.h. An instant before an anchor is answered with the anchor. */
#ifndef TARN_CORE_STATE_FORECAST_H
#define TARN_CORE_STATE_FORECAST_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

#define FORECAST_NEVER INT64_MAX

struct forecast {
    enum condition condition; /* on float once the level has reached the line, seen or not */
    struct liquid body;
    int stage;        /* index in the crop; -1 when idle */
    double age_day;   /* since the start; 0 when idle */
    double drawn_l;   /* taken from the reservoir so far */
    double use_l_day; /* drinking rate at the instant */
};

/* What container i holds at t_s, by its anchor, its curve and what it is topped up with. */
struct forecast forecast_container(const struct room *room, const struct state *s, size_t i,
                                   int64_t t_s);

/* The same, had the container's state been *cs. */
struct forecast forecast_as(const struct room *room, const struct state *s, size_t i,
                            const struct container_state *cs, int64_t t_s);

/* Litres drunk from a container's anchor until what was forecast of it; the same over what it held
 * in between, and a day's at its rate (turns: ph_drift.h). */
double forecast_drunk_l(const struct container_state *cs, const struct forecast *then);
double forecast_turns(const struct container_state *cs, const struct forecast *then);
double forecast_turns_day(const struct forecast *f);

/* What the pH of container i is expected to do in a day, its plant drinking as it does then. */
double forecast_ph_day(const struct state *s, size_t i, const struct forecast *then);

/* How the EC forecast for t_s leans on what is believed of the plant: mS/cm for a unit of each of
 * belief.h's x, and of ln appetite. How the anchor's own EC leans on them is carried along. */
void forecast_ec_by(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                    double out_by[EC_BY_N]);

/* Of that, what leans on the plant's thirst, as belief.h takes it. */
struct lean forecast_ec_thirst(const double by[EC_BY_N]);

/* When the float line is (or was) reached: past instants are answered too. FORECAST_NEVER when
 * idle. */
int64_t forecast_float_s(const struct room *room, const struct state *s, size_t i);

/* mg/L of each nutrient in it, as the plant takes each by the ratios of its crop: from products
 * whose contents were told, and from the source where its analysis was. Nothing where nobody
 * knows. */
struct nutrients forecast_feed(const struct room *room, const struct state *s, size_t i,
                               int64_t t_s);

/* The same, had the container's state been *cs. */
struct nutrients forecast_feed_as(const struct room *room, const struct state *s, size_t i,
                                  const struct container_state *cs, int64_t t_s);

/* When the food on float, its EC less the water's part, falls below food_ms_cm; FORECAST_NEVER when
 * it does not within a year. */
int64_t forecast_food_below_s(const struct room *room, const struct state *s, size_t i,
                              double food_ms_cm, int64_t from_s);

/* Since when the present solution has been diluted by top-up: the later of the change and the
 * float. */
int64_t forecast_solution_since_s(const struct room *room, const struct state *s, size_t i);

/* The highest level that does not drown air roots: the start line when idle or in the first
 * FORECAST_AIR_ROOT_DAYS after the start; then the present level, but at least the float line; the
 * float line for good once the container has been on float. Kratky 2004 (Acta Hort. 648:83-89):
 * raising by more than 2 cm may injure; Kratky 2011 (ASHS): the level should not be raised. The
 * number of days is common practice, no source. */
#define FORECAST_AIR_ROOT_DAYS 7
double forecast_safe_volume_l(const struct room *room, const struct state *s, size_t i,
                              int64_t t_s);

/* The same by what was forecast of it. */
double forecast_safe_volume_of(const struct room *room, const struct state *s, size_t i,
                               const struct forecast *then);

/* Reservoir: what it holds, and the first instant from `from_s` at which it is down to volume_l
 * (FORECAST_NEVER when not within a year). While it holds a mix nobody draws from it. */
struct liquid forecast_reservoir(const struct room *room, const struct state *s, int64_t t_s);
int64_t forecast_reservoir_at_s(const struct room *room, const struct state *s, double volume_l,
                                int64_t from_s);

/* Is it down to its outlet? Not where nobody told of it yet. */
bool forecast_is_dry(const struct room *room, const struct state *s, int64_t t_s);

/* Litres that all containers together have taken from the reservoir up to t_s, since the journal
 * began; and between two instants. */
double forecast_drawn_l(const struct room *room, const struct state *s, int64_t t_s);
double forecast_draw_l(const struct room *room, const struct state *s, int64_t from_s,
                       int64_t to_s);

#endif
