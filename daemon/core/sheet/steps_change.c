#include "daemon/core/sheet/steps_change.h"

#include "daemon/base/mem.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/sheet/steps_dose.h"
#include "daemon/core/sheet/steps_ph.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/sighted.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define LITRES_SAME 0.05 /* litres are told to a tenth: what differs by less reads the same */

/* What is drawn off is kept, as far as there are cans for it. */
static const char *say_kept(const struct steps_writer *w, double drawn_l, struct text *out)
{
    double room_l = fmax(0, w->room->reservoir.cans_l - w->s->reservoir.cans.volume_l);
    char litres[QUANTITY_BOTH_MAX];

    if (room_l >= drawn_l) {
        text_add(out, " into cans: it is let in first the next time, for acid is in it already.");
    } else if (room_l >= CANS_LEAST_L) {
        text_add(out,
                 ", %s of it into cans, to be let in first the next time, for acid is in it "
                 "already; water other plants with the rest, or let it go.",
                 steps_litres(litres, w, room_l));
    } else {
        text_add(out, ": there are no cans for it. Water other plants with it, or let it go.");
    }
    return text_str(out);
}

/* Water for a mix: what is in the reservoir counts, too much of it has to go first. */
static void step_water(const struct steps_writer *w)
{
    struct liquid now = forecast_reservoir(w->room, w->s, w->now_s);
    double more_l = w->t->mix_l - now.volume_l;
    char is[QUANTITY_BOTH_MAX];
    char want[QUANTITY_BOTH_MAX];
    char differ[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];
    char cans[STEPS_CANS_MAX];
    struct text where = {0};
    bool fed = room_feeds(w->room);
    const char *kept = fed ? "its feed" : "plain water";

    if (w->t->rest.volume_l > 0) {
        more_l = fmax(0, w->t->mix_l - w->t->rest.volume_l);
    }
    steps_litres(is, w, w->t->rest.volume_l > 0 ? w->t->rest.volume_l : now.volume_l);
    steps_litres(want, w, w->t->mix_l);
    steps_litres(differ, w, fabs(more_l));
    if (w->t->rest.volume_l > 0) {
        steps_add(w, NULL,
                  "The mix is to be %s. About %s of the one before, at %s, is left in the "
                  "reservoir: let in %s of plain water%s.",
                  want, is, steps_strength(ec, w, w->t->rest.ec_ms_cm), differ,
                  steps_cans(cans, w, more_l));
    } else if (w->s->reservoir.holds_mix) {
        steps_rinse(w, 0);
        steps_add(w, NULL, "Let in %s of plain water%s.", want, steps_cans(cans, w, w->t->mix_l));
        more_l = w->t->mix_l;
    } else if (more_l >= 0) {
        steps_add(
            w, NULL, "The mix is to be %s. The reservoir should hold %s of %s: let in %s%s more%s.",
            want, is, kept, differ, fed ? " of plain water" : "", steps_cans(cans, w, more_l));
    } else {
        steps_add(w, steps_heavy(w, -more_l),
                  "The mix is to be %s. The reservoir should hold %s of %s: draw off %s%s", want,
                  is, kept, differ, say_kept(w, -more_l, &where));
    }
    text_deinit(&where);
    worksheet_does(w->out, more_l < 0 ? STEP_DRAW_OFF : STEP_LET_IN, INTO_RESERVOIR);
    worksheet_moves(w->out, fabs(more_l), w->t->mix_l);
}

/* By gravity, in whole minutes and never less than it takes: somebody stands by and closes the
 * valve. */
static double minutes_of(const struct steps_writer *w, double volume_l)
{
    return ceil(volume_l / w->room->reservoir.flow_l_min);
}

static bool all_alike(const struct task *t)
{
    bool alike = true;

    for (size_t i = 1; i < t->n_jobs; i++) {
        alike = alike && fabs(t->job[i].volume_l - t->job[0].volume_l) < LITRES_SAME;
    }
    return alike;
}

static double held_ms_cm(const struct steps_writer *w, size_t i)
{
    return forecast_container(w->room, w->s, w->t->job[i].subject.at, w->now_s).body.ec_ms_cm;
}

/* What stayed in the bottom weakens or strengthens what comes in. */
static double filled_ms_cm(const struct steps_writer *w, size_t i)
{
    const struct job *j = &w->t->job[i];
    const struct container *c = &w->room->container[j->subject.at];
    struct liquid rest = forecast_container(w->room, w->s, j->subject.at, w->now_s).body;
    struct liquid mix = {j->volume_l, w->t->mix_ec_ms_cm, w->room->source.ec_ms_cm};

    rest.volume_l = fmin(rest.volume_l, c->remainder_l);
    return solution_mix(rest, mix).ec_ms_cm;
}

