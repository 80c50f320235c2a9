#include "daemon/core/sheet/steps_dose.h"

#include "daemon/core/chem/saturation.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/state/ph_dose.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DISSOLVE_ML    100 /* water to dissolve in is told in these: jugs have such marks */
#define STOCK_MOST_ML  1000
#define DISSOLVES_G_ML 0.05 /* half of what the salts of the trade do, no source */

#define JUG_PH 6.5 /* of a container's solution, when it stands high */

#define CORRECT_BY_MS_CM 0.1 /* a correction is told for this: meters show it, heads multiply it */

/* Twice the water that would just do, since it is cold in the end and nobody stirs for an hour. */
static double least_ml(const struct product *p, double amount_g)
{
    return DISSOLVE_ML * ceil(amount_g / (p->dissolves_g_l / 2) * 1000 / DISSOLVE_ML);
}

/* Of a salt that is weighed manifold, the mL in which it is dissolved: of few of them a part is
 * soon so small that it does not raise a bucket. */
static double stock_ml(const struct product *p, const struct portion *amount)
{
    static const double tens[] = {10, 20, 50}; /* of each part */
    double least = least_ml(p, amount->amount);

    if (!isfinite(least)) {
        least = DISSOLVE_ML * ceil(amount->amount / DISSOLVES_G_ML / DISSOLVE_ML);
    }
    for (size_t i = 0; i < sizeof tens / sizeof *tens; i++) {
        if (tens[i] * amount->thin >= least) {
            return fmin(STOCK_MOST_ML, tens[i] * amount->thin);
        }
    }
    return STOCK_MOST_ML;
}

/* The water that comes in with a portion. */
static double brings_ml(const struct product *p, const struct portion *amount)
{
    if (amount->thin <= 1) {
        return 0;
    }
    return p->kind == PRODUCT_DRY ? stock_ml(p, amount) / amount->thin
                                  : amount->product * (amount->thin - 1);
}

/* A dry product is dissolved before it goes in, and not in water of its own: that would raise a
 * bucket, and thin a mix. */
static void say_dry(const struct steps_writer *w, const struct product *p,
                    const struct portion *amount, const char *words, enum step_into into,
                    const char *wait, const char *caution)
{
    char buf[QUANTITY_BOTH_MAX];
    char water[QUANTITY_BOTH_MAX];
    char part[QUANTITY_BOTH_MAX];
    double least = least_ml(p, amount->product);

    quantity_format_both(buf, QUANTITY_DRY, amount->amount, &w->room->units);
    if (amount->thin > 1) {
        steps_add(
            w, caution, "Weigh %s of %s, dissolve it in water to %s, and stir %s of that into %s%s",
            buf, p->name,
            quantity_format_both(water, QUANTITY_LIQUID, stock_ml(p, amount), &w->room->units),
            quantity_format_both(part, QUANTITY_LIQUID, brings_ml(p, amount), &w->room->units),
            words, wait);
    } else if (into == INTO_JUG) {
        steps_add(w, caution, "Weigh %s of %s, and dissolve it in %s%s", buf, p->name, words, wait);
    } else {
        steps_add(w, caution, "Weigh %s of %s, dissolve it in %s%s out of %s, and stir that in%s",
                  buf, p->name, isfinite(least) ? "at least " : "a jug",
                  isfinite(least)
                      ? quantity_format_both(water, QUANTITY_LIQUID, least, &w->room->units)
                      : "",
                  words, wait);
    }
}

static void say_dose(const struct steps_writer *w, const struct product *p,
                     const struct portion *amount, const char *words, enum step_into into,
                     const char *wait, const char *caution)
{
    char buf[QUANTITY_BOTH_MAX];

    if (p->kind == PRODUCT_DRY) {
        say_dry(w, p, amount, words, into, wait, caution);
        return;
    }
    quantity_format_both(buf, QUANTITY_LIQUID, amount->amount, &w->room->units);
    if (amount->thin > 1) {
        steps_add(w, caution,
                  "Thin some %s first: 1 part and %d parts of water. Stir %s of that (by %s) "
                  "into %s%s",
                  p->name, amount->thin - 1, buf, tool_words[amount->tool], words, wait);
    } else {
        steps_add(w, caution, "Stir %s of %s (by %s) into %s%s", buf, p->name,
                  tool_words[amount->tool], words, wait);
    }
}

