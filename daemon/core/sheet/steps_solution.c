/* Sheets of the work with solution: start, change, bump, fill, pH. */
#include "daemon/core/model/solution.h"
#include "daemon/core/room/water_source.h"
#include "daemon/core/sheet/sheet_writer.h"
#include "daemon/core/state/forecast.h"

#include <math.h>
#include <stdio.h>

#define CORRECT_BY_MS_CM 0.1 /* what a correction is told for */
#define RINSE_FRAC       0.1 /* of the capacity: enough to carry off what clings to the walls */
#define LITRES_SAME      0.05
#define PH_AIMED         0.08 /* nearer to the middle of the band it is not set for its drift */

/* Water for a mix: what is in the reservoir counts, too much of it has to go first. */
static void step_water(const struct sheet_writer *w)
{
    struct liquid now = forecast_reservoir(w->room, w->s, w->now_s);
    double more_l = w->t->mix_l - now.volume_l;
    char is[QUANTITY_BOTH_MAX];
    char want[QUANTITY_BOTH_MAX];
    char differ[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];

    sheet_litres(is, w, w->t->rest.volume_l > 0 ? w->t->rest.volume_l : now.volume_l);
    sheet_litres(want, w, w->t->mix_l);
    sheet_litres(differ, w, fabs(more_l));
    if (w->t->rest.volume_l > 0) {
        sheet_step(w, NULL,
                   "The mix is to be %s. About %s of the one before, at %s, is left in the "
                   "reservoir: let in %s of plain water.",
                   want, is, sheet_strength(ec, w, w->t->rest.ec_ms_cm),
                   sheet_litres(differ, w, fmax(0, w->t->mix_l - w->t->rest.volume_l)));
    } else if (w->s->reservoir.holds_mix) {
        sheet_step(w, sheet_disposal,
                   "Empty and rinse the reservoir, then let in %s of plain water.", want);
    } else if (more_l >= 0) {
        sheet_step(w, NULL,
                   "The mix is to be %s. The reservoir should hold %s of plain water: let in %s "
                   "more.",
                   want, is, differ);
    } else {
        sheet_step(w, NULL,
                   "The mix is to be %s. The reservoir should hold %s of plain water: draw off %s "
                   "into cans, for topping up or the next fill.",
                   want, is, differ);
    }
}

/* Water that is too strong already: what would serve instead. */
static void step_hard_water(const struct sheet_writer *w, double volume_l, double ec_target,
                            double ec_water)
{
    double pure_l = solution_blend_share(ec_target / 2, ec_water, 0) * volume_l;
    char is[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];
    char of_it[QUANTITY_BOTH_MAX];
    char of_pure[QUANTITY_BOTH_MAX];

    sheet_step(w, NULL,
               "The plain water reads %s, and the solution is to be %s: no dose makes that. Blend "
               "%s of it with %s of low-EC water (reads near 0), measure, and mix with 'tarn mix'.",
               sheet_strength(is, w, ec_water), sheet_strength(want, w, ec_target),
               sheet_litres(of_it, w, pure_l), sheet_litres(of_pure, w, volume_l - pure_l));
}

/* A mix that does not read what it should: plain water, or more of everything. */
static void step_correct(const struct sheet_writer *w, double volume_l, double ec_target,
                         double fits_l)
{
    double water_l = solution_dilution_l(ec_target + CORRECT_BY_MS_CM, ec_target,
                                         dosing_base_ec(w->room, w->s), volume_l);
    struct portion portion[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, volume_l, CORRECT_BY_MS_CM, portion);
    struct text doses = {0};
    char by[QUANTITY_TEXT_MAX];
    char water[QUANTITY_BOTH_MAX];
    char buf[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < n; i++) {
        size_t at = w->room->recipe[w->t->recipe].dose[i].product;
        enum quantity q = w->room->product[at].kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;

        text_add(&doses, "%s%s of %s", i ? ", " : "",
                 quantity_format(buf, q, portion[i].product, &w->room->units),
                 w->room->product[at].name);
    }
    sheet_step(w, NULL,
               "Outside of that? For each %s too much let in %s of plain water%s; for each %s too "
               "little stir in %s, one after the other.",
               sheet_strength(by, w, CORRECT_BY_MS_CM), sheet_litres(water, w, water_l),
               water_l > fits_l ? ", after drawing as much off" : "", by, text_str(&doses));
    text_deinit(&doses);
}

