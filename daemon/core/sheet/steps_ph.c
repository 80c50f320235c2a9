#include "daemon/core/sheet/steps_ph.h"

#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/root_gas.h"

#include <math.h>

/* Aims are told to a tenth. One that lies nearer to the middle of the band than most of a tenth
 * was not moved for the drift, but rounded (a middle of 6.25 to 6.3, say). */
#define PH_AIMED 0.08

#define PH_TOLD_APART 0.1 /* by a pen */

/* Steps of the syringe that half a dose is to have: then rounding moves it by a tenth at most. */
#define PH_STEPS_LEAST 5

#define CANS_FRAC 0.05 /* of a dose: less is lost in what is not known of it */

#define GAS_SLACK 0.15 /* a rise that nobody sees */
#define GAS_LEAST 0.05 /* a pH that is set is told to a tenth */
#define GAS_BELOW 0.25 /* its band; never below 5.0 (ph_dose.h). Common practice, no source */

/* spare_roots */
#define ROOTS_PH_DAY   0.5
#define ROOTS_PH_LEAST 5.0
#define ROOTS_PH_MOST  7.5

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

char *steps_acid_ml(char buf[QUANTITY_TEXT_MAX], const struct steps_writer *w, double ml)
{
    return quantity_format(buf, QUANTITY_LIQUID, quantity_two_digits(ml), &w->room->units);
}

static const char *say_source(enum ph_dose_by by)
{
    return by == PH_DOSE_LEARNED
               ? "by what is left of the alkalinity and by what was dosed here before"
               : "by what is left of the alkalinity";
}

static bool is_reckoned(const struct ph_dose *dose)
{
    return dose->product != SIZE_MAX && dose->by != PH_DOSE_BY_HAND;
}

/* What the pH does by itself afterwards, and what would keep it. Said where it leaves its band. */
static void say_afterwards(const struct steps_writer *w, const struct ph_wanted *p,
                           const struct ph_dose *dose, struct text *out)
{
    char hold[QUANTITY_TEXT_MAX];

    if (p->planted || p->rests_ph > 0 || dose->rests_ph <= p->hi) {
        return;
    }
    text_add(
        out,
        " Carbon dioxide leaves it: it will show about %.1f tomorrow and %.1f in the end. What "
        "holds %.1f for good is about %s in all, the rest of it a day later.",
        dose->tomorrow_ph, dose->rests_ph, p->to, steps_acid_ml(hold, w, dose->hold_ml));
}

/* How many litres truly were in the cans nobody tells; whoever pours them sees it. The dose of a
 * mixture of two waters lies on the line between theirs, since alkalinity and carbonate do. */
static void say_without_cans(const struct steps_writer *w, const struct ph_wanted *p,
                             const struct ph_dose *dose, struct text *out)
{
    char litres[QUANTITY_BOTH_MAX];
    char amount[QUANTITY_TEXT_MAX];
    struct ph_dose fresh;
    double more_ml;

    if (!(p->cans_l > 0)) {
        return;
    }
    fresh = ph_dose_of(w->room, w->s, &p->fresh, p->volume_l, balance_ph_closed(&p->fresh), p->to);
    more_ml = fresh.amount_ml - (is_reckoned(dose) ? dose->amount_ml : 0);
    if (!is_reckoned(&fresh) || (is_reckoned(dose) && fresh.product != dose->product) ||
        more_ml <= CANS_FRAC * fresh.amount_ml) {
        return;
    }
    text_add(out,
             " That is with %s out of the cans: if all of that comes from the source instead, stir "
             "in %s of %s first; if half of it, half.",
             steps_litres(litres, w, p->cans_l), steps_acid_ml(amount, w, more_ml),
             w->room->product[fresh.product].name);
}

/* Half, and by what the meter shows then, the other half or half of that. The pH falls the faster
 * the less alkalinity is left: how far the first half moved it does not say how far the second
 * will. */