/* What each gets, how long it takes and how strong it is then. */
static void refill_table(const struct steps_writer *w)
{
    struct steps_row *rows = mem_array(w->t->n_jobs, sizeof *rows);
    char buf[QUANTITY_BOTH_MAX];

    worksheet_head(w->out, "Into");
    worksheet_head(w->out, "goes");
    worksheet_head(w->out, "in about");
    worksheet_head(w->out, "EC then");
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        double volume_l = w->t->job[i].volume_l;

        (void)snprintf(rows[i].cell[0], STEPS_LEVEL_MAX, "%s", steps_litres(buf, w, volume_l));
        (void)snprintf(rows[i].cell[1], STEPS_LEVEL_MAX, "%.0f min", minutes_of(w, volume_l));
        (void)snprintf(rows[i].cell[2], STEPS_LEVEL_MAX, "%s",
                       steps_strength(buf, w, filled_ms_cm(w, i)));
    }
    steps_rows(w, rows, 3);
    free(rows);
}

/* One after another, since two floats open at once share the flow and nobody sees which is full. */
static void step_refill(const struct steps_writer *w)
{
    const struct task *t = w->t;
    double each_l = t->job[0].volume_l;
    double all_l = task_jobs_l(t);
    char buf[QUANTITY_BOTH_MAX];
    char all[QUANTITY_BOTH_MAX];

    if (t->n_jobs == 1) {
        steps_add(w, caution_drown,
                  "Open its shut-off and let the float fill it to the float line: %s, about %.0f "
                  "min. Close it.",
                  steps_litres(buf, w, each_l), minutes_of(w, each_l));
    } else if (all_alike(t)) {
        steps_add(w, caution_drown,
                  "Open their shut-offs one after another, in that order, and let the floats fill "
                  "them to the float line: each %s, about %.0f min. Close each before the next. "
                  "Together %s, about %.0f min.",
                  steps_litres(buf, w, each_l), minutes_of(w, each_l), steps_litres(all, w, all_l),
                  minutes_of(w, all_l));
    } else {
        steps_add(w, caution_drown,
                  "Open their shut-offs one after another, as they stand in the table, and let the "
                  "floats fill them to the float line. Close each before the next. Together %s, "
                  "about %.0f min.",
                  steps_litres(all, w, all_l), minutes_of(w, all_l));
        refill_table(w);
    }
    worksheet_does(w->out, STEP_REFILL, INTO_VESSELS);
    for (size_t i = 0; i < t->n_jobs; i++) {
        worksheet_vessel(w->out, steps_name(w, i), t->job[i].volume_l, filled_ms_cm(w, i));
    }
}

/* "0.6 L (0.16 gal) or so"; each by its name where vessels differ. */
static void say_remainders(const struct steps_writer *w, struct text *out)
{
    const struct container *first = &w->room->container[w->t->job[0].subject.at];
    bool alike = true;
    char buf[QUANTITY_BOTH_MAX];

    for (size_t i = 1; i < w->t->n_jobs; i++) {
        const struct container *c = &w->room->container[w->t->job[i].subject.at];

        alike = alike && fabs(c->remainder_l - first->remainder_l) < LITRES_SAME;
    }
    for (size_t i = 0; i < w->t->n_jobs && !alike; i++) {
        const struct container *c = &w->room->container[w->t->job[i].subject.at];

        text_add(out, "%s%s in %s", i ? ", " : "", steps_litres(buf, w, c->remainder_l), c->name);
    }
    if (alike) {
        text_add(out, "%s or so", steps_litres(buf, w, first->remainder_l));
    }
}

/* In their order, and what stays in each is no surprise. */
static void step_drain(const struct steps_writer *w)
{
    struct text names = {0};
    struct text stays = {0};

    steps_names(w, &names);
    say_remainders(w, &stays);
    steps_add(w, caution_disposal, "Drain %s%s. What stays in the bottom, %s, is reckoned with.",
              text_str(&names), w->t->n_jobs > 1 ? ", in that order" : "", text_str(&stays));
    worksheet_does(w->out, STEP_DRAIN, INTO_NOTHING);
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        worksheet_vessel(w->out, steps_name(w, i),
                         w->room->container[w->t->job[i].subject.at].remainder_l, held_ms_cm(w, i));
    }
    text_deinit(&names);
    text_deinit(&stays);
}

/* The floats top up with what is kept in the reservoir: what is left of the mix would make every
 * container stronger by the day. */