static struct step_dose dose_of(const struct product *p, const struct portion *amount)
{
    struct step_dose d = {.amount = amount->product,
                          .dry = p->kind == PRODUCT_DRY,
                          .parts = amount->thin,
                          .water_ml = brings_ml(p, amount)};

    (void)snprintf(d.product, sizeof d.product, "%s", p->name);
    return d;
}

/* "6.4 mL"; "12 mL 1+9"; "2.3 g"; "20 mL of 2.3 g in 100 mL". */
static void say_cell(const struct steps_writer *w, const struct product *p,
                     const struct portion *amount)
{
    const struct units *u = &w->room->units;
    enum quantity q = p->kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
    char is[QUANTITY_BOTH_MAX];
    char part[QUANTITY_TEXT_MAX];
    char whole[QUANTITY_TEXT_MAX];
    struct text cell = {0};

    quantity_format_both(is, q, amount->amount, u);
    if (amount->thin <= 1) {
        text_add(&cell, "%s", is);
    } else if (p->kind == PRODUCT_DRY) {
        text_add(&cell, "%s of %s in %s",
                 quantity_format(part, QUANTITY_LIQUID, brings_ml(p, amount), u), is,
                 quantity_format(whole, QUANTITY_LIQUID, stock_ml(p, amount), u));
    } else {
        text_add(&cell, "%s 1+%d", is, amount->thin - 1);
    }
    worksheet_cell(w->out, text_str(&cell));
    text_deinit(&cell);
}

void steps_dose_cells(const struct steps_writer *w, const struct portion *portion, size_t n)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];

    for (size_t i = 0; i < n; i++) {
        say_cell(w, &w->room->product[r->dose[i].product], &portion[i]);
    }
}

void steps_dose_vessel(const struct steps_writer *w, const struct portion *portion, size_t n)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];

    for (size_t i = 0; i < n; i++) {
        struct step_dose d = dose_of(&w->room->product[r->dose[i].product], &portion[i]);

        worksheet_vessel_stirs(w->out, &d);
    }
}

double steps_doses_bring_l(const struct steps_writer *w, const struct dosing_rise *rise)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];
    struct portion portion[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, rise, portion);
    double ml = 0;

    for (size_t i = 0; i < n; i++) {
        ml += brings_ml(&w->room->product[r->dose[i].product], &portion[i]);
    }
    return ml / 1000;
}

double steps_water_l(const struct steps_writer *w, const struct dosing_rise *rise)
{
    double brings_l = steps_doses_bring_l(w, rise);

    return brings_l < BRINGS_TOLD_L ? rise->volume_l : fmax(0, rise->volume_l - brings_l);
}

/* Once is read; at each of a dozen vessels it is read over. */
static bool is_said(const struct steps_writer *w, const char *caution)
{
    for (size_t i = 0; i < w->out->n; i++) {
        if (w->out->step[i].caution && strcmp(w->out->step[i].caution, caution) == 0) {
            return true;
        }
    }
    return false;
}

void steps_doses(const struct steps_writer *w, const struct dosing_rise *rise, const char *words,
                 enum step_into into)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];
    struct portion portion[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, rise, portion);
    double off = dosing_off_frac(portion, n);
    char last[80] = ".";

    if (off >= STEPS_ROUNDING_FRAC) {
        (void)snprintf(last, sizeof last, ". What was rounded moves the EC by %.1f %% at most.",
                       100 * off);
    }
    for (size_t i = 0; i < n; i++) {
        /* One at a time, each clear before the next: what falls out of two concentrates does not
         * dissolve again. */
        const struct product *p = &w->room->product[r->dose[i].product];
        struct step_dose stirs;

        say_dose(w, p, &portion[i], words, into, i + 1 < n ? ", and wait until it is clear." : last,
                 i == 0 && n > 1 && !is_said(w, caution_concentrate) ? caution_concentrate : NULL);
        stirs = dose_of(p, &portion[i]);
        worksheet_stirs(w->out, &stirs);
        worksheet_does(w->out, STEP_STIR, into);
    }
}

