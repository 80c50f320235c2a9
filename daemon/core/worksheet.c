#include "daemon/core/worksheet.h"

#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/core/dosing.h"
#include "daemon/core/forecast.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NAMES_SHOWN 24 /* a longer list of containers is cut; the task lists them all */

static const char drown[] =
    "Never above the float line: roots that hang in air drown, and the plant with them.";
static const char acid[] =
    "Goggles and gloves. Acid or base into water, a little at a time, never water into it.";
static const char concentrate[] =
    "Never pour two concentrates together: what they hold falls out as a sludge.";
static const char disposal[] =
    "Spent solution feeds algae: not into a ditch or storm drain. Local rules decide.";
static const char heavy[] = "A litre weighs a kilogram: carry less than 23 kg, less overhead.";
static const char wet_hands[] = "Dry hands before you touch anything that is plugged in.";

struct writing {
    const struct room *room;
    const struct state *s;
    const struct task *t;
    int64_t now_s;
    struct worksheet *out;
};

void worksheet_deinit(struct worksheet *w)
{
    for (size_t i = 0; i < w->n; i++) {
        free(w->step[i].text);
        free(w->step[i].caution);
    }
    free(w->step);
    *w = (struct worksheet){0};
}

__attribute__((format(printf, 3, 4))) static void step(const struct writing *w, const char *caution,
                                                       const char *fmt, ...)
{
    char buf[600];
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(buf, sizeof buf, fmt, ap);
    va_end(ap);
    w->out->step = mem_grow(w->out->step, &w->out->cap, w->out->n + 1, sizeof *w->out->step);
    w->out->step[w->out->n++] =
        (struct step){.text = mem_strdup(buf), .caution = mem_strdup(caution)};
}

static char *litres(char buf[QUANTITY_TEXT_MAX], const struct writing *w, double volume_l)
{
    return quantity_format(buf, QUANTITY_VOLUME, volume_l, &w->room->units);
}

static char *strength(char buf[QUANTITY_TEXT_MAX], const struct writing *w, double ec_ms_cm)
{
    return quantity_format(buf, QUANTITY_EC, ec_ms_cm, &w->room->units);
}

static const char *name_of(const struct writing *w, size_t i)
{
    return room_subject_name(w->room, w->t->job[i].subject);
}

/* "A1, A2, A3"; a long list ends in how many more. */
static void list_names(const struct writing *w, struct text *out)
{
    for (size_t i = 0; i < w->t->n_jobs && i < NAMES_SHOWN; i++) {
        text_add_listed(out, i, name_of(w, i));
    }
    if (w->t->n_jobs > NAMES_SHOWN) {
        text_add(out, " and %zu more", w->t->n_jobs - NAMES_SHOWN);
    }
}

/* One product a step, in the order of addition. */
static void step_doses(const struct writing *w, double volume_l, double gain_ms_cm,
                       const char *into)
{
    struct amount amount[ROOM_DOSES_MAX];
    size_t n = dosing_amounts(w->room, w->t->recipe, volume_l, gain_ms_cm, amount);
    char buf[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < n; i++) {
        struct subject p = room_find(w->room, amount[i].product);
        enum quantity q =
            w->room->product[p.at].kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;

        step(w, i == 0 ? concentrate : NULL, "Stir %s of %s into %s%s",
             quantity_format(buf, q, amount[i].amount, &w->room->units), amount[i].product, into,
             i + 1 < n ? ", and wait until it is clear." : ".");
    }
}

static void step_tell(const struct writing *w, const char *figures)
{
    step(w, NULL, "Tell it: tarn ack %lld%s%s", (long long)w->t->id, *figures ? " " : "", figures);
}