static void step_back_to_water(const struct steps_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    struct state then = *w->s; /* borrows all that it points to */
    struct steps_writer filled = *w;
    double too_much_l = w->s->reservoir.holds_mix
                            ? 0
                            : forecast_reservoir(w->room, w->s, w->now_s).volume_l - w->t->mix_l;
    double mix_takes_l = fmax(0, -too_much_l); /* out of the cans first */
    struct dissolved water;
    struct ph_wanted ph;
    char cans[STEPS_CANS_MAX];

    then.reservoir.cans = waters_drawn_off(w->room, w->s, w->now_s, fmax(0, too_much_l));
    then.reservoir.cans.volume_l = fmax(0, then.reservoir.cans.volume_l - mix_takes_l);
    filled.s = &then;
    water = waters_let_in(w->room, &then, w->now_s, 0, v->capacity_l);
    ph = steps_ph_of_plain(w, &water, v->capacity_l);
    steps_ph_without_cans(&ph, &filled, 0, v->capacity_l, 0);
    steps_rinse(w, fmax(0, w->t->mix_l - task_jobs_l(w->t)));
    steps_add(w, caution_air_gap, "Fill the reservoir with plain water%s.",
              steps_cans(cans, &filled, v->capacity_l));
    worksheet_does(w->out, STEP_LET_IN, INTO_RESERVOIR);
    worksheet_moves(w->out, v->capacity_l, v->capacity_l);
    steps_feed(w, (struct liquid){0}, v->capacity_l, &ph.water);
    steps_ph(w, &ph);
    steps_add(w, NULL,
              "Open every shut-off again. What this water took is told by itself: tarn record "
              "ph-adjusted reservoir ph=… PRODUCT=…mL");
    worksheet_does(w->out, STEP_OPEN, INTO_NOTHING);
}

/* What is left stays for the stronger mix that comes next. */
static void step_leave_rest(const struct steps_writer *w)
{
    char rest[QUANTITY_BOTH_MAX];

    steps_add(w, NULL,
              "Leave what is left, %s or so, in the reservoir, and every shut-off closed: the next "
              "mix, a stronger one, is made from it.",
              steps_litres(rest, w, fmax(0, w->t->mix_l - task_jobs_l(w->t))));
}

/* Root rot lives on in what clings to the walls. */
static void step_scrub(const struct steps_writer *w)
{
    struct text names = {0};
    size_t n = 0;

    for (size_t i = 0; i < w->t->n_jobs; i++) {
        if (sighted_s(w->s, w->t->job[i].subject, SIGHTING_BROWN_ROOTS, w->now_s)) {
            text_add_listed(&names, n++, steps_name(w, i));
        }
    }
    if (n) {
        steps_add(w, NULL,
                  "Roots were brown in %s: lift the plant out with its lid, cut off what is soft, "
                  "rinse the roots with plain water, and scrub and rinse the container before it "
                  "is filled.",
                  text_str(&names));
    }
    text_deinit(&names);
}

/* One container's solution made in a jug or bucket. Its float is shut off, so what is poured in is
 * measured: it cannot come above the line. */
static void change_by_hand(const struct steps_writer *w)
{
    const struct job *j = &w->t->job[0];
    const struct container *c = &w->room->container[j->subject.at];
    double base_ec = w->room->source.ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    struct dosing_rise rise = {w->t->mix_l, base_ec, fmax(0, gain)};
    double water_l = steps_water_l(w, &rise);
    struct dissolved water = waters_source(w->room, w->s);
    struct ph_wanted ph = steps_ph_of_mix(w, &water, w->t->mix_l, gain);
    char litres[QUANTITY_BOTH_MAX];
    char rest[QUANTITY_BOTH_MAX];

    steps_add(w, steps_heavy(w, w->t->mix_l),
              "Put %s of plain water into a clean jug or bucket: no more%s.",
              steps_litres(litres, w, water_l),
              water_l < w->t->mix_l ? ", for the doses bring the rest" : "");
    worksheet_does(w->out, STEP_LET_IN, INTO_JUG);
    worksheet_moves(w->out, water_l, water_l);
    steps_acid_first(w, &ph);
    ph.water = steps_fed(w, &ph.water, gain);
    if (gain > 0) {
        steps_doses(w, &rise, "it", INTO_JUG);
    } else {
        steps_hard_water(w, w->t->mix_l, w->t->mix_ec_ms_cm, base_ec);
    }
    steps_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 200, false);
    steps_ph(w, &ph);
    steps_add(w, caution_disposal,
              "Close the shut-off of %s and drain it. What stays in the bottom, %s or so, is "
              "reckoned with.",
              c->name, steps_litres(rest, w, c->remainder_l));
    worksheet_does(w->out, STEP_DRAIN, INTO_NOTHING);
    worksheet_vessel(w->out, c->name, c->remainder_l, held_ms_cm(w, 0));
    step_scrub(w);
    steps_add(w, caution_drown,
              "Pour the solution in slowly, away from the stem. Stop at the float line, even if "
              "some is left over.");
    worksheet_does(w->out, STEP_REFILL, INTO_VESSELS);
    worksheet_vessel(w->out, c->name, j->volume_l, filled_ms_cm(w, 0));
    steps_add(w, NULL, "Open its shut-off again.");
    worksheet_does(w->out, STEP_OPEN, INTO_NOTHING);
    steps_ask(w, 0);
}

