#include "daemon/core/sheet/worksheet.h"

#include "daemon/base/mem.h"
#include "daemon/core/sheet/sheet_writer.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#define DISSOLVE_ML       100   /* told in steps of this */
#define SAY_ROUNDING_FRAC 0.005 /* below this nobody's meter shows it */

const char sheet_drown[] =
    "Never above the float line: roots that hang in air drown, and the plant with them.";
const char sheet_acid[] =
    "Goggles and gloves. Acid or base into water, a little at a time, never water into it.";
const char sheet_concentrate[] =
    "Never pour two concentrates together: what they hold falls out as a sludge.";
const char sheet_disposal[] =
    "Spent solution feeds algae: not into a ditch or storm drain. Local rules decide.";
const char sheet_heavy[] = "A litre weighs a kilogram: carry less than 23 kg, less overhead.";
const char sheet_wet_hands[] = "Dry hands before you touch anything that is plugged in.";

void worksheet_deinit(struct worksheet *w)
{
    for (size_t i = 0; i < w->n; i++) {
        free(w->step[i].text);
        free(w->step[i].caution);
    }
    free(w->step);
    *w = (struct worksheet){0};
}

void sheet_step(const struct sheet_writer *w, const char *caution, const char *fmt, ...)
{
    char buf[1000];
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(buf, sizeof buf, fmt, ap);
    va_end(ap);
    w->out->step = mem_grow(w->out->step, &w->out->cap, w->out->n + 1, sizeof *w->out->step);
    w->out->step[w->out->n++] =
        (struct step){.text = mem_strdup(buf), .caution = mem_strdup(caution)};
}

char *sheet_litres(char buf[QUANTITY_BOTH_MAX], const struct sheet_writer *w, double volume_l)
{
    return quantity_format_both(buf, QUANTITY_VOLUME, volume_l, &w->room->units);
}

char *sheet_strength(char buf[QUANTITY_TEXT_MAX], const struct sheet_writer *w, double ec_ms_cm)
{
    return quantity_format(buf, QUANTITY_EC, ec_ms_cm, &w->room->units);
}

const char *sheet_name(const struct sheet_writer *w, size_t i)
{
    return room_subject_name(w->room, w->t->job[i].subject);
}

void sheet_names(const struct sheet_writer *w, struct text *out)
{
    for (size_t i = 0; i < w->t->n_jobs && i < SHEET_NAMES_SHOWN; i++) {
        text_add_listed(out, i, sheet_name(w, i));
    }
    if (w->t->n_jobs > SHEET_NAMES_SHOWN) {
        text_add(out, " and %zu more", w->t->n_jobs - SHEET_NAMES_SHOWN);
    }
}

void sheet_tell(const struct sheet_writer *w, const char *figures)
{
    sheet_step(w, NULL, "Tell it: tarn ack %lld%s%s", (long long)w->t->id, *figures ? " " : "",
               figures);
}

/* A dry product is dissolved before it goes in; a salt that dissolves badly needs its water. */
static void say_dry(const struct sheet_writer *w, const struct product *p,
                    const struct portion *amount, const char *into, const char *wait,
                    const char *caution)
{
    char buf[QUANTITY_BOTH_MAX];
    char water[QUANTITY_BOTH_MAX];
    double least_ml =
        DISSOLVE_ML * ceil(amount->product / (p->dissolves_g_l / 2) * 1000 / DISSOLVE_ML);

    quantity_format_both(buf, QUANTITY_DRY, amount->amount, &w->room->units);
    if (amount->thin > 1) {
        sheet_step(w, caution,
                   "Weigh %s of %s, dissolve it in water to 1 L, and stir %d mL of that into %s%s",
                   buf, p->name, 1000 / amount->thin, into, wait);
    } else if (isfinite(least_ml)) {
        sheet_step(w, caution,
                   "Weigh %s of %s, dissolve it in at least %s of warm water, stir it into %s%s",
                   buf, p->name,
                   quantity_format_both(water, QUANTITY_LIQUID, least_ml, &w->room->units), into,
                   wait);
    } else {
        sheet_step(w, caution, "Weigh %s of %s, dissolve it in warm water, stir it into %s%s", buf,
                   p->name, into, wait);
    }
}