/* Water for a mix: what is in the reservoir counts, too much of it has to go first. */
static void step_water(const struct writing *w)
{
    struct liquid now = forecast_reservoir(w->room, w->s, w->now_s);
    double more_l = w->t->mix_l - now.volume_l;
    char is[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];
    char differ[QUANTITY_TEXT_MAX];

    litres(is, w, now.volume_l);
    litres(want, w, w->t->mix_l);
    litres(differ, w, fabs(more_l));
    if (w->s->reservoir.holds_mix) {
        step(w, disposal, "Empty and rinse the reservoir, then let in %s of plain water.", want);
    } else if (more_l >= 0) {
        step(w, NULL,
             "The mix is to be %s. The reservoir should hold %s of plain water: let in %s more.",
             want, is, differ);
    } else {
        step(w, NULL,
             "The mix is to be %s. The reservoir should hold %s of plain water: draw off %s into "
             "cans, for topping up or the next fill.",
             want, is, differ);
    }
}

static double base_ec(const struct writing *w)
{
    const struct reservoir_state *r = &w->s->reservoir;

    return r->at_s && !r->holds_mix && r->body.volume_l > 0 ? r->body.ec_ms_cm
                                                            : w->room->source.ec_ms_cm;
}

static void sheet_change(const struct writing *w)
{
    const struct reservoir *v = &w->room->reservoir;
    struct text names = {0};
    double poured_l = 0;
    char a[QUANTITY_TEXT_MAX];
    char b[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < w->t->n_jobs; i++) {
        poured_l += w->t->job[i].volume_l;
    }
    list_names(w, &names);
    step(w, NULL, "Close the shut-off valve of every container.");
    step_water(w);
    step_doses(w, w->t->mix_l, w->t->mix_ec_ms_cm - base_ec(w), "the reservoir");
    step(w, acid,
         "Stir, wait ten minutes and measure: EC %s (within %.0f %%), pH %.1f (within %.1f).",
         strength(a, w, w->t->mix_ec_ms_cm), w->room->tolerance_pct / 2, v->ph_target,
         v->ph_tolerance);
    step(w, disposal, "Drain %s.", text_str(&names));
    if (w->t->n_jobs == 1) {
        step(w, drown,
             "Open its shut-off and let the float fill it to the float line: %s, about %.0f min.",
             litres(a, w, poured_l), ceil(poured_l / v->flow_l_min));
    } else {
        step(w, drown,
             "Open their shut-offs one after another and let the floats fill them to the float "
             "line: %s together, about %.0f min.",
             litres(a, w, poured_l), ceil(poured_l / v->flow_l_min));
    }
    step(w, disposal,
         "Close them again. Drain what is left in the reservoir (%s or so), and rinse it and the "
         "line.",
         litres(b, w, fmax(0, w->t->mix_l - poured_l)));
    step(w, wet_hands,
         "Fill the reservoir with plain water, set its pH to %.1f, and open every shut-off.",
         v->ph_target);
    step_tell(w, "ec=… ph=… volume=… added=…");
    text_deinit(&names);
}

static void sheet_start(const struct writing *w)
{
    const struct job *j = &w->t->job[0];
    struct text names = {0};
    char v[QUANTITY_TEXT_MAX];
    char ec[QUANTITY_TEXT_MAX];

    list_names(w, &names);
    step(w, heavy, "For each of %s: put in %s of plain water, up to the start line.",
         text_str(&names), litres(v, w, j->volume_l));
    step_doses(w, j->volume_l, w->t->mix_ec_ms_cm - w->room->source.ec_ms_cm, "each");
    step(w, acid, "Stir and measure: EC %s; set the pH to %.1f.",
         strength(ec, w, w->t->mix_ec_ms_cm), w->room->reservoir.ph_target);
    step(w, NULL,
         "Set the seedling in, so that the pot is just wetted. Leave the shut-off open; the float "
         "stays shut until the level is down to it.");
    step_tell(w, "ec=… ph=…");
    text_deinit(&names);
}

static void sheet_check(const struct writing *w)
{
    char v[QUANTITY_TEXT_MAX];
    char line[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < w->t->n_jobs && i < NAMES_SHOWN; i++) {
        size_t at = w->t->job[i].subject.at;
        struct forecast now = forecast_container(w->room, w->s, at, w->now_s);

        step(w, NULL,
             "Look into %s: %s is expected, the float line is at %s. Does the float let in "
             "water?",
             name_of(w, i), litres(v, w, now.body.volume_l),
             litres(line, w, w->room->container[at].float_volume_l));
    }
    step_tell(w, w->t->n_jobs == 1 ? "float=yes (or float=no, or volume=…)"
                                   : "A1 float=yes A2 float=no volume=…");
}