/* What the nutrients are stirred into: what the reservoir holds, of water or of the
 * mix before, as far as it is used, then what is in the cans, and source water for the rest. A mix
 * for others is emptied out (step_water). */
static struct ph_wanted ph_of_mix(const struct steps_writer *w, double gain_ms_cm)
{
    bool stays = !w->s->reservoir.holds_mix || w->t->rest.volume_l > 0;
    double held_l = stays ? forecast_reservoir(w->room, w->s, w->now_s).volume_l : 0;
    struct dissolved water = waters_let_in(w->room, w->s, w->now_s, held_l, w->t->mix_l);
    struct ph_wanted ph = steps_ph_of_mix(w, &water, w->t->mix_l, gain_ms_cm);

    steps_ph_without_cans(&ph, w, held_l, w->t->mix_l, gain_ms_cm);
    return ph;
}

/* The mix in the reservoir: from plain water, from what is left of the one before, or there
 * already. */
static void steps_mix(const struct steps_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    double plain_ec = dosing_base_ec(w->room, w->s);
    struct liquid water = {w->t->mix_l - w->t->rest.volume_l, plain_ec, plain_ec};
    double base_ec = solution_mix(w->t->rest, water).ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    struct ph_wanted ph = ph_of_mix(w, gain);

    step_water(w);
    steps_acid_first(w, &ph);
    ph.water = steps_fed(w, &ph.water, gain);
    if (gain > 0) {
        steps_doses(w, &(struct dosing_rise){w->t->mix_l, base_ec, gain}, "the reservoir",
                    INTO_RESERVOIR);
    } else {
        steps_hard_water(w, w->t->mix_l, w->t->mix_ec_ms_cm, base_ec);
    }
    steps_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 200, gain > 0);
    if (gain > 0) {
        steps_correct(w, w->t->mix_l, w->t->mix_ec_ms_cm, v->capacity_l - w->t->mix_l);
    }
    steps_ph(w, &ph);
}

/* Another task's acknowledgement, or this one begun and not finished: the mix is not made twice. */
static void step_mix_is_there(const struct steps_writer *w)
{
    const struct liquid *mix = &w->s->reservoir.body;
    char litres[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];

    steps_add(w, NULL, "The mix is in the reservoir already: about %s at %s. Stir it.",
              steps_litres(litres, w, mix->volume_l), steps_strength(ec, w, mix->ec_ms_cm));
}

static void change_from_reservoir(const struct steps_writer *w)
{
    unsigned of_the_mix = FIGURE_BIT(FIGURE_WAS_MS_CM) | FIGURE_BIT(FIGURE_EC_MS_CM) |
                          FIGURE_BIT(FIGURE_PH) | FIGURE_BIT(FIGURE_VOLUME_L);
    bool made = task_mix_is_there(w->s, w->t, task_jobs_l(w->t));

    /* First of all: an open float would draw in what is meant for others. */
    steps_add(w, NULL,
              made || w->t->rest.volume_l > 0 ? "Keep the shut-off valve of every container closed."
                                              : "Close the shut-off valve of every container.");
    worksheet_does(w->out, STEP_CLOSE, INTO_NOTHING);
    if (made) {
        step_mix_is_there(w);
    } else {
        steps_mix(w);
    }
    step_drain(w);
    step_scrub(w);
    step_refill(w);
    if (w->t->leaves_rest) {
        step_leave_rest(w);
    } else {
        step_back_to_water(w);
    }
    steps_ask(w, made ? of_the_mix : w->t->leaves_rest ? FIGURE_BIT(FIGURE_ADDED_L) : 0);
}

void steps_of_change(const struct steps_writer *w)
{
    if (w->t->by_hand) {
        change_by_hand(w);
    } else {
        change_from_reservoir(w);
    }
}