static void step_measure(const struct sheet_writer *w, double ec_target, double within_frac)
{
    char want[QUANTITY_TEXT_MAX];
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    sheet_step(w, NULL, "Stir well, wait ten minutes, and measure: EC %s (%s to %s serves).",
               sheet_strength(want, w, ec_target),
               sheet_strength(lo, w, ec_target * (1 - within_frac)),
               sheet_strength(hi, w, ec_target * (1 + within_frac)));
}

/* A pH that the reservoir's figures in the room file ask for. */
static struct ph_wanted as_reservoir(const struct sheet_writer *w, enum titrated in,
                                     double volume_l, const struct nutrients *feed_mg_l)
{
    const struct reservoir *v = &w->room->reservoir;

    return (struct ph_wanted){.in = in,
                              .volume_l = volume_l,
                              .from = NAN,
                              .water = w->room->source.ph,
                              .to = v->ph_target,
                              .lo = v->ph_target - v->ph_tolerance,
                              .hi = v->ph_target + v->ph_tolerance,
                              .feed_mg_l = feed_mg_l};
}

/* Sets the pH off the middle of its band where it drifts, so that it stays in there for `days`. */
static void against_drift(struct ph_wanted *ph, double ph_day, double days)
{
    double middle = (ph->lo + ph->hi) / 2;

    ph->to = ph_drift_aim(ph->lo, ph->hi, ph_day, days);
    ph->drifts_ph_day = fabs(ph->to - middle) >= PH_AIMED ? ph_day : 0;
}

/* A pH that the containers of the task want, all of them: within what their stages bear. Where they
 * have nothing in common the reservoir's own serves. */
static struct ph_wanted as_containers(const struct sheet_writer *w, double volume_l,
                                      const struct nutrients *feed_mg_l)
{
    struct ph_wanted ph = as_reservoir(w, TITRATED_SOLUTION, volume_l, feed_mg_l);
    double lo = 0;
    double hi = 14;
    double ph_day = 0;
    double days = INFINITY;

    for (size_t i = 0; i < w->t->n_jobs; i++) {
        size_t at = w->t->job[i].subject.at;
        int planted = w->s->container[at].crop;
        const struct crop *crop =
            &w->room->crop[planted >= 0 ? (size_t)planted : w->room->container[at].crop];
        int stage = planted >= 0 ? forecast_container(w->room, w->s, at, w->now_s).stage : 0;

        lo = fmax(lo, crop->stage[stage].ph_min);
        hi = fmin(hi, crop->stage[stage].ph_max);
        days = fmin(days, crop->stage[stage].life_max_day);
        ph_day += ph_drift_ph_day(&w->s->container[at].drift, &w->s->drift) / (double)w->t->n_jobs;
    }
    if (lo < hi) {
        ph.lo = lo;
        ph.hi = hi;
        against_drift(&ph, ph_day, days);
    }
    return ph;
}

static double minutes_of(const struct sheet_writer *w, double volume_l)
{
    return ceil(volume_l / w->room->reservoir.flow_l_min);
}

/* How many jobs from `from` on take the same litres. */
static size_t n_alike(const struct task *t, size_t from)
{
    size_t n = 1;

    while (from + n < t->n_jobs &&
           fabs(t->job[from + n].volume_l - t->job[from].volume_l) < LITRES_SAME) {
        n++;
    }
    return n;
}

/* "P1 to P8 each 7.8 L, 2 min; P9 7.0 L, 2 min" */
static void say_litres(const struct sheet_writer *w, struct text *out)
{
    const struct task *t = w->t;
    size_t n;

    for (size_t i = 0; i < t->n_jobs; i += n) {
        double volume_l = t->job[i].volume_l;
        char buf[QUANTITY_BOTH_MAX];

        n = n_alike(t, i);
        text_add(out, "%s", i ? "; " : "");
        if (n < t->n_jobs) {
            text_add(out, "%s%s%s ", sheet_name(w, i),
                     n > 2    ? " to "
                     : n == 2 ? " and "
                              : "",
                     n > 1 ? sheet_name(w, i + n - 1) : "");
        }
        text_add(out, "%s%s, about %.0f min", n > 1 ? "each " : "", sheet_litres(buf, w, volume_l),
                 minutes_of(w, volume_l));
    }
}