static void sheet_bump(const struct writing *w)
{
    char ec[QUANTITY_TEXT_MAX];
    char is[QUANTITY_TEXT_MAX];
    char v[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < w->t->n_jobs && i < NAMES_SHOWN; i++) {
        const struct job *j = &w->t->job[i];
        struct forecast now = forecast_container(w->room, w->s, j->subject.at, w->now_s);
        char into[ROOM_NAME_MAX + 1];

        (void)snprintf(into, sizeof into, "%s", name_of(w, i));
        step(w, NULL, "%s: from about %s to %s in %s.", into, strength(is, w, now.body.ec_ms_cm),
             strength(ec, w, j->ec_ms_cm), litres(v, w, now.body.volume_l));
        step_doses(w, now.body.volume_l, j->ec_ms_cm - now.body.ec_ms_cm, into);
    }
    step(w, drown,
         "Stir gently, wait ten minutes, measure. Add nothing but concentrate: the level "
         "must not rise.");
    step_tell(w, w->t->n_jobs == 1 ? "ec=…" : "A1 ec=… A2 ec=…");
}

static void sheet_ph(const struct writing *w)
{
    const struct job *j = &w->t->job[0];
    bool tank = j->subject.kind == SUBJECT_RESERVOIR;
    double is = tank ? w->s->reservoir.ph.value : w->s->container[j->subject.at].ph.value;
    double lo = w->room->reservoir.ph_target - w->room->reservoir.ph_tolerance;
    double hi = w->room->reservoir.ph_target + w->room->reservoir.ph_tolerance;
    char v[QUANTITY_TEXT_MAX];

    if (!tank) {
        struct forecast now = forecast_container(w->room, w->s, j->subject.at, w->now_s);
        const struct crop *crop = &w->room->crop[w->s->container[j->subject.at].crop];

        lo = crop->stage[now.stage].ph_min;
        hi = crop->stage[now.stage].ph_max;
    }
    step(w, acid,
         "%s holds about %s at pH %.1f; it should be %.1f to %.1f. Stir in a very little %s.",
         name_of(w, 0), litres(v, w, j->volume_l), is, lo, hi, is > hi ? "acid" : "base");
    step(w, NULL,
         "Wait ten minutes, measure, and repeat until it is right. Note how much it took.");
    step_tell(w, "ph=… PRODUCT=…mL");
}

static void sheet_read(const struct writing *w)
{
    char ec[QUANTITY_TEXT_MAX];
    char v[QUANTITY_TEXT_MAX];

    step(w, NULL, "Rinse the meters with plain water between two containers.");
    for (size_t i = 0; i < w->t->n_jobs && i < NAMES_SHOWN; i++) {
        struct subject at = w->t->job[i].subject;
        struct liquid body = at.kind == SUBJECT_RESERVOIR
                                 ? forecast_reservoir(w->room, w->s, w->now_s)
                                 : forecast_container(w->room, w->s, at.at, w->now_s).body;

        step(w, NULL, "Measure EC and pH of %s; expected are %s in %s.", name_of(w, i),
             strength(ec, w, body.ec_ms_cm), litres(v, w, body.volume_l));
    }
    step_tell(w, w->t->n_jobs == 1 ? "ec=… ph=…" : "A1 ec=… ph=… A2 ec=… ph=…");
}