static void say_two_goes(const struct steps_writer *w, const struct ph_dose *dose, struct text *out)
{
    bool by_meter = dose->sure_ml < dose->amount_ml;
    char amount[QUANTITY_TEXT_MAX];

    text_add(out, " Stir in %s, wait ten minutes, measure: it should show about %.1f. Then %s",
             by_meter ? steps_acid_ml(amount, w, dose->sure_ml / 2) : "half", dose->half_ph,
             by_meter ? "as much again" : "the rest");
    if (fabs(dose->quick_ph - dose->half_ph) >= PH_TOLD_APART) {
        text_add(out, ", but only half of that where it shows %.1f already", dose->quick_ph);
    }
    text_add(out,
             by_meter
                 ? ". The last of it a little at a time, by the meter, for it moves the pH fast."
                 : ". Measure again: what is still wanting, a little at a time.");
}

void steps_acid_thinned(const struct steps_writer *w, double ml, struct text *out)
{
    double least_ml = PH_STEPS_LEAST * w->room->measures.syringe_step_ml;

    if (ml < least_ml) {
        bool tenfold = 10 * ml >= least_ml;

        text_add(out, " So little is measured thinned: 1 part of it and %d of water, %s of that.",
                 tenfold ? 9 : 99, tenfold ? "ten times as much" : "a hundred times as much");
    }
}

static void say_known_dose(const struct steps_writer *w, const struct ph_wanted *p,
                           const struct ph_dose *dose, struct text *out)
{
    char amount[QUANTITY_TEXT_MAX];
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    text_add(out, "it should take about %s of %s (%s to %s), %s.",
             steps_acid_ml(amount, w, dose->amount_ml), w->room->product[dose->product].name,
             steps_acid_ml(lo, w, dose->lo_ml), steps_acid_ml(hi, w, dose->hi_ml),
             say_source(dose->by));
    steps_acid_thinned(w, dose->amount_ml / 2, out);
    if (p->planted) {
        text_add(out,
                 " Thin it in a jug of its own solution first: none may reach roots as it is.");
    }
    say_two_goes(w, dose, out);
    if (!isfinite(p->from) && dose->half_ph > p->to + PH_TOLD_APART) {
        /* As it would after half: some of the acid is in it already, whoever put it there. */
        text_add(out, " Where it shows %.1f or less before any is in, take half of all that.",
                 dose->half_ph);
    }
    say_without_cans(w, p, dose, out);
    say_brings(&dose->adds_mg_l, out);
    say_afterwards(w, p, dose, out);
}

/* For the same water, were it to show another pH. Nobody knows then whether there is
 * more or less gas in it or another alkalinity: the smaller of the two doses, for
 * more can be stirred in and none taken out. */
static struct ph_dose dose_from(const struct steps_writer *w, const struct ph_wanted *p, double ph)
{
    struct dissolved gas = p->water;
    struct dissolved other = p->water;
    struct ph_dose by_gas;
    struct ph_dose by_other;

    if (waters_known(&p->water)) {
        gas.carbonate_mmol_l = balance_carbonate_mmol_l(&gas, ph);
        waters_show(&other, ph);
    }
    by_gas = ph_dose_of(w->room, w->s, &gas, p->volume_l, ph, p->to);
    by_other = ph_dose_of(w->room, w->s, &other, p->volume_l, ph, p->to);
    return is_reckoned(&by_other) && by_other.amount_ml < by_gas.amount_ml ? by_other : by_gas;
}

/* Nobody has measured it yet, and it should come near: what moves it by half a unit, either way. */
static void say_half_units(const struct steps_writer *w, const struct ph_wanted *p,
                           struct text *out)
{
    struct ph_dose down = dose_from(w, p, p->to + 0.5);
    struct ph_dose up = dose_from(w, p, p->to - 0.5);
    char buf[QUANTITY_TEXT_MAX];

    text_add(out, " Too high or too low? Stir in a little acid or base, wait ten minutes, measure, "
                  "and repeat.");
    if (is_reckoned(&down)) {
        text_add(out, " For half a unit down it takes about %s of %s, %s.",
                 steps_acid_ml(buf, w, down.amount_ml), w->room->product[down.product].name,
                 say_source(down.by));
    }
    if (is_reckoned(&up)) {
        text_add(out, " For half a unit up it takes about %s of %s, %s.",
                 steps_acid_ml(buf, w, up.amount_ml), w->room->product[up.product].name,
                 say_source(up.by));
    }
    if (is_reckoned(&down)) {
        steps_acid_thinned(w, down.amount_ml / 2, out);
    }
    text_add(out, " Tell how much it took: the next dose is reckoned from it.");
}

