#include "daemon/core/sheet/steps_bump.h"

#include "daemon/base/mem.h"
#include "daemon/base/names.h"
#include "daemon/core/sheet/steps_dose.h"
#include "daemon/core/state/forecast.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define JUG_L           0.5  /* does, where nothing falls out in it */
#define HOLD_ALIKE_FRAC 0.02 /* of the litres; no eye sees it at a water line */

/* How one container is bumped. */
struct bump {
    const struct job *job;
    struct liquid is;
    double to_ms_cm;
    struct dosing_rise rise;
    double jug_l; /* 0 = any jug does */
    double brings_l;
    struct portion portion[ROOM_DOSES_MAX];
    size_t n_portions;
    bool written; /* in a row already */
};

static struct bump bump_of(const struct steps_writer *w, const struct job *j)
{
    struct liquid is = forecast_container(w->room, w->s, j->subject.at, w->now_s).body;
    struct bump b = {
        .job = j,
        .is = is,
        .to_ms_cm = j->food_ms_cm + is.water_ms_cm,
        .rise = {is.volume_l, is.ec_ms_cm, j->food_ms_cm - solution_food_ms_cm(is)}
    };

    b.jug_l = steps_clear_jug_l(w, j->subject.at, &b.rise);
    b.brings_l = steps_doses_bring_l(w, &b.rise);
    b.n_portions = dosing_portions(w->room, w->s, w->t->recipe, &b.rise, b.portion);
    return b;
}

static double dip_l(const struct bump *b)
{
    return b->jug_l > 0 ? b->jug_l : JUG_L;
}

static bool is_near(double a, double b, double within)
{
    return fabs(a - b) <= within;
}

/* Would the dose of a serve b as well? */
static bool is_alike(const struct bump *a, const struct bump *b)
{
    double within = BUMP_ALIKE_FRAC * b->to_ms_cm;
    double comes_to = b->is.ec_ms_cm + a->rise.gain_ms_cm * a->rise.volume_l / b->rise.volume_l;

    return is_near(comes_to, b->to_ms_cm, within) &&
           is_near(a->is.ec_ms_cm, b->is.ec_ms_cm, 2 * within) &&
           is_near(a->to_ms_cm, b->to_ms_cm, 2 * within) &&
           is_near(a->is.volume_l, b->is.volume_l, HOLD_ALIKE_FRAC * b->is.volume_l) &&
           is_near(dip_l(a), dip_l(b), 1e-9) && is_near(a->brings_l, b->brings_l, BRINGS_TOLD_L);
}

static void steps_of_one(const struct steps_writer *w, const struct bump *b)
{
    char ec[QUANTITY_TEXT_MAX];
    char is[STEPS_STRENGTHS_MAX];
    char litres[QUANTITY_BOTH_MAX];
    char jug[QUANTITY_BOTH_MAX];

    steps_add(w, caution_drown, "%s: from about %s to %s in %s. Dip out %s%s of its own solution.",
              steps_name(w, 0), steps_with_water(is, w, b->is), steps_strength(ec, w, b->to_ms_cm),
              steps_litres(litres, w, b->is.volume_l),
              b->jug_l > 0 ? "a jug, of at least " : "a jug",
              b->jug_l > 0 ? steps_litres(jug, w, b->jug_l) : "");
    worksheet_does(w->out, STEP_DIP, INTO_JUG);
    worksheet_moves(w->out, dip_l(b), NAN);
    worksheet_vessel(w->out, steps_name(w, 0), b->is.volume_l, b->is.ec_ms_cm);
    if (b->brings_l >= BRINGS_TOLD_L) {
        steps_add(
            w, NULL, "Pour %s of it away: as much water comes in with the doses.",
            quantity_format_both(jug, QUANTITY_LIQUID, round(1000 * b->brings_l), &w->room->units));
        worksheet_does(w->out, STEP_POUR_AWAY, INTO_NOTHING);
        worksheet_moves(w->out, b->brings_l, NAN);
    }
    steps_doses(w, &b->rise, "the jug", INTO_JUG);
    steps_add(w, NULL,
              "Pour the jug back into %s slowly, away from the stem, up to the level it had, and "
              "stir.",
              steps_name(w, 0));
    worksheet_does(w->out, STEP_POUR_BACK, INTO_VESSELS);
    worksheet_vessel(w->out, steps_name(w, 0), b->is.volume_l, b->to_ms_cm);
}

/* What all the rows have in common: a column of nothing is not drawn. */
struct bump_table {
    struct bump *bump; /* as the task's jobs */
    size_t n;
    bool pours_away, thins, weighs;
    double off_frac; /* what rounding moves a dose's EC by, at most */
};

