#include "daemon/core/sheet/steps_care.h"

#include "daemon/base/mem.h"
#include "daemon/core/chem/standards.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HALF_SLACK   1e-6 /* 4.005 is a little less in binary */
#define DRIES_SOON_D 7.0  /* a vessel that lasts longer is not worth a word */

#define WALK_IN_WORDS 2 /* more are told in a table */

/* All that is looked into, in the order of the task. */
static void look_into_many(const struct steps_writer *w)
{
    struct steps_row *rows = mem_array(w->t->n_jobs, sizeof *rows);

    steps_add(w, NULL, "Look into each, in that order: does the float let in water?");
    worksheet_head(w->out, "In");
    worksheet_head(w->out, "is expected");
    worksheet_head(w->out, "float line");
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        struct subject at = w->t->job[i].subject;
        struct forecast now = forecast_container(w->room, w->s, at.at, w->now_s);

        steps_level(rows[i].cell[0], w, at, now.body.volume_l);
        steps_level(rows[i].cell[1], w, at, w->room->container[at.at].float_volume_l);
        worksheet_vessel(w->out, steps_name(w, i), now.body.volume_l, NAN);
    }
    steps_rows(w, rows, 2);
    free(rows);
}

void steps_of_check(const struct steps_writer *w)
{
    struct text tell = {0};
    char is[STEPS_LEVEL_MAX];
    char line[STEPS_LEVEL_MAX];

    if (w->t->n_jobs > WALK_IN_WORDS) {
        look_into_many(w);
    }
    for (size_t i = 0; i < w->t->n_jobs && w->t->n_jobs <= WALK_IN_WORDS; i++) {
        struct subject at = w->t->job[i].subject;
        struct forecast now = forecast_container(w->room, w->s, at.at, w->now_s);

        steps_add(w, NULL,
                  "Look into %s: %s is expected, the float line is at %s. Does the float let in "
                  "water?",
                  steps_name(w, i), steps_level(is, w, at, now.body.volume_l),
                  steps_level(line, w, at, w->room->container[at.at].float_volume_l));
    }
    if (w->t->n_jobs == 1) {
        text_add(&tell, "float=yes (or float=no, or");
    } else {
        text_add(&tell, "%s float=yes %s float=no", steps_name(w, 0), steps_name(w, 1));
    }
    steps_figures(w, 0, &tell);
    text_add(&tell, "%s", w->t->n_jobs == 1 ? ")" : w->t->n_jobs > 2 ? " …" : "");
    steps_tell(w, text_str(&tell));
    text_deinit(&tell);
}

void steps_of_read(const struct steps_writer *w)
{
    bool many = w->t->n_jobs > WALK_IN_WORDS;
    struct steps_row *rows = mem_array(w->t->n_jobs, sizeof *rows);
    size_t first_level = w->t->n_jobs; /* who shows what a level is told like */
    char ec[QUANTITY_TEXT_MAX];
    char level[STEPS_LEVEL_MAX];

    steps_add(w, NULL, "Rinse the meters with plain water between two containers.");
    if (many) {
        steps_add(w, NULL,
                  "Measure EC and pH of each, in that order, and the level where one stands here. "
                  "Expected are:");
        worksheet_head(w->out, "In");
        steps_strength_head(w);
        worksheet_head(w->out, "level");
    }
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        struct subject at = w->t->job[i].subject;
        bool tank = at.kind == SUBJECT_RESERVOIR;
        bool falls = !tank && !w->s->container[at.at].float_s; /* its level says when it floats */
        struct liquid body = tank ? forecast_reservoir(w->room, w->s, w->now_s)
                                  : forecast_container(w->room, w->s, at.at, w->now_s).body;

        first_level = falls && i < first_level ? i : first_level;
        steps_level(level, w, at, body.volume_l);
        steps_strength(ec, w, body.ec_ms_cm);
        if (!many) {
            steps_add(w, NULL, "Measure EC%s of %s; expected are %s in %s.",
                      falls ? ", pH and the level" : " and pH", steps_name(w, i), ec, level);
        }
        worksheet_does(w->out, STEP_MEASURE, INTO_NOTHING);
        worksheet_vessel(w->out, steps_name(w, i), body.volume_l, body.ec_ms_cm);
        (void)snprintf(rows[i].cell[0], sizeof rows[i].cell[0], "%.*s", (int)strcspn(ec, " "), ec);
        (void)snprintf(rows[i].cell[1], sizeof rows[i].cell[1], "%s", falls ? level : "-");
    }
    if (many) {
        steps_rows(w, rows, 2);
    }
    free(rows);
    if (first_level < w->t->n_jobs) {
        steps_ask_of(w, first_level, 0, FIGURE_BIT(FIGURE_VOLUME_L));
    } else {
        steps_ask(w, FIGURE_BIT(FIGURE_VOLUME_L));
    }
}