static void step_refill(const struct sheet_writer *w)
{
    const struct task *t = w->t;
    struct text each = {0};
    char buf[QUANTITY_BOTH_MAX];

    say_litres(w, &each);
    if (t->n_jobs == 1) {
        sheet_step(w, sheet_drown,
                   "Open its shut-off and let the float fill it to the float line: %s. Close it.",
                   text_str(&each));
    } else {
        sheet_step(w, sheet_drown,
                   "Open their shut-offs one after another, in that order, and let the floats fill "
                   "them to the float line: %s. Close each before the next. Together %s, about "
                   "%.0f min.",
                   text_str(&each), sheet_litres(buf, w, task_jobs_l(t)),
                   minutes_of(w, task_jobs_l(t)));
    }
    text_deinit(&each);
}

static void step_back_to_water(const struct sheet_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    char rest[QUANTITY_BOTH_MAX];
    char rinse[QUANTITY_BOTH_MAX];

    sheet_step(w, sheet_disposal,
               "Drain what is left in the reservoir, %s or so: fit for plants in soil. Rinse it "
               "and the line with %s of plain water.",
               sheet_litres(rest, w, fmax(0, w->t->mix_l - task_jobs_l(w->t))),
               sheet_litres(rinse, w, RINSE_FRAC * v->capacity_l));
    sheet_step(w, sheet_wet_hands,
               "Fill the reservoir with plain water, set its pH to %.1f, and open every shut-off "
               "again.",
               v->ph_target);
}

/* What is left stays for the stronger mix that comes next. */
static void step_leave_rest(const struct sheet_writer *w)
{
    char rest[QUANTITY_BOTH_MAX];

    sheet_step(
        w, NULL,
        "Leave what is left, %s or so, in the reservoir, and every shut-off closed: the next "
        "mix, a stronger one, is made from it.",
        sheet_litres(rest, w, fmax(0, w->t->mix_l - task_jobs_l(w->t))));
}

/* One container's solution made in a jug or bucket. Its float is shut off, so what is poured in is
 * measured: it cannot come above the line. */
static void change_by_hand(const struct sheet_writer *w)
{
    const struct job *j = &w->t->job[0];
    const struct container *c = &w->room->container[j->subject.at];
    double base_ec = w->room->source.ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    struct nutrients feed = dosing_feed(w->room, w->s, w->t->recipe, fmax(0, gain));
    struct ph_wanted ph = as_containers(w, w->t->mix_l, &feed);
    char litres[QUANTITY_BOTH_MAX];
    char rest[QUANTITY_BOTH_MAX];

    sheet_step(w, sheet_heavy, "Put %s of plain water into a clean jug or bucket: no more.",
               sheet_litres(litres, w, w->t->mix_l));
    if (gain > 0) {
        sheet_doses(w, w->t->mix_l, gain, "it");
    } else {
        step_hard_water(w, w->t->mix_l, w->t->mix_ec_ms_cm, base_ec);
    }
    step_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 200);
    sheet_ph(w, &ph);
    sheet_step(w, sheet_disposal,
               "Close the shut-off of %s and drain it. What stays in the bottom, %s or so, is "
               "reckoned with.",
               c->name, sheet_litres(rest, w, c->remainder_l));
    sheet_step(w, sheet_drown,
               "Pour the solution in slowly, away from the stem. Stop at the float line, even if "
               "some is left over.");
    sheet_step(w, sheet_wet_hands, "Open its shut-off again.");
    sheet_tell(w, "ec=…");
}

/* The mix in the reservoir: from plain water, from what is left of the one before, or there already. */
static void steps_mix(const struct sheet_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    struct liquid water = {w->t->mix_l - w->t->rest.volume_l, dosing_base_ec(w->room, w->s)};
    double base_ec = solution_mix(w->t->rest, water).ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    struct nutrients feed = dosing_feed(w->room, w->s, w->t->recipe, fmax(0, gain));
    struct ph_wanted ph = as_containers(w, w->t->mix_l, &feed);

    if (w->s->reservoir.ph.at_s && !w->s->reservoir.holds_mix) {
        ph.water = w->s->reservoir.ph.value;
    }
    step_water(w);
    if (gain > 0) {
        sheet_doses(w, w->t->mix_l, gain, "the reservoir");
    } else {
        step_hard_water(w, w->t->mix_l, w->t->mix_ec_ms_cm, base_ec);
    }
    step_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 200);
    step_correct(w, w->t->mix_l, w->t->mix_ec_ms_cm, v->capacity_l - w->t->mix_l);
    sheet_ph(w, &ph);
}