static void look_through(const struct steps_writer *w, struct bump_table *t)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];

    for (size_t i = 0; i < t->n; i++) {
        const struct bump *b = &t->bump[i];

        t->pours_away = t->pours_away || b->brings_l >= BRINGS_TOLD_L;
        t->off_frac = fmax(t->off_frac, dosing_off_frac(b->portion, b->n_portions));
        for (size_t k = 0; k < b->n_portions; k++) {
            bool dry = w->room->product[r->dose[k].product].kind == PRODUCT_DRY;

            t->thins = t->thins || (!dry && b->portion[k].thin > 1);
            t->weighs = t->weighs || dry;
        }
    }
}

static void write_head(const struct steps_writer *w, const struct bump_table *t)
{
    const struct recipe *r = &w->room->recipe[w->t->recipe];

    worksheet_head(w->out, "In");
    worksheet_head(w->out, "Holds");
    steps_strength_head(w);
    worksheet_head(w->out, "to be");
    worksheet_head(w->out, "Jug");
    if (t->pours_away) {
        worksheet_head(w->out, "away");
    }
    for (size_t i = 0; i < r->n_doses; i++) {
        worksheet_head(w->out, w->room->product[r->dose[i].product].name);
    }
}

static void write_row(const struct steps_writer *w, struct bump_table *t, size_t first)
{
    const struct bump *b = &t->bump[first];
    const char **name = mem_array(t->n, sizeof *name);
    struct text names = {0};
    char buf[QUANTITY_BOTH_MAX];
    size_t n = 0;

    for (size_t i = first; i < t->n; i++) {
        struct bump *other = &t->bump[i];

        if (other->written || !is_alike(b, other)) {
            continue;
        }
        other->written = true;
        name[n++] = steps_name(w, i);
        worksheet_vessel(w->out, steps_name(w, i), other->is.volume_l, other->to_ms_cm);
        worksheet_dips(w->out, other->is.ec_ms_cm, dip_l(b),
                       b->brings_l >= BRINGS_TOLD_L ? b->brings_l : 0);
        steps_dose_vessel(w, b->portion, b->n_portions);
    }
    names_fold(name, n, &names);
    worksheet_cell(w->out, text_str(&names));
    worksheet_cell(w->out, steps_litres(buf, w, b->is.volume_l));
    steps_strength_cell(w, b->is.ec_ms_cm);
    steps_strength_cell(w, b->to_ms_cm);
    worksheet_cell(w->out, steps_litres(buf, w, dip_l(b)));
    if (t->pours_away) {
        worksheet_cell(w->out,
                       b->brings_l < BRINGS_TOLD_L
                           ? "-"
                           : quantity_format_both(buf, QUANTITY_LIQUID, round(1000 * b->brings_l),
                                                  &w->room->units));
    }
    steps_dose_cells(w, b->portion, b->n_portions);
    text_deinit(&names);
    free(name);
}

static void steps_of_several(const struct steps_writer *w, struct bump_table *t)
{
    look_through(w, t);
    steps_add(w, caution_concentrate,
              "Doses go in as they stand in the table, from left to right: one at a time, each "
              "clear before the next.%s%s",
              t->thins ? " '1+9' is one part of it and nine of water, mixed before." : "",
              t->weighs ? " Salts are weighed, and dissolved in the jug." : "");
    steps_add(w, caution_drown,
              "Container after container, in that order: dip out a jug of its own solution, as "
              "large at least as the table says,%s stir in its doses, pour the jug back slowly, "
              "away from the stem, up to the level it had, and stir.%s",
              t->pours_away ? " pour away of it what comes in with the doses," : "",
              t->off_frac >= STEPS_ROUNDING_FRAC
                  ? " What was rounded, or taken for alike, moves no EC by more than 2 %."
                  : "");
    worksheet_does(w->out, STEP_BUMP, INTO_VESSELS);
    write_head(w, t);
    for (size_t i = 0; i < t->n; i++) {
        if (!t->bump[i].written) {
            write_row(w, t, i);
        }
    }
}

/* In its own solution, so that the level stays: a bump with plain water would raise it over air
 * roots. */
void steps_of_bump(const struct steps_writer *w)
{
    struct bump_table t = {.bump = mem_array(w->t->n_jobs, sizeof *t.bump), .n = w->t->n_jobs};

    for (size_t i = 0; i < t.n; i++) {
        t.bump[i] = bump_of(w, &w->t->job[i]);
    }
    steps_add(
        w, NULL,
        "Measure the EC before: it is told as was=…, and teaches what the plants take. Where it "
        "is far from what stands here, 'tarn mix' with from= reckons the dose anew.");
    worksheet_does(w->out, STEP_MEASURE, INTO_NOTHING);
    if (t.n == 1) {
        steps_of_one(w, &t.bump[0]);
    } else {
        steps_of_several(w, &t);
    }
    steps_add(w, NULL, "Wait ten minutes and measure EC and pH.");
    worksheet_does(w->out, STEP_MEASURE, INTO_NOTHING);
    steps_ask(w, 0);
    free(t.bump);
}