void steps_feed(const struct steps_writer *w, struct liquid held, double added_l,
                struct dissolved *water)
{
    struct dosing_rise rise = dosing_fill_rise(w->room, held, added_l);
    struct task fed = *w->t; /* borrows all that it points to */
    struct steps_writer to_feed = *w;

    if (!room_feeds(w->room)) {
        return;
    }
    fed.recipe = w->room->reservoir.feed_at;
    to_feed.t = &fed;
    steps_doses(&to_feed, &rise, "the reservoir", INTO_RESERVOIR);
    steps_measure(w, w->room->reservoir.feed_ms_cm, w->room->tolerance_pct / 100, false);
    *water = steps_fed(&to_feed, water, rise.gain_ms_cm);
}

/* What the water shows after half of the acid that goes before the nutrients, were a sixth less
 * wanted in all: at that or below the other half is left out, and comes after them as it is wanted.
 */
static double enough_ph(const struct steps_writer *w, const struct ph_wanted *p,
                        const struct ph_dose *dose)
{
    struct dissolved less = p->water;

    waters_dose(&less, w->room, w->s, dose->product, dose->amount_ml * (1.0 / 4 + 1.0 / 6),
                p->volume_l);
    return fmax(p->hi, balance_ph_closed(&less));
}

void steps_acid_first(const struct steps_writer *w, struct ph_wanted *p)
{
    struct text t = {0};
    struct ph_dose dose;
    double from;
    double enough;
    char ml[QUANTITY_TEXT_MAX];

    if (!waters_known(&p->water) || p->water.alkalinity_meq_l <= SATURATION_ALKALINE_MEQ_L) {
        return;
    }
    from = balance_ph_closed(&p->water);
    dose = ph_dose_of(w->room, w->s, &p->water, p->volume_l, from, p->to);
    if (from <= p->hi || dose.product == SIZE_MAX) {
        return;
    }
    if (dose.by == PH_DOSE_BY_HAND) {
        steps_add(w, caution_acid,
                  "Acid first: the water holds %.1f meq/L of alkalinity, in which nutrients cloud. "
                  "Stir in a little %s at a time, until it shows about %.1f.",
                  p->water.alkalinity_meq_l, w->room->product[dose.product].name, p->hi);
        worksheet_does(w->out, STEP_PH, INTO_NOTHING);
        return;
    }
    enough = enough_ph(w, p, &dose);
    text_add(
        &t,
        "Acid first: the water holds %.1f meq/L of alkalinity, in which nutrients cloud. Measure: "
        "at %.1f or below leave it out. Else stir in %s of %s, thinned, wait ten minutes and "
        "measure: at %.1f or below that is enough; else as much again.",
        p->water.alkalinity_meq_l, enough, steps_acid_ml(ml, w, dose.amount_ml / 4),
        w->room->product[dose.product].name, enough);
    steps_acid_thinned(w, dose.amount_ml / 4, &t);
    text_add(&t, " The rest comes after the nutrients, and all is told as one.");
    steps_add(w, caution_acid, "%s", text_str(&t));
    text_deinit(&t);
    worksheet_does(w->out, STEP_PH, INTO_NOTHING);
    worksheet_doses(w->out, w->room->product[dose.product].name, dose.amount_ml / 2);
    waters_dose(&p->water, w->room, w->s, dose.product, dose.amount_ml / 2, p->volume_l);
    if (p->cans_l > 0) {
        waters_dose(&p->fresh, w->room, w->s, dose.product, dose.amount_ml / 2, p->volume_l);
    }
    p->begun = true;
}