static void say_dose(const struct sheet_writer *w, const struct product *p,
                     const struct portion *amount, const char *into, const char *wait,
                     const char *caution)
{
    char buf[QUANTITY_BOTH_MAX];

    if (p->kind == PRODUCT_DRY) {
        say_dry(w, p, amount, into, wait, caution);
        return;
    }
    quantity_format_both(buf, QUANTITY_LIQUID, amount->amount, &w->room->units);
    if (amount->thin > 1) {
        sheet_step(w, caution,
                   "Thin some %s first: 1 part and %d parts of water. Stir %s of that (by %s) "
                   "into %s%s",
                   p->name, amount->thin - 1, buf, tool_words[amount->tool], into, wait);
    } else {
        sheet_step(w, caution, "Stir %s of %s (by %s) into %s%s", buf, p->name,
                   tool_words[amount->tool], into, wait);
    }
}

void sheet_doses(const struct sheet_writer *w, double volume_l, double gain_ms_cm, const char *into)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];
    struct portion portion[ROOM_DOSES_MAX];
    size_t n = dosing_portions(w->room, w->s, w->t->recipe, volume_l, gain_ms_cm, portion);
    double off = dosing_off_frac(portion, n);
    char rounded[80] = "";

    if (off >= SAY_ROUNDING_FRAC) {
        (void)snprintf(rounded, sizeof rounded,
                       ". What was rounded moves the EC by %.1f %% at most", 100 * off);
    }
    for (size_t i = 0; i < n; i++) {
        char wait[120];

        (void)snprintf(wait, sizeof wait, "%s",
                       i + 1 < n ? ", and wait until it is clear." : rounded);
        if (i + 1 == n) {
            (void)snprintf(wait, sizeof wait, "%s.", rounded);
        }
        say_dose(w, &w->room->product[r->dose[i].product], &portion[i], into, wait,
                 i == 0 && n > 1 ? sheet_concentrate : NULL);
    }
}

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

/* Two digits: more would promise what nobody knows. */
static char *say_ml(char buf[QUANTITY_TEXT_MAX], const struct sheet_writer *w, double ml)
{
    double unit = ml > 0 ? pow(10, floor(log10(ml)) - 1) : 1;

    return quantity_format(buf, QUANTITY_LIQUID, round(ml / unit) * unit, &w->room->units);
}

static const char *say_source(enum titration by)
{
    return by == TITRATION_LEARNED ? "by what was dosed here before"
                                   : "by the alkalinity of the water";
}

static void say_known_dose(const struct sheet_writer *w, const struct ph_dose *dose,
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
static void say_half_units(const struct sheet_writer *w, const struct ph_wanted *p,
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

void sheet_ph(const struct sheet_writer *w, const struct ph_wanted *p)
{
    struct text t = {0};
    struct ph_dose dose = {.product = SIZE_MAX};

    text_add(&t, "Set the pH to %.1f (%.1f to %.1f serves)", p->to, p->lo, p->hi);
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
    sheet_step(w, sheet_acid, "%s", text_str(&t));
    text_deinit(&t);
}

void worksheet_make(const struct room *room, const struct state *s, const struct task *t,
                    int64_t now_s, struct worksheet *out)
{
    static void (*const sheet[TASK_KIND_N])(const struct sheet_writer *) = {
        [TASK_START] = sheet_start,     [TASK_CHECK] = sheet_check,
        [TASK_CHANGE] = sheet_change,   [TASK_BUMP] = sheet_bump,
        [TASK_PH] = sheet_adjust,       [TASK_READ] = sheet_read,
        [TASK_FILL] = sheet_fill,       [TASK_CALIBRATE] = sheet_calibrate,
        [TASK_CARE] = sheet_care,       [TASK_REORDER] = sheet_reorder,
        [TASK_HARVEST] = sheet_harvest, [TASK_LOOK] = sheet_look,
    };
    struct sheet_writer w = {.room = room, .s = s, .t = t, .now_s = now_s, .out = out};

    *out = (struct worksheet){0};
    sheet[t->kind](&w);
}
