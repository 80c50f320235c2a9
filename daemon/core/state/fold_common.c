#include "daemon/core/state/fold_rules.h"

#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/heat.h"
#include "daemon/core/state/rooted.h"
#include "daemon/core/state/strength.h"

#include <math.h>
#include <string.h>

/* Entries come in order, but for two of one instant: the later number wins, as it does in the
 * journal. */
void fold_measure(const struct fold *f, struct measured *m, enum figure figure)
{
    const struct entry *e = f->e;

    if (entry_has(e, figure) && e->happened_s >= m->at_s) {
        m->at_s = e->happened_s;
        m->value = e->figure[figure];
        m->meter = figure == FIGURE_EC_MS_CM ? room_meter_used(f->room, METER_EC, e->what)
                   : figure == FIGURE_PH     ? room_meter_used(f->room, METER_PH, e->what)
                                             : -1;
    }
}

void fold_measure_container(const struct fold *f, struct container_state *cs)
{
    const struct entry *e = f->e;

    if (entry_has(e, FIGURE_TEMP_C)) {
        heat_container(f->room, f->s, f->at, e->figure[FIGURE_TEMP_C], e->happened_s);
    }
    fold_measure(f, &cs->ec, FIGURE_EC_MS_CM);
    fold_measure(f, &cs->ph, FIGURE_PH);
    fold_measure(f, &cs->temp, FIGURE_TEMP_C);
    fold_measure(f, &cs->volume, FIGURE_VOLUME_L);
    /* A level alone is a look, and no reading of the solution. */
    if (entry_has(e, FIGURE_EC_MS_CM) || entry_has(e, FIGURE_PH)) {
        cs->readings++;
    }
}

void fold_measure_reservoir_temp(const struct fold *f)
{
    if (entry_has(f->e, FIGURE_TEMP_C)) {
        heat_reservoir(f->s, f->e->figure[FIGURE_TEMP_C], f->e->happened_s);
    }
    fold_measure(f, &f->s->reservoir.temp, FIGURE_TEMP_C);
}

void fold_ec_shows(struct liquid *body, struct nutrients *feed, const struct nutrients *takes,
                   double ec_ms_cm)
{
    double food = solution_food_ms_cm(*body);
    double more;
    double times;

    solution_shows(body, ec_ms_cm);
    more = solution_food_ms_cm(*body) - food;
    times = food > 0 ? solution_food_ms_cm(*body) / food : 1;
    for (int k = 0; k < NUTRIENT_COUNT; k++) {
        bool known = takes && takes->mg[k] > 0;

        feed->mg[k] = known ? fmax(0, feed->mg[k] + more * takes->mg[k]) : feed->mg[k] * times;
    }
}

void fold_strength_is_made(const struct fold *f)
{
    f->pot->strength_ms_cm = strength_as_fresh_ms_cm(f->room, f->pot->body);
}

/* The pH of a solution that was made or set; where it was not told it is unknown. */
void fold_ph_is_set(const struct fold *f)
{
    if (entry_has(f->e, FIGURE_PH)) {
        ph_drift_set(&f->pot->drift, f->e->figure[FIGURE_PH], f->e->happened_s, f->pot->turns);
    } else {
        ph_drift_unknown(&f->pot->drift);
    }
}

/* Adds what the entry's amounts brought to volume_l. */
void fold_dose_feed(const struct fold *f, struct nutrients *feed, double volume_l)
{
    struct nutrients mg = dosing_brings(f->room, f->e->amount, f->e->n_amounts);

    if (volume_l > 0) {
        nutrients_add(feed, &mg, 1 / volume_l);
    }
    if (f->pot) {
        rooted_feed(f->pot, &mg, volume_l);
    }
}

/* A product that the room file has no longer has no shelf to be taken from. What is left may
 * fall below nothing: then a delivery was not told (notice.h). */
void fold_use_amounts(const struct fold *f)
{
    for (size_t i = 0; i < f->e->n_amounts; i++) {
        struct subject p = room_find(f->room, f->e->amount[i].product);

        if (p.kind == SUBJECT_PRODUCT) {
            f->s->product[p.at].left -= f->e->amount[i].amount;
        }
    }
}

/* Moves the container's anchor to the entry's instant, with what the forecast says it holds then.
 */
void fold_anchor_container(const struct fold *f)
{
    struct container_state *cs = f->pot;
    struct forecast now = forecast_container(f->room, f->s, f->at, f->e->happened_s);
    double ec_by[EC_BY_N] = {0};

    if (cs->crop >= 0) {
        forecast_ec_by(f->room, f->s, f->at, f->e->happened_s, ec_by);
        memcpy(cs->ec_by, ec_by, sizeof ec_by);
    }
    rooted_stand(f->room, f->s, f->at, &now);
    cs->turns += forecast_turns(cs, &now);
    /* The forecast passed the line on the way: from here on that is what was known, and no
     * better belief moves it. */
    if (now.condition == CONDITION_ON_FLOAT && !cs->reached_s) {
        cs->reached_s = forecast_float_s(f->room, f->s, f->at);
    }
    cs->condition = now.condition;
    cs->feed = forecast_feed(f->room, f->s, f->at, f->e->happened_s);
    cs->body = now.body;
    cs->drawn_l = now.drawn_l;
    if (f->e->happened_s > cs->at_s) {
        cs->at_s = f->e->happened_s;
    }
}

/* All containers at the entry's instant: what the reservoir shows is about all of them. */
void fold_anchor_all(const struct fold *f)
{
    for (size_t i = 0; i < f->s->n_containers; i++) {
        struct fold one = *f;

        one.at = i;
        one.pot = &f->s->container[i];
        one.vessel = &f->room->container[i];
        if (one.pot->crop >= 0 && one.pot->at_s <= f->e->happened_s) {
            fold_anchor_container(&one);
        }
    }
}

/* Also what all containers drew so far, so that what leaves the reservoir from here on is a
 * difference of two such sums. */
void fold_anchor_reservoir(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    r->body = forecast_reservoir(f->room, f->s, f->e->happened_s);
    r->drawn_l = forecast_drawn_l(f->room, f->s, f->e->happened_s);
    r->at_s = f->e->happened_s;
}