/* With the whole dose in the jug, a while. */
static bool is_clear(const struct nutrients *own_mg_l, const struct nutrients *dose_mg,
                     double jug_l)
{
    struct nutrients in_it = *own_mg_l;

    nutrients_add(&in_it, dose_mg, 1 / jug_l);
    return saturation_of_solution(&in_it, NULL, JUG_PH) == 0;
}

double steps_clear_jug_l(const struct steps_writer *w, size_t container,
                         const struct dosing_rise *rise)
{
    static const double jugs_l[] = {0.5, 1, 2, 3, 5, 10};
    struct portion portion[ROOM_DOSES_MAX];
    struct amount amount[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, rise, portion);
    struct nutrients dose_mg;
    double largest_l = 0;

    n = dosing_as_amounts(w->room, w->t->recipe, portion, n, amount);
    dose_mg = dosing_brings(w->room, amount, n);
    for (size_t i = 0; i < sizeof jugs_l / sizeof *jugs_l && jugs_l[i] < rise->volume_l; i++) {
        if (is_clear(&w->s->container[container].feed, &dose_mg, jugs_l[i])) {
            return i == 0 ? 0 : jugs_l[i];
        }
        largest_l = jugs_l[i];
    }
    return largest_l;
}

/* The blend reads half of the target, and leaves the other half for nutrient: common practice,
 * no source. */
void steps_hard_water(const struct steps_writer *w, double volume_l, double ec_target,
                      double ec_water)
{
    double pure_l = solution_blend_share(ec_target / 2, ec_water, 0) * volume_l;
    char is[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];
    char of_it[QUANTITY_BOTH_MAX];
    char of_pure[QUANTITY_BOTH_MAX];

    steps_add(w, NULL,
              "The plain water reads %s, and the solution is to be %s: no dose makes that. Blend "
              "%s of it with %s of low-EC water (reads near 0), measure, and mix with 'tarn mix'.",
              steps_strength(is, w, ec_water), steps_strength(want, w, ec_target),
              steps_litres(of_it, w, pure_l), steps_litres(of_pure, w, volume_l - pure_l));
}

void steps_correct(const struct steps_writer *w, double volume_l, double ec_target, double fits_l)
{
    double water_l = solution_dilution_l(ec_target + CORRECT_BY_MS_CM, ec_target,
                                         dosing_base_ec(w->room, w->s), volume_l);
    struct dosing_rise rise = {volume_l, fmax(0, ec_target - CORRECT_BY_MS_CM), CORRECT_BY_MS_CM};
    struct portion portion[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, &rise, portion);
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
    if (!isfinite(water_l)) { /* water as strong as the mix thins nothing */
        steps_add(w, NULL,
                  "Outside of that? For each %s too little stir in %s, one after the other.",
                  steps_strength(by, w, CORRECT_BY_MS_CM), text_str(&doses));
        text_deinit(&doses);
        return;
    }
    steps_add(
        w, NULL,
        "Outside of that? For each %s too much let in %s of plain water%s; for each %s too "
        "little stir in %s, one after the other. Tell what went in in all, or it is reckoned from "
        "was=… and ec=….",
        steps_strength(by, w, CORRECT_BY_MS_CM), steps_litres(water, w, water_l),
        water_l > fits_l ? ", after drawing as much off" : "", by, text_str(&doses));
    text_deinit(&doses);
}

void steps_measure(const struct steps_writer *w, double ec_target, double within_frac, bool teaches)
{
    char want[QUANTITY_TEXT_MAX];
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    steps_add(w, NULL, "Stir well, wait ten minutes, and measure: EC %s (%s to %s serves).%s",
              steps_strength(want, w, ec_target),
              steps_strength(lo, w, ec_target * (1 - within_frac)),
              steps_strength(hi, w, ec_target * (1 + within_frac)),
              teaches ? " Note it before anything corrects it: told as was=…, it teaches what the "
                        "recipe does."
                      : "");
    worksheet_does(w->out, STEP_MEASURE, INTO_NOTHING);
    worksheet_shows(w->out, ec_target, ec_target * (1 - within_frac),
                    ec_target * (1 + within_frac));
}
