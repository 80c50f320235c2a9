#include "daemon/core/sheet/steps_writer.h"

#include "daemon/base/mem.h"
#include "daemon/base/names.h"
#include "daemon/core/room/ruler.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Less of a strength than this from the water is not worth a word: a meter errs by half of it. */
#define WATER_MATTERS_FRAC 0.1

#define RINSE_FRAC 0.1 /* of the capacity: enough to carry off what clings to the walls */

/* Kratky 2004, Acta Horticulturae 648:83-89: a level raised by more than 2 cm over air roots may
 * injure. */
const char caution_drown[] =
    "Never above the float line: roots that hang in air drown, and the plant with them.";
/* Common practice in any laboratory, no source: the first drops of water on acid boil. */
const char caution_acid[] =
    "Goggles and gloves. Acid or base into water, a little at a time, never water into it.";
/* Calcium with sulfate or phosphate, at a hundred times the strength of a solution. */
const char caution_concentrate[] =
    "Never pour two concentrates together: what they hold falls out as a sludge.";
const char caution_disposal[] =
    "Spent solution feeds algae: not into a ditch or storm drain. Local rules decide.";
/* 23 kg: the load constant of the NIOSH lifting equation (Waters, Putz-Anderson & Garg 1994;
 * from memory). */
const char caution_heavy[] = "A litre weighs a kilogram: carry less than 23 kg, less overhead.";
const char caution_heavy_gal[] =
    "A gallon weighs more than 8 lb: carry less than 50 lb, less overhead.";
/* Twice the width of the pipe and at least 25 mm, or a backflow preventer: common plumbing codes
 * (EN 1717, ASME A112.1.2; from memory). What holds here the local code says. */
const char caution_air_gap[] =
    "From the mains over an air gap, no hose end under water: it could be sucked back.";
const char caution_wet_hands[] = "Dry hands before you touch anything that is plugged in.";

const char *steps_heavy(const struct steps_writer *w, double volume_l)
{
    bool gallons = w->room->units.volume == VOLUME_SHOW_GAL;

    return volume_l > CARRIED_L ? gallons ? caution_heavy_gal : caution_heavy : NULL;
}

void steps_add(const struct steps_writer *w, const char *caution, const char *fmt, ...)
{
    va_list ap;
    int len;
    size_t size;
    char *text;

    /* However long: a list of litres that is cut short would leave containers out without a
     * word. */
    va_start(ap, fmt);
    len = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    size = len < 0 ? 1 : (size_t)len + 1;
    text = mem_array(size, 1);
    va_start(ap, fmt);
    (void)vsnprintf(text, size, fmt, ap);
    va_end(ap);
    worksheet_add(w->out, text, caution);
    free(text);
}

char *steps_litres(char buf[QUANTITY_BOTH_MAX], const struct steps_writer *w, double volume_l)
{
    return quantity_format_both(buf, QUANTITY_VOLUME, volume_l, &w->room->units);
}

char *steps_level(char buf[STEPS_LEVEL_MAX], const struct steps_writer *w, struct subject at,
                  double volume_l)
{
    bool inches = w->room->units.volume == VOLUME_SHOW_GAL;
    char litres[QUANTITY_BOTH_MAX];
    struct ruler scale;

    steps_litres(litres, w, volume_l);
    if (ruler_of(w->room, at, &scale)) {
        (void)snprintf(buf, STEPS_LEVEL_MAX, "%s, %.1f %s", litres,
                       ruler_height_m(&scale, volume_l) / (inches ? 0.0254 : 0.01),
                       inches ? "in" : "cm");
    } else {
        (void)snprintf(buf, STEPS_LEVEL_MAX, "%s", litres);
    }
    return buf;
}

void steps_strength_head(const struct steps_writer *w)
{
    char head[QUANTITY_TEXT_MAX];

    (void)snprintf(head, sizeof head, "EC %s", quantity_ec_words[w->room->units.ec]);
    worksheet_head(w->out, head);
}

void steps_strength_cell(const struct steps_writer *w, double ec_ms_cm)
{
    char buf[QUANTITY_TEXT_MAX];

    steps_strength(buf, w, ec_ms_cm);
    buf[strcspn(buf, " ")] = '\0';
    worksheet_cell(w->out, buf);
}

void steps_rows(const struct steps_writer *w, const struct steps_row *rows, size_t n_cells)
{
    const char **name = mem_array(w->t->n_jobs, sizeof *name);
    size_t n;

    for (size_t i = 0; i < w->t->n_jobs; i += n) {
        struct text names = {0};

        for (n = 0; i + n < w->t->n_jobs && memcmp(&rows[i], &rows[i + n], sizeof *rows) == 0;
             n++) {
            name[n] = steps_name(w, i + n);
        }
        names_fold(name, n, &names);
        worksheet_cell(w->out, text_str(&names));
        for (size_t k = 0; k < n_cells; k++) {
            worksheet_cell(w->out, rows[i].cell[k]);
        }
        text_deinit(&names);
    }
    free(name);
}