static void step_mix_is_there(const struct sheet_writer *w)
{
    const struct liquid *mix = &w->s->reservoir.body;
    char litres[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];

    sheet_step(w, NULL, "The mix is in the reservoir already: about %s at %s. Stir it.",
               sheet_litres(litres, w, mix->volume_l), sheet_strength(ec, w, mix->ec_ms_cm));
}

static void change_from_reservoir(const struct sheet_writer *w)
{
    bool made = task_mix_is_there(w->s, w->t, task_jobs_l(w->t));
    struct text names = {0};
    char rest[QUANTITY_BOTH_MAX];

    sheet_names(w, &names);
    sheet_step(w, NULL,
               made || w->t->rest.volume_l > 0
                   ? "Keep the shut-off valve of every container closed."
                   : "Close the shut-off valve of every container.");
    if (made) {
        step_mix_is_there(w);
    } else {
        steps_mix(w);
    }
    sheet_step(w, sheet_disposal,
               "Drain %s%s. What stays in the bottom, %s or so, is reckoned with.",
               text_str(&names), w->t->n_jobs > 1 ? ", in that order" : "",
               sheet_litres(rest, w, w->room->container[w->t->job[0].subject.at].remainder_l));
    step_refill(w);
    if (w->t->leaves_rest) {
        step_leave_rest(w);
    } else {
        step_back_to_water(w);
    }
    sheet_tell(w, made                ? "added=…"
                  : w->t->leaves_rest ? "ec=… ph=… volume=…"
                                      : "ec=… ph=… volume=… added=…");
    text_deinit(&names);
}

void sheet_change(const struct sheet_writer *w)
{
    if (w->t->by_hand) {
        change_by_hand(w);
    } else {
        change_from_reservoir(w);
    }
}

void sheet_start(const struct sheet_writer *w)
{
    const struct job *j = &w->t->job[0];
    double base_ec = w->room->source.ec_ms_cm;
    double gain = w->t->mix_ec_ms_cm - base_ec;
    const char *into = w->t->n_jobs > 1 ? "each" : sheet_name(w, 0);
    struct nutrients feed = dosing_feed(w->room, w->s, w->t->recipe, fmax(0, gain));
    struct ph_wanted ph = as_containers(w, j->volume_l, &feed);
    struct text names = {0};
    char litres[QUANTITY_BOTH_MAX];

    sheet_names(w, &names);
    sheet_step(w, sheet_heavy, "%s %s: put in %s of plain water, up to the start line.",
               w->t->n_jobs > 1 ? "For each of" : "For", text_str(&names),
               sheet_litres(litres, w, j->volume_l));
    if (gain > 0) {
        sheet_doses(w, j->volume_l, gain, into);
    } else {
        step_hard_water(w, j->volume_l, w->t->mix_ec_ms_cm, base_ec);
    }
    step_measure(w, w->t->mix_ec_ms_cm, w->room->tolerance_pct / 100);
    sheet_ph(w, &ph);
    sheet_step(w, NULL,
               "Set the seedling in, so that the pot is just wetted. Leave the shut-off open; the "
               "float stays shut until the level is down to it.");
    sheet_tell(w, "ec=… ph=…");
    text_deinit(&names);
}

void sheet_bump(const struct sheet_writer *w)
{
    char ec[QUANTITY_TEXT_MAX];
    char is[QUANTITY_TEXT_MAX];
    char litres[QUANTITY_BOTH_MAX];

    sheet_step(
        w, NULL,
        "Measure the EC before: it is told as was=…, and teaches what the plants take. Where it "
        "is far from what stands here, 'tarn mix' with from= reckons the dose anew.");
    for (size_t i = 0; i < w->t->n_jobs && i < SHEET_NAMES_SHOWN; i++) {
        const struct job *j = &w->t->job[i];
        struct forecast now = forecast_container(w->room, w->s, j->subject.at, w->now_s);

        sheet_step(w, i == 0 ? sheet_drown : NULL,
                   "%s: from about %s to %s in %s. Dip out a jug of its own solution.",
                   sheet_name(w, i), sheet_strength(is, w, now.body.ec_ms_cm),
                   sheet_strength(ec, w, j->ec_ms_cm), sheet_litres(litres, w, now.body.volume_l));
        sheet_doses(w, now.body.volume_l, j->ec_ms_cm - now.body.ec_ms_cm, "the jug");
        sheet_step(
            w, NULL,
            "Pour the jug back into %s slowly, away from the stem, up to the level it had, and "
            "stir.",
            sheet_name(w, i));
    }
    sheet_step(w, NULL, "Wait ten minutes and measure EC and pH.");
    sheet_tell(w, w->t->n_jobs == 1 ? "was=… ec=… ph=…" : "A1 was=… ec=… ph=… A2 was=… ec=… ph=…");
}

