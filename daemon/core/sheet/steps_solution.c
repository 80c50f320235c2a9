#include "daemon/core/sheet/steps_solution.h"

#include "daemon/core/room/water_source.h"
#include "daemon/core/sheet/steps_dose.h"
#include "daemon/core/sheet/steps_ph.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/standing.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void step_set_in(const struct steps_writer *w)
{
    steps_add(w, NULL,
              "Set the seedling in, so that the pot is just wetted. Leave the shut-off open; the "
              "float stays shut until the level is down to it.");
    worksheet_does(w->out, STEP_SET_IN, INTO_VESSELS);
}

/* Comes its new solution to rest above what the plant bears? (state/standing.h) */
static bool rests_too_high(const struct ph_wanted *ph)
{
    return ph->rests_ph > ph->hi + PH_DOUBT;
}

/* No float yet: the container is filled above its line once, and the roots follow the level
 * down. Mixed in it, since it is filled from the tap and not through the reservoir. */
void steps_of_start(const struct steps_writer *w)
{
    const struct job *j = &w->t->job[0];
    double base_ec = w->room->source.ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    const char *into = w->t->n_jobs > 1 ? "each" : steps_name(w, 0);
    double carried_l = j->volume_l * (double)w->t->n_jobs;
    struct dosing_rise rise = {j->volume_l, base_ec, fmax(0, gain)};
    double water_l = steps_water_l(w, &rise);
    struct dissolved water = waters_source(w->room, w->s);
    struct ph_wanted ph = steps_ph_of_mix(w, &water, j->volume_l, gain);
    struct text names = {0};
    char litres[QUANTITY_BOTH_MAX];
    char line[QUANTITY_BOTH_MAX];
    bool shows; /* does it show that the doses bring water, too? */

    steps_names(w, &names);
    shows = strcmp(steps_litres(litres, w, water_l), steps_litres(line, w, j->volume_l)) != 0;
    steps_add(w, steps_heavy(w, carried_l),
              "%s %s: put in %s of plain water, up to %sthe start line%s. It comes from the "
              "source; what is drawn from the reservoir all the same is missing there, and is "
              "told with it: reservoir volume=….",
              w->t->n_jobs > 1 ? "For each of" : "For", text_str(&names), litres,
              shows ? "just below " : "", shows ? ": the doses bring the rest" : "");
    worksheet_does(w->out, STEP_LET_IN, INTO_VESSELS);
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        worksheet_vessel(w->out, steps_name(w, i), water_l, NAN);
    }
    steps_acid_first(w, &ph);
    ph.water = steps_fed(w, &ph.water, gain);
    if (gain > 0) {
        steps_doses(w, &rise, into, INTO_VESSELS);
    } else {
        steps_hard_water(w, j->volume_l, w->t->mix_ec_ms_cm, base_ec);
    }
    steps_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 100, gain > 0);
    steps_ph(w, &ph);
    if (rests_too_high(&ph)) {
        steps_add(w, NULL,
                  "Let it stand overnight, uncovered and without its plant: its gas leaves, and it "
                  "rises. A second dose sets it right, a task of its own on the next day of work; "
                  "the seedling waits for that, moist in its tray.");
    } else {
        step_set_in(w);
    }
    steps_ask(w, 0);
    text_deinit(&names);
}

/* Read before and measured after: the two readings are what leaks and plants are told apart by. */
void steps_of_fill(const struct steps_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    const struct source_water *source = &w->room->source;
    const struct reservoir_state *r = &w->s->reservoir;
    double more_l = w->t->job[0].volume_l;
    double held_l = r->holds_mix ? 0 : fmax(0, v->capacity_l - more_l);
    struct dissolved water = waters_let_in(w->room, w->s, w->now_s, held_l, v->capacity_l);
    struct ph_wanted ph = steps_ph_of_plain(w, &water, v->capacity_l);
    struct liquid held;
    char more[QUANTITY_BOTH_MAX];
    char full[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];
    char cans[STEPS_CANS_MAX];
    char hours[STEPS_CANS_MAX] = "";

    if (source->rate_l_h > 0) {
        long takes_min = lround(60 * more_l / source->rate_l_h);

        (void)snprintf(hours, sizeof hours, " From the source alone it takes %ld h %ld min.",
                       takes_min / 60, takes_min % 60);
    }
    if (r->holds_mix) {
        steps_add(w, NULL, "Close every shut-off, until the pH is right.");
        worksheet_does(w->out, STEP_CLOSE, INTO_NOTHING);
        steps_rinse(w, 0);
    } else {
        steps_add(w, NULL,
                  "Close every shut-off, until the pH is right. Read how much it holds: together "
                  "with what you let in, that shows what the "
                  "plants drank, and whether some ran off.");
        worksheet_does(w->out, STEP_CLOSE, INTO_NOTHING);
    }
    steps_add(w, caution_air_gap, "Let in about %s of plain water, up to %s%s.%s",
              steps_litres(more, w, more_l), steps_litres(full, w, v->capacity_l),
              steps_cans(cans, w, more_l), hours);
    worksheet_does(w->out, STEP_LET_IN, INTO_RESERVOIR);
    worksheet_moves(w->out, more_l, v->capacity_l);
    if (water_source_drain_l(source, more_l) > 0) {
        steps_add(w, caution_disposal, "The unit sends about %s to the drain meanwhile.",
                  steps_litres(more, w, water_source_drain_l(source, more_l)));
    }
    if (room_feeds(w->room)) {
        held = forecast_reservoir(w->room, w->s, w->now_s);
        held.volume_l = held_l;
        steps_feed(w, held, more_l, &ph.water);
    } else {
        steps_add(w, NULL,
                  "Stir, and measure: EC near %s, or there is solution left in it; and the pH.",
                  steps_strength(ec, w, source->ec_ms_cm));
        worksheet_does(w->out, STEP_MEASURE, INTO_NOTHING);
    }
    steps_ph_without_cans(&ph, w, held_l, v->capacity_l, 0);
    steps_ph(w, &ph);
    steps_add(w, NULL, "Open every shut-off of a container that grows something.");
    worksheet_does(w->out, STEP_OPEN, INTO_NOTHING);
    steps_ask(w, 0);
}