/* Roots bear no more than half a unit a day, but harm comes sooner below 5.0 and above 7.5 than of
 * a quick step back to there (common practice, no source). */
static void spare_roots(struct ph_wanted *p, struct text *out)
{
    double wanted = p->to;

    if (!p->planted || !isfinite(p->from) || fabs(p->from - p->to) <= ROOTS_PH_DAY) {
        return;
    }
    p->to = p->to < p->from ? fmax(wanted, fmin(p->from - ROOTS_PH_DAY, ROOTS_PH_MOST))
                            : fmin(wanted, fmax(p->from + ROOTS_PH_DAY, ROOTS_PH_LEAST));
    if (p->to != wanted) {
        text_add(out,
                 " To %.1f today and no further: half a unit a day is what roots bear; %.1f is for "
                 "the days to come.",
                 p->to, wanted);
    }
}

void steps_ph(const struct steps_writer *w, const struct ph_wanted *wanted)
{
    struct ph_wanted p = *wanted;
    struct ph_dose dose = {.product = SIZE_MAX};
    struct text t = {0};
    bool foretold = !isfinite(p.from) && waters_known(&p.water);
    bool due = p.begun || p.rests_ph > 0; /* where it serves for now too */
    double from = foretold ? balance_ph_closed(&p.water) : p.from;

    text_add(&t, "Set the pH to %.1f (%.1f to %.1f serves)", p.to, p.lo, p.hi);
    /* Why it is set off the middle: else a person who knows the band would set it there. */
    if (p.drifts_ph_day != 0) {
        text_add(&t, "; in there it %s by about %.2f a day.",
                 p.drifts_ph_day > 0 ? "rises" : "falls", fabs(p.drifts_ph_day));
    } else {
        text_add(&t, ".");
    }
    if (p.rests_ph >= p.to + GAS_SLACK) {
        text_add(&t, " Carbon dioxide leaves it, and it comes to about %.1f within days.",
                 p.rests_ph);
    }
    spare_roots(&p, &t);
    if (isfinite(from)) {
        dose = ph_dose_of(w->room, w->s, &p.water, p.volume_l, from, p.to);
    }
    if (foretold) {
        text_add(&t, " It should come to about %.1f by itself.", from);
    }
    if (foretold && !due && from >= p.lo && from <= p.hi) {
        dose = (struct ph_dose){.product = SIZE_MAX};
        say_half_units(w, &p, &t);
        say_without_cans(w, &p, &dose, &t);
    } else if (is_reckoned(&dose)) {
        text_add(&t,
                 !foretold ? " From pH %.1f "
                 : due     ? " Measure first: at %.1f or below leave it. From there "
                           : " Measure first: where it serves already, leave it. From there ",
                 foretold ? p.to : from);
        say_known_dose(w, &p, &dose, &t);
    } else if (isfinite(from)) {
        text_add(
            &t,
            " It takes %s, nobody knows yet how much: stir in a very little, wait ten minutes, "
            "measure, and repeat. Tell how much it took: the next dose is reckoned from it.",
            p.to < from ? "acid" : "base");
    } else {
        say_half_units(w, &p, &t);
    }
    steps_add(w, caution_acid, "%s", text_str(&t));
    worksheet_does(w->out, STEP_PH, INTO_NOTHING);
    if (is_reckoned(&dose)) {
        worksheet_doses(w->out, w->room->product[dose.product].name, dose.sure_ml);
    }
    text_deinit(&t);
}

struct ph_wanted steps_ph_of_reservoir(const struct steps_writer *w, const struct dissolved *water,
                                       double volume_l)
{
    const struct reservoir *v = &w->room->reservoir;

    return (struct ph_wanted){.water = *water,
                              .volume_l = volume_l,
                              .from = NAN,
                              .to = v->ph_target,
                              .lo = v->ph_target - v->ph_tolerance,
                              .hi = v->ph_target + v->ph_tolerance};
}

/* A water that is dosed now rises while carbon dioxide leaves it: it is set so low in its band that
 * it comes to rest where it was to be. Where it would come to rest above its band, so much below:
 * roots bear a little for the hours in which most of the gas goes. */