void sheet_fill(const struct sheet_writer *w)
{
    const struct reservoir *v = &w->room->reservoir;
    const struct source_water *source = &w->room->source;
    double more_l = w->t->job[0].volume_l;
    struct ph_wanted ph = as_reservoir(w, TITRATED_WATER, more_l, &(struct nutrients){0});
    char more[QUANTITY_BOTH_MAX];
    char full[QUANTITY_BOTH_MAX];
    char ec[QUANTITY_TEXT_MAX];

    ph.from = source->ph;
    if (w->s->reservoir.holds_mix) {
        sheet_step(w, sheet_disposal,
                   "Close every shut-off, empty the reservoir, rinse it and the "
                   "line.");
    } else {
        sheet_step(w, NULL,
                   "Read how much it holds: together with what you let in, that shows what the "
                   "plants drank, and whether some ran off.");
    }
    sheet_step(w, sheet_heavy,
               "Let in about %s of plain water, up to %s. From the source alone it takes %.1f h.",
               sheet_litres(more, w, more_l), sheet_litres(full, w, v->capacity_l),
               source->rate_l_h > 0 ? more_l / source->rate_l_h : 0);
    if (water_source_drain_l(source, more_l) > 0) {
        sheet_step(w, sheet_disposal, "The unit sends about %s to the drain meanwhile.",
                   sheet_litres(more, w, water_source_drain_l(source, more_l)));
    }
    sheet_step(w, NULL,
               "Measure: EC near %s, or there is solution left in it; and the pH, about %.1f as it "
               "comes.",
               sheet_strength(ec, w, source->ec_ms_cm), source->ph);
    sheet_ph(w, &ph);
    sheet_step(w, NULL, "Open every shut-off of a container that grows something.");
    sheet_tell(w, "volume=… added=… ec=… ph=…");
}

void sheet_adjust(const struct sheet_writer *w)
{
    const struct job *j = &w->t->job[0];
    bool tank = j->subject.kind == SUBJECT_RESERVOIR;
    const struct reservoir_state *r = &w->s->reservoir;
    const struct container_state *cs = tank ? NULL : &w->s->container[j->subject.at];
    double is = tank ? r->ph.value : cs->ph.value;
    double lo = w->room->reservoir.ph_target - w->room->reservoir.ph_tolerance;
    double hi = w->room->reservoir.ph_target + w->room->reservoir.ph_tolerance;
    double ph_day = 0;
    double days = 0;
    struct ph_wanted ph;
    char litres[QUANTITY_BOTH_MAX];

    if (!tank) {
        struct forecast now = forecast_container(w->room, w->s, j->subject.at, w->now_s);
        const struct stage *stage = &w->room->crop[cs->crop].stage[now.stage];

        lo = stage->ph_min;
        hi = stage->ph_max;
        ph_day = ph_drift_ph_day(&cs->drift, &w->s->drift);
        days = stage->life_max_day;
    }
    ph = (struct ph_wanted){.in = tank && !r->holds_mix ? TITRATED_WATER : TITRATED_SOLUTION,
                            .volume_l = j->volume_l,
                            .from = is,
                            .lo = lo,
                            .hi = hi,
                            .feed_mg_l = tank ? &r->feed : &cs->feed};
    against_drift(&ph, ph_day, days);
    sheet_step(w, NULL, "%s holds about %s at pH %.1f; it should be %.1f to %.1f.",
               sheet_name(w, 0), sheet_litres(litres, w, j->volume_l), is, lo, hi);
    sheet_ph(w, &ph);
    sheet_tell(w, "ph=… PRODUCT=…mL");
}