char *steps_strength(char buf[QUANTITY_TEXT_MAX], const struct steps_writer *w, double ec_ms_cm)
{
    return quantity_format(buf, QUANTITY_EC, ec_ms_cm, &w->room->units);
}

char *steps_with_water(char buf[STEPS_STRENGTHS_MAX], const struct steps_writer *w,
                       struct liquid body)
{
    char ec[QUANTITY_TEXT_MAX];
    char water[QUANTITY_TEXT_MAX];

    steps_strength(ec, w, body.ec_ms_cm);
    if (body.water_ms_cm < WATER_MATTERS_FRAC * body.ec_ms_cm) {
        (void)snprintf(buf, STEPS_STRENGTHS_MAX, "%s", ec);
    } else {
        (void)snprintf(buf, STEPS_STRENGTHS_MAX, "%s, of it %s from the water", ec,
                       steps_strength(water, w, body.water_ms_cm));
    }
    return buf;
}

char *steps_cans(char buf[STEPS_CANS_MAX], const struct steps_writer *w, double more_l)
{
    double again_l = fmin(more_l, w->s->reservoir.cans.volume_l);
    char litres[QUANTITY_BOTH_MAX];

    buf[0] = '\0';
    if (again_l >= CANS_LEAST_L) {
        (void)snprintf(buf, STEPS_CANS_MAX, ": first %s from the cans",
                       steps_litres(litres, w, again_l));
    }
    return buf;
}

const char *steps_name(const struct steps_writer *w, size_t i)
{
    return room_subject_name(w->room, w->t->job[i].subject);
}

void steps_rinse(const struct steps_writer *w, double left_l)
{
    double rinse_l = RINSE_FRAC * w->room->reservoir.capacity_l;
    char rest[QUANTITY_BOTH_MAX];
    char rinse[QUANTITY_BOTH_MAX];

    steps_litres(rinse, w, rinse_l);
    if (left_l > 0) {
        steps_add(w, caution_disposal,
                  "Drain what is left in the reservoir, %s or so: fit for plants in soil. Rinse it "
                  "and the line with %s of plain water.",
                  steps_litres(rest, w, left_l), rinse);
    } else {
        steps_add(w, caution_disposal,
                  "Empty the reservoir, and rinse it and the line with %s of plain water.", rinse);
    }
    worksheet_does(w->out, STEP_RINSE, INTO_NOTHING);
    worksheet_moves(w->out, rinse_l, 0);
}

void steps_names(const struct steps_writer *w, struct text *out)
{
    const char **name = mem_array(w->t->n_jobs, sizeof *name);

    for (size_t i = 0; i < w->t->n_jobs; i++) {
        name[i] = steps_name(w, i);
    }
    names_fold(name, w->t->n_jobs, out);
    free(name);
}

void steps_tell(const struct steps_writer *w, const char *figures)
{
    steps_add(w, NULL, "Tell it: tarn ack %lld%s%s", (long long)w->t->id, *figures ? " " : "",
              figures);
    worksheet_does(w->out, STEP_TELL, INTO_NOTHING);
}

static bool is_asked(const struct task_figure *f, unsigned without)
{
    return f->asked != ASKED_NOWHERE && !(without & FIGURE_BIT(f->figure));
}

static unsigned steps_asked(const struct task_figures *t, unsigned without)
{
    unsigned bits = 0;

    for (size_t i = 0; i < task_figures_n(t); i++) {
        bits |= is_asked(&t->figure[i], without) ? FIGURE_BIT(t->figure[i].figure) : 0;
    }
    return bits;
}

void steps_figures(const struct steps_writer *w, unsigned without, struct text *out)
{
    const struct task_figures *t = task_figures_of(w->t->kind, w->t->by_hand);

    for (size_t i = 0; i < task_figures_n(t); i++) {
        const struct task_figure *f = &t->figure[i];

        if (is_asked(f, without)) {
            text_add(out, " %s=…%s", figure_defs[f->figure].word, figure_defs[f->figure].unit);
        }
    }
}

void steps_ask(const struct steps_writer *w, unsigned without)
{
    steps_ask_of(w, 0, without, without);
}

void steps_ask_of(const struct steps_writer *w, size_t first, unsigned without,
                  unsigned without_2nd)
{
    const struct task_figures *t = task_figures_of(w->t->kind, w->t->by_hand);
    bool each = t->of != TOLD_AT_LARGE && w->t->n_jobs > 1;
    struct text figures = {0};

    text_add(&figures, "%s%s", each ? " " : "", each ? steps_name(w, first) : "");
    steps_figures(w, without, &figures);
    if (each) {
        text_add(&figures, " %s", steps_name(w, first ? 0 : 1));
        steps_figures(w, without | without_2nd, &figures);
        text_add(&figures, "%s", w->t->n_jobs > 2 ? " …" : "");
    }
    text_add(&figures, "%s", t->amounts ? " PRODUCT=…mL" : "");
    steps_add(w, NULL, "Tell it: tarn ack %lld%s", (long long)w->t->id, text_str(&figures));
    worksheet_does(w->out, STEP_TELL, INTO_NOTHING);
    worksheet_tells(w->out, steps_asked(t, without));
    text_deinit(&figures);
}
