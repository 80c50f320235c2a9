#include "daemon/core/sheet/steps_ph.h"

#include "daemon/core/state/forecast.h"

#include <math.h>

/* Aims are told to a tenth. One that lies nearer to the middle of the band than most of a tenth
 * was not moved for the drift, but rounded (a middle of 6.25 to 6.3, say). */
#define PH_AIMED 0.08

/* "It brings 12 mg/L of P." */
static void say_brings(const struct nutrients *adds, struct text *out)
{
    size_t n = 0;

    for (int f = 0; f < FEED_COUNT; f++) {
        double mg_l = nutrients_feed_mg(adds, (enum feed)f);

        if (mg_l >= 0.5) {
            text_add(out, "%s%.0f mg/L of %s", n++ ? " and " : " It brings ", mg_l, feed_words[f]);
        }
    }
    text_add(out, "%s", n ? "." : "");
}

/* Two digits: a dose is known to a few percent at best, and more would promise what nobody
 * knows. */
static char *say_ml(char buf[QUANTITY_TEXT_MAX], const struct steps_writer *w, double ml)
{
    double unit = ml > 0 ? pow(10, floor(log10(ml)) - 1) : 1;

    return quantity_format(buf, QUANTITY_LIQUID, round(ml / unit) * unit, &w->room->units);
}

static const char *say_source(enum titration by)
{
    return by == TITRATION_LEARNED ? "by what was dosed here before"
                                   : "by the alkalinity of the water";
}

static void say_known_dose(const struct steps_writer *w, const struct ph_dose *dose,
                           struct text *out)
{
    char amount[QUANTITY_TEXT_MAX];
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    text_add(out,
             "it should take about %s of %s (%s to %s), %s. Stir in half, wait, measure, then the "
             "rest.",
             say_ml(amount, w, dose->amount_ml), w->room->product[dose->product].name,
             say_ml(lo, w, dose->lo_ml), say_ml(hi, w, dose->hi_ml), say_source(dose->by));
    say_brings(&dose->adds_mg_l, out);
}

static bool is_reckoned(const struct ph_dose *dose)
{
    return dose->product != SIZE_MAX && dose->by != TITRATION_BY_HAND;
}

/* Nobody knows yet how far off it will be: what moves it by half a unit, either way. */
static void say_half_units(const struct steps_writer *w, const struct ph_wanted *p,
                           struct text *out)
{
    struct ph_dose down =
        dosing_ph(w->room, w->s, p->in, p->volume_l, p->to + 0.5, p->to, p->feed_mg_l);
    struct ph_dose up =
        dosing_ph(w->room, w->s, p->in, p->volume_l, p->to - 0.5, p->to, p->feed_mg_l);
    double expected = dosing_expected_ph(w->room, p->water, p->feed_mg_l);
    char buf[QUANTITY_TEXT_MAX];

    if (isfinite(expected)) {
        text_add(out, " It should come to about %.1f by itself.", expected);
    }
    text_add(out, " Too high or too low? Stir in a little acid or base, wait ten minutes, measure, "
                  "and repeat.");
    if (is_reckoned(&down)) {
        text_add(out, " For half a unit down it takes about %s of %s, %s.",
                 say_ml(buf, w, down.amount_ml), w->room->product[down.product].name,
                 say_source(down.by));
    }
    if (is_reckoned(&up)) {
        text_add(out, " For half a unit up it takes about %s of %s, %s.",
                 say_ml(buf, w, up.amount_ml), w->room->product[up.product].name,
                 say_source(up.by));
    }
    text_add(out, " Tell how much it took: the next dose is reckoned from it.");
}

void steps_ph(const struct steps_writer *w, const struct ph_wanted *p)
{
    struct text t = {0};
    struct ph_dose dose = {.product = SIZE_MAX};

    text_add(&t, "Set the pH to %.1f (%.1f to %.1f serves)", p->to, p->lo, p->hi);
    /* Why it is set off the middle: else a person who knows the band would set it there. */
    if (p->drifts_ph_day != 0) {
        text_add(&t, "; in there it %s by about %.2f a day.",
                 p->drifts_ph_day > 0 ? "rises" : "falls", fabs(p->drifts_ph_day));
    } else {
        text_add(&t, ".");
    }
    if (isfinite(p->from)) {
        dose = dosing_ph(w->room, w->s, p->in, p->volume_l, p->from, p->to, p->feed_mg_l);
    }
    if (is_reckoned(&dose)) {
        text_add(&t, " From pH %.1f ", p->from);
        say_known_dose(w, &dose, &t);
    } else if (isfinite(p->from)) {
        text_add(
            &t,
            " It takes %s, nobody knows yet how much: stir in a very little, wait ten minutes, "
            "measure, and repeat. Tell how much it took: the next dose is reckoned from it.",
            p->to < p->from ? "acid" : "base");
    } else {
        say_half_units(w, p, &t);
    }
    steps_add(w, caution_acid, "%s", text_str(&t));
    text_deinit(&t);
}

struct ph_wanted steps_ph_of_reservoir(const struct steps_writer *w, enum titrated in,
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

void steps_ph_against_drift(struct ph_wanted *ph, double ph_day, double days)
{
    double middle = (ph->lo + ph->hi) / 2;

    ph->to = ph_drift_aim(ph->lo, ph->hi, ph_day, days);
    ph->drifts_ph_day = fabs(ph->to - middle) >= PH_AIMED ? ph_day : 0;
}

struct ph_wanted steps_ph_of_containers(const struct steps_writer *w, double volume_l,
                                        const struct nutrients *feed_mg_l)
{
    struct ph_wanted ph = steps_ph_of_reservoir(w, TITRATED_SOLUTION, volume_l, feed_mg_l);
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

        /* The band that all of them bear, for as long as the shortest-lived solution of them;
         * their drifts are averaged, since one mix has one pH. */
        lo = fmax(lo, crop->stage[stage].ph_min);
        hi = fmin(hi, crop->stage[stage].ph_max);
        days = fmin(days, crop->stage[stage].life_max_day);
        ph_day += ph_drift_ph_day(&w->s->container[at].drift, &w->s->drift) / (double)w->t->n_jobs;
    }
    if (lo < hi) {
        ph.lo = lo;
        ph.hi = hi;
        steps_ph_against_drift(&ph, ph_day, days);
    }
    return ph;
}