/* A new solution, or plain water, that was dosed before and has stood since: nobody has measured it
 * yet, and it is to come to rest where it serves. */
static struct ph_wanted second_dose(const struct steps_writer *w, const struct job *j)
{
    bool tank = j->subject.kind == SUBJECT_RESERVOIR;
    struct dissolved water = tank ? waters_reservoir(w->room, w->s, w->now_s)
                                  : standing_solution(w->room, w->s, j->subject.at, w->now_s);
    struct ph_wanted ph = tank ? steps_ph_of_plain(w, &water, j->volume_l)
                               : steps_ph_of_mix(w, &water, j->volume_l, 0);
    char litres[QUANTITY_BOTH_MAX];

    ph.begun = true;
    steps_add(w, NULL, "%s holds about %s, which was dosed before; its gas has left since.",
              steps_name(w, 0), steps_litres(litres, w, j->volume_l));
    return ph;
}

/* The reservoir's plain water goes by the room file, a plant's solution by its stage and its
 * drift. */
static struct ph_wanted dose_as_read(const struct steps_writer *w, const struct job *j)
{
    bool tank = j->subject.kind == SUBJECT_RESERVOIR;
    const struct reservoir_state *r = &w->s->reservoir;
    const struct container_state *cs = tank ? NULL : &w->s->container[j->subject.at];
    double is = tank ? r->ph.value : cs->ph.value;
    double ph_day = 0;
    double days = 0;
    struct ph_wanted ph;
    char litres[QUANTITY_BOTH_MAX];
    struct dissolved water = tank ? waters_reservoir(w->room, w->s, r->ph.at_s)
                                  : waters_container(w->room, w->s, j->subject.at, is, cs->ph.at_s);

    ph = steps_ph_of_reservoir(w, &water, j->volume_l);
    ph.from = is;
    ph.planted = !tank;
    if (!tank) {
        struct forecast now = forecast_container(w->room, w->s, j->subject.at, w->now_s);
        const struct stage *stage = &w->room->crop[cs->crop].stage[now.stage];

        ph.lo = stage->ph_min;
        ph.hi = stage->ph_max;
        ph_day = forecast_ph_day(w->s, j->subject.at, &now);
        days = stage->life_max_day;
    }
    steps_ph_against_drift(&ph, ph_day, days);
    if (!tank) {
        steps_ph_leave_room(&ph);
    }
    steps_add(w, NULL, "%s holds about %s at pH %.1f; it should be %.1f to %.1f.", steps_name(w, 0),
              steps_litres(litres, w, j->volume_l), is, ph.lo, ph.hi);
    return ph;
}

void steps_of_ph(const struct steps_writer *w)
{
    const struct job *j = &w->t->job[0];
    bool tank = j->subject.kind == SUBJECT_RESERVOIR;
    bool seedling = !tank && standing_for_seedling(w->room, w->s, j->subject.at, w->now_s);
    bool again = seedling || (tank && standing_reservoir(w->room, w->s, w->now_s));
    struct ph_wanted ph = again ? second_dose(w, j) : dose_as_read(w, j);

    if (tank) {
        steps_add(w, NULL, "Close every shut-off, until the pH is right.");
        worksheet_does(w->out, STEP_CLOSE, INTO_NOTHING);
    }
    steps_ph(w, &ph);
    if (seedling) {
        step_set_in(w);
    }
    if (tank) {
        steps_add(w, NULL, "Open every shut-off of a container that grows something.");
        worksheet_does(w->out, STEP_OPEN, INTO_NOTHING);
    }
    steps_ask(w, 0);
}