/* What a standard reads at the temperatures of a day: a room is seldom at the 25 °C of the
 * label. */
static void add_by_warmth(const struct steps_writer *w, double (*reads)(int which, double temp_c),
                          int which, const char *fmt, struct text *out)
{
    static const double day_c[] = {15, 20, 25, 30};
    char temp[QUANTITY_BOTH_MAX];
    char value[16];

    for (size_t i = 0; i < sizeof day_c / sizeof *day_c; i++) {
        double figure = reads(which, day_c[i]);

        /* Halves up, as bottles have it: 4.005 at 25 C is 4.01. */
        (void)snprintf(value, sizeof value, *fmt == 'p' ? "%.2f" : "%.0f",
                       *fmt == 'p' ? floor(100 * figure + 0.5 + HALF_SLACK) / 100 : figure);
        text_add(out, "%s%s at %s", i ? ", " : "", value,
                 quantity_format(temp, QUANTITY_TEMP, day_c[i], &w->room->units));
    }
}

static double buffer_reads(int which, double temp_c)
{
    return standard_buffer_ph((enum buffer)which, temp_c);
}

static double bottle_reads(int which, double temp_c)
{
    return standard_bottle_us_cm((enum kcl)which, temp_c);
}

/* Seven first: it sets the offset, and four the slope. The limits are those of standards.h. */
static void calibrate_ph(const struct steps_writer *w)
{
    struct text seven = {0};
    struct text four = {0};

    add_by_warmth(w, buffer_reads, BUFFER_7_00, "ph", &seven);
    add_by_warmth(w, buffer_reads, BUFFER_4_01, "ph", &four);
    steps_add(w, NULL, "Set it in fresh pH 7 buffer until it stands still. The buffer is %s.",
              text_str(&seven));
    steps_add(w, NULL,
              "Rinse, then the same in pH 4 buffer: %s. Throw both away; never pour them back.",
              text_str(&four));
    steps_add(w, NULL,
              "The slope is what it shows; or reckon it: the mV in pH 4 less the mV in pH 7, over "
              "3 times %.1f mV at 25 °C. 95 to 105 %% is good, 85 to 95 %% wants cleaning; less, "
              "or more than 30 mV in pH 7, and the probe is done for.",
              standard_nernst_mv(25));
    text_deinit(&seven);
    text_deinit(&four);
}

static void calibrate_ec(const struct steps_writer *w)
{
    struct text bottle = {0};

    add_by_warmth(w, bottle_reads, KCL_0_01_M, "ec", &bottle);
    steps_add(w, NULL,
              "Set it in a fresh standard of 1413 uS/cm. A meter that compensates shows 1413; one "
              "that does not shows %s.",
              text_str(&bottle));
    steps_add(w, NULL,
              "The slope is what it showed before you set it right, as a share of what it should: "
              "within 10 %% serves; else clean the cell.");
    text_deinit(&bottle);
}

void steps_of_calibrate(const struct steps_writer *w)
{
    const struct meter *m = &w->room->meter[w->t->job[0].subject.at];

    steps_add(w, NULL, "Rinse %s, and let it and its standard come to one temperature.", m->name);
    if (m->kind == METER_PH) {
        calibrate_ph(w);
    } else {
        calibrate_ec(w);
    }
    steps_ask(w, m->kind == METER_PH ? 0 : FIGURE_BIT(FIGURE_OFFSET_MV));
}

/* No default: a kind of care without its words does not compile. */
static const char *care_step(enum care_kind care)
{
    switch (care) {
    case CARE_FLOAT:
        return "Close the shut-off, lift and drop the float: it must move freely. Wipe off salt. "
               "Open the shut-off: the float must close tight at its line.";
    case CARE_VALVE:
        return "Close and open the shut-off once, and look for drips.";
    case CARE_FILTER:
        return "Close the line, rinse or replace the filter, and look for drips.";
    case CARE_RESERVOIR:
        return "Look for algae and slime, wipe the walls, and keep the lid on.";
    case CARE_READ:
    case CARE_OVERNIGHT:
    case CARE_KIND_N:
        break;
    }
    return "Measure.";
}

void steps_of_care(const struct steps_writer *w)
{
    bool has_plugs = w->t->care == CARE_FILTER || w->t->care == CARE_RESERVOIR; /* a pump, a lamp */
    struct text names = {0};

    steps_names(w, &names);
    steps_add(w, NULL, "%s", text_str(&names));
    steps_add(w, has_plugs ? caution_wet_hands : NULL, "%s", care_step(w->t->care));
    steps_ask(w, 0);
    text_deinit(&names);
}