static void sheet_fill(const struct writing *w)
{
    const struct reservoir *v = &w->room->reservoir;
    char more[QUANTITY_TEXT_MAX];
    char full[QUANTITY_TEXT_MAX];
    char ec[QUANTITY_TEXT_MAX];
    double rate = w->room->source.rate_l_h;

    if (w->s->reservoir.holds_mix) {
        step(w, disposal, "Close every shut-off, empty the reservoir, rinse it and the line.");
    }
    step(w, heavy,
         "Let in about %s of plain water, up to %s. From the source alone it takes %.1f h.",
         litres(more, w, w->t->job[0].volume_l), litres(full, w, v->capacity_l),
         rate > 0 ? w->t->job[0].volume_l / rate : 0);
    step(w, acid, "Measure: EC near %s; set the pH to %.1f (within %.1f).",
         strength(ec, w, w->room->source.ec_ms_cm), v->ph_target, v->ph_tolerance);
    step(w, NULL, "Open every shut-off of a container that grows something.");
    step_tell(w, "volume=… ec=… ph=…");
}

static void sheet_calibrate(const struct writing *w)
{
    const struct meter *m = &w->room->meter[w->t->job[0].subject.at];

    step(w, NULL, "Rinse %s, and let it and its standard come to one temperature.", m->name);
    if (m->kind == METER_PH) {
        step(w, NULL,
             "Set it in a pH 7 buffer, rinse, then in a pH 4 buffer. Use fresh buffer and "
             "throw it away.");
        step(w, NULL,
             "A slope of 85 to 105 %% and an offset within 30 mV are good; else clean or "
             "replace the probe.");
    } else {
        step(w, NULL,
             "Set it in a standard of 1413 uS/cm at 25 °C, or of its value at the "
             "temperature of the day.");
    }
    step_tell(w, m->kind == METER_PH ? "slope=…% offset=…mV" : "slope=…%");
}

static void sheet_care(const struct writing *w)
{
    static const char *const what[CARE_KIND_N] = {
        [CARE_FLOAT] =
            "Lift and drop the float: it must close tight and open freely. Wipe off salt.",
        [CARE_VALVE] = "Close and open the shut-off once, and look for drips.",
        [CARE_FILTER] = "Close the line, rinse or replace the filter, and look for drips.",
        [CARE_RESERVOIR] = "Look for algae and slime, wipe the walls, and keep the lid on.",
        [CARE_READ] = "Measure.",
    };
    struct text names = {0};

    list_names(w, &names);
    step(w, NULL, "%s", text_str(&names));
    step(w, wet_hands, "%s", what[w->t->care]);
    step_tell(w, "");
    text_deinit(&names);
}

static void sheet_reorder(const struct writing *w)
{
    step(w, NULL, "Order %s: %s.", name_of(w, 0), w->t->why);
    step(w, NULL, "When it is ordered: tarn ack %lld", (long long)w->t->id);
    step(w, NULL, "When it is there: tarn record stock-received %s amount=…", name_of(w, 0));
}

static void sheet_harvest(const struct writing *w)
{
    struct text names = {0};

    list_names(w, &names);
    step(w, NULL, "Close the shut-off of %s, and take the plants out.", text_str(&names));
    step(w, disposal, "Drain, take out every root, scrub, rinse and let it dry.");
    step(w, NULL, "See whether the float closes tight before the next start.");
    step_tell(w, w->t->n_jobs == 1 ? "yield=…g" : "A1 yield=…g A2 yield=…g");
    text_deinit(&names);
}

void worksheet_make(const struct room *room, const struct state *s, const struct task *t,
                    int64_t now_s, struct worksheet *out)
{
    static void (*const sheet[TASK_KIND_N])(const struct writing *) = {
        [TASK_START] = sheet_start,     [TASK_CHECK] = sheet_check,
        [TASK_CHANGE] = sheet_change,   [TASK_BUMP] = sheet_bump,
        [TASK_PH] = sheet_ph,           [TASK_READ] = sheet_read,
        [TASK_FILL] = sheet_fill,       [TASK_CALIBRATE] = sheet_calibrate,
        [TASK_CARE] = sheet_care,       [TASK_REORDER] = sheet_reorder,
        [TASK_HARVEST] = sheet_harvest,
    };
    struct writing w = {.room = room, .s = s, .t = t, .now_s = now_s, .out = out};

    *out = (struct worksheet){0};
    sheet[t->kind](&w);
}