static void leave_room_for_gas(struct ph_wanted *ph, double below)
{
    double rests = ph->to;
    double inside = ph->lo + GAS_LEAST;

    if (!waters_known(&ph->water) || root_gas_rests_ph(&ph->water) <= ph->to + GAS_SLACK) {
        return;
    }
    for (int tenths = 0; rests - tenths / 10.0 >= inside - below; tenths++) {
        struct dissolved w = ph->water;

        ph->to = rests - tenths / 10.0;
        waters_show(&w, ph->to);
        ph->rests_ph = root_gas_rests_ph(&w);
        if (ph->rests_ph <= rests + GAS_SLACK ||
            (ph->to - 0.1 < inside && ph->rests_ph <= ph->hi)) {
            break;
        }
    }
}

void steps_ph_leave_room(struct ph_wanted *ph)
{
    if (waters_known(&ph->water) && root_gas_rests_ph(&ph->water) > ph->from + GAS_SLACK) {
        leave_room_for_gas(ph, 0);
    }
}

struct ph_wanted steps_ph_of_plain(const struct steps_writer *w, const struct dissolved *water,
                                   double volume_l)
{
    struct ph_wanted ph = steps_ph_of_reservoir(w, water, volume_l);

    if (waters_known(water) && balance_ph_closed(water) > ph.hi) {
        leave_room_for_gas(&ph, 0);
        ph.rests_ph = 0; /* its sheet says what would hold it */
    }
    return ph;
}

struct dissolved steps_fed(const struct steps_writer *w, const struct dissolved *water,
                           double gain_ms_cm)
{
    struct nutrients feed = dosing_feed(w->room, w->s, w->t->recipe, fmax(0, gain_ms_cm));
    struct dissolved fed = *water;

    if (!nutrients_none(&feed)) {
        waters_feed(&fed, &feed);
    }
    return fed;
}

void steps_ph_without_cans(struct ph_wanted *ph, const struct steps_writer *w, double before_l,
                           double total_l, double gain_ms_cm)
{
    struct state none = *w->s; /* borrows all that it points to */

    ph->cans_l = fmax(0, fmin(w->s->reservoir.cans.volume_l, total_l - before_l));
    if (ph->cans_l > 0) {
        none.reservoir.cans.volume_l = 0;
        ph->fresh = waters_let_in(w->room, &none, w->now_s, before_l, total_l);
        if (gain_ms_cm > 0) {
            ph->fresh = steps_fed(w, &ph->fresh, gain_ms_cm);
        }
    }
}

void steps_ph_against_drift(struct ph_wanted *ph, double ph_day, double days)
{
    double middle = (ph->lo + ph->hi) / 2;

    ph->to = ph_drift_aim(ph->lo, ph->hi, ph_day, days);
    ph->drifts_ph_day = fabs(ph->to - middle) >= PH_AIMED ? ph_day : 0;
}

struct ph_wanted steps_ph_of_mix(const struct steps_writer *w, const struct dissolved *water,
                                 double volume_l, double gain_ms_cm)
{
    struct dissolved fed = steps_fed(w, water, gain_ms_cm);
    struct ph_wanted ph = steps_ph_of_reservoir(w, &fed, volume_l);
    double lo = 0;
    double hi = 14;
    double ph_day = 0;
    double days = INFINITY;

    for (size_t i = 0; i < w->t->n_jobs; i++) {
        size_t at = w->t->job[i].subject.at;
        int planted = w->s->container[at].crop;
        const struct crop *crop =
            &w->room->crop[planted >= 0 ? (size_t)planted : w->room->container[at].crop];
        struct forecast now = forecast_container(w->room, w->s, at, w->now_s);
        int stage = planted >= 0 ? now.stage : 0;

        /* The band that all of them bear, for as long as the shortest-lived solution of them;
         * their drifts are averaged, since one mix has one pH. */
        lo = fmax(lo, crop->stage[stage].ph_min);
        hi = fmin(hi, crop->stage[stage].ph_max);
        days = fmin(days, crop->stage[stage].life_max_day);
        ph_day += forecast_ph_day(w->s, at, &now) / (double)w->t->n_jobs;
    }
    if (lo < hi) {
        ph.lo = lo;
        ph.hi = hi;
        steps_ph_against_drift(&ph, ph_day, days);
        leave_room_for_gas(&ph, GAS_BELOW);
    }
    ph.water = *water;
    return ph;
}