/* The plant that drinks its vessel dry first, once nothing is let in. */
static void say_who_dries_first(const struct steps_writer *w, struct text *out)
{
    double least_day = INFINITY;
    size_t first = 0;

    for (size_t i = 0; i < w->room->n_containers; i++) {
        struct forecast now = forecast_container(w->room, w->s, i, w->now_s);
        double days = w->s->container[i].crop >= 0 ? 1 / forecast_turns_day(&now) : INFINITY;

        if (days < least_day) {
            least_day = days;
            first = i;
        }
    }
    if (least_day < DRIES_SOON_D) {
        text_add(out, " %s would drink its vessel dry in about %.1f days.",
                 w->room->container[first].name, least_day);
    }
}

/* A difference from tape to tape is far finer than two readings of a mark, and plants have no part
 * in it. */
void steps_of_overnight(const struct steps_writer *w)
{
    struct text dries = {0};

    say_who_dries_first(w, &dries);
    steps_add(w, NULL,
              "This evening: close the shut-off of every container, and stick a strip of tape on "
              "the reservoir right at its water line. For one night only: is it not sure that "
              "somebody comes tomorrow, leave them open and put this off.%s",
              text_str(&dries));
    text_deinit(&dries);
    steps_add(w, NULL,
              "Tomorrow morning, before anything else: pour plain water from a measuring jug into "
              "the reservoir, until it stands at the tape again.");
    steps_add(w, NULL, "Open every shut-off of a container that grows something.");
    steps_tell(w, "added=… (0 where nothing was missing)");
}

/* Told twice, when it is ordered and when it is there: between the two nobody is reminded, and
 * nothing is counted that has not come. */
void steps_of_reorder(const struct steps_writer *w)
{
    steps_add(w, NULL, "Order %s: %s.", steps_name(w, 0), w->t->why);
    steps_add(w, NULL, "When it is ordered: tarn ack %lld", (long long)w->t->id);
    steps_add(w, NULL, "When it is there: tarn record stock-received %s amount=…",
              steps_name(w, 0));
}

static bool cuts_again(const struct steps_writer *w)
{
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        int crop = w->s->container[w->t->job[i].subject.at].crop;

        if (crop >= 0 && w->room->crop[crop].cut_again) {
            return true;
        }
    }
    return false;
}

/* What a crop yields that is cut again and again is taken for one cut more: the last one is told as
 * such. */
static void tell_last_cut(const struct steps_writer *w)
{
    struct text tell = {0};

    text_add(&tell, "%s what=final", steps_name(w, 0));
    steps_figures(w, 0, &tell);
    text_add(&tell, "%s (or what=part, where it grows on and nothing was drained)",
             w->t->n_jobs > 1 ? " …" : "");
    steps_tell(w, text_str(&tell));
    worksheet_tells(w->out, FIGURE_BIT(FIGURE_YIELD_G));
    text_deinit(&tell);
}

void steps_of_harvest(const struct steps_writer *w)
{
    struct text names = {0};

    steps_names(w, &names);
    steps_add(w, NULL, "Close the shut-off of %s, and take the plants out.", text_str(&names));
    worksheet_does(w->out, STEP_TAKE_OUT, INTO_NOTHING);
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        worksheet_vessel(w->out, steps_name(w, i), NAN, NAN);
    }
    steps_add(w, caution_disposal, "Drain, take out every root, scrub, rinse and let it dry.");
    worksheet_does(w->out, STEP_DRAIN, INTO_NOTHING);
    for (size_t i = 0; i < w->t->n_jobs; i++) {
        worksheet_vessel(w->out, steps_name(w, i), 0, NAN);
    }
    steps_add(w, NULL, "See whether the float closes tight before the next start.");
    if (cuts_again(w)) {
        tell_last_cut(w);
    } else {
        steps_ask(w, 0);
    }
    text_deinit(&names);
}

/* All that is wrong with the subject: what was seen, and what to look at first. */
void steps_of_look(const struct steps_writer *w)
{
    struct subject subject = w->t->job[0].subject;
    struct alarms alarms;

    alarms_derive(w->room, w->s, w->now_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        if (a->subject.kind == subject.kind && a->subject.at == subject.at) {
            steps_add(w, a->kind == ALARM_HIGH ? caution_drown : NULL,
                      "%c%s (%.0f %% sure). Look first: %s%s",
                      a->says[0] - ('a' <= a->says[0] && a->says[0] <= 'z' ? 32 : 0), a->says + 1,
                      a->sure_pct, a->look, a->look[strlen(a->look) - 1] == '?' ? "" : ".");
        }
    }
    steps_add(w, caution_wet_hands, "Put right what you find, and measure again.");
    steps_tell(w, "--note …");
    alarms_deinit(&alarms);
}
