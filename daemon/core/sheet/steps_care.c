/* Sheets of looking, measuring and keeping in order. */
#include "daemon/core/chem/standards.h"
#include "daemon/core/sheet/sheet_writer.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"

#include <stdio.h>

void sheet_check(const struct sheet_writer *w)
{
    char is[QUANTITY_BOTH_MAX];
    char line[QUANTITY_BOTH_MAX];

    for (size_t i = 0; i < w->t->n_jobs && i < SHEET_NAMES_SHOWN; i++) {
        size_t at = w->t->job[i].subject.at;
        struct forecast now = forecast_container(w->room, w->s, at, w->now_s);

        sheet_step(w, NULL,
                   "Look into %s: %s is expected, the float line is at %s. Does the float let in "
                   "water?",
                   sheet_name(w, i), sheet_litres(is, w, now.body.volume_l),
                   sheet_litres(line, w, w->room->container[at].float_volume_l));
    }
    sheet_tell(w, w->t->n_jobs == 1 ? "float=yes (or float=no, or volume=…)"
                                    : "A1 float=yes A2 float=no volume=…");
}

void sheet_read(const struct sheet_writer *w)
{
    char ec[QUANTITY_TEXT_MAX];
    char litres[QUANTITY_BOTH_MAX];
    bool levels = false;

    sheet_step(w, NULL, "Rinse the meters with plain water between two containers.");
    for (size_t i = 0; i < w->t->n_jobs && i < SHEET_NAMES_SHOWN; i++) {
        struct subject at = w->t->job[i].subject;
        bool tank = at.kind == SUBJECT_RESERVOIR;
        bool falls = !tank && !w->s->container[at.at].float_s; /* its level says when it floats */
        struct liquid body = tank ? forecast_reservoir(w->room, w->s, w->now_s)
                                  : forecast_container(w->room, w->s, at.at, w->now_s).body;

        levels = levels || falls;
        sheet_step(w, NULL, "Measure EC%s of %s; expected are %s in %s.",
                   falls ? ", pH and the level" : " and pH", sheet_name(w, i),
                   sheet_strength(ec, w, body.ec_ms_cm), sheet_litres(litres, w, body.volume_l));
    }
    if (w->t->n_jobs == 1) {
        sheet_tell(w, levels ? "ec=… ph=… volume=…" : "ec=… ph=…");
    } else {
        sheet_tell(w, levels ? "A1 ec=… ph=… volume=… A2 ec=… ph=…" : "A1 ec=… ph=… A2 ec=… ph=…");
    }
}

/* What a standard reads at the temperatures of a day. */
static void add_by_warmth(const struct sheet_writer *w, double (*reads)(int which, double temp_c),
                          int which, const char *fmt, struct text *out)
{
    static const double day_c[] = {15, 20, 25, 30};
    char temp[QUANTITY_BOTH_MAX];
    char value[16];

    for (size_t i = 0; i < sizeof day_c / sizeof *day_c; i++) {
        (void)snprintf(value, sizeof value, *fmt == 'p' ? "%.2f" : "%.0f", reads(which, day_c[i]));
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

static void calibrate_ph(const struct sheet_writer *w)
{
    struct text seven = {0};
    struct text four = {0};

    add_by_warmth(w, buffer_reads, BUFFER_7_00, "ph", &seven);
    add_by_warmth(w, buffer_reads, BUFFER_4_01, "ph", &four);
    sheet_step(w, NULL, "Set it in fresh pH 7 buffer until it stands still. The buffer is %s.",
               text_str(&seven));
    sheet_step(w, NULL,
               "Rinse, then the same in pH 4 buffer: %s. Throw both away; never pour them back.",
               text_str(&four));
    sheet_step(w, NULL,
               "The slope is what it shows; or reckon it: the mV in pH 4 less the mV in pH 7, over "
               "3 times %.1f mV at 25 °C. 95 to 105 %% is good, 85 to 95 %% wants cleaning; less, "
               "or more than 30 mV in pH 7, and the probe is done for.",
               standard_nernst_mv(25));
    text_deinit(&seven);
    text_deinit(&four);
}

static void calibrate_ec(const struct sheet_writer *w)
{
    struct text bottle = {0};

    add_by_warmth(w, bottle_reads, KCL_0_01_M, "ec", &bottle);
    sheet_step(w, NULL,
               "Set it in a fresh standard of 1413 uS/cm. A meter that compensates shows 1413; one "
               "that does not shows %s.",
               text_str(&bottle));
    sheet_step(w, NULL,
               "The slope is what it showed before you set it right, as a share of what it should: "
               "within 10 %% serves; else clean the cell.");
    text_deinit(&bottle);
}

void sheet_calibrate(const struct sheet_writer *w)
{
    const struct meter *m = &w->room->meter[w->t->job[0].subject.at];

    sheet_step(w, NULL, "Rinse %s, and let it and its standard come to one temperature.", m->name);
    if (m->kind == METER_PH) {
        calibrate_ph(w);
    } else {
        calibrate_ec(w);
    }
    sheet_tell(w, m->kind == METER_PH ? "slope=…% offset=…mV temp=…" : "slope=…% temp=…");
}

void sheet_care(const struct sheet_writer *w)
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

    sheet_names(w, &names);
    sheet_step(w, NULL, "%s", text_str(&names));
    sheet_step(w, sheet_wet_hands, "%s", what[w->t->care]);
    sheet_tell(w, "");
    text_deinit(&names);
}

void sheet_reorder(const struct sheet_writer *w)
{
    sheet_step(w, NULL, "Order %s: %s.", sheet_name(w, 0), w->t->why);
    sheet_step(w, NULL, "When it is ordered: tarn ack %lld", (long long)w->t->id);
    sheet_step(w, NULL, "When it is there: tarn record stock-received %s amount=…",
               sheet_name(w, 0));
}

void sheet_harvest(const struct sheet_writer *w)
{
    struct text names = {0};

    sheet_names(w, &names);
    sheet_step(w, NULL, "Close the shut-off of %s, and take the plants out.", text_str(&names));
    sheet_step(w, sheet_disposal, "Drain, take out every root, scrub, rinse and let it dry.");
    sheet_step(w, NULL, "See whether the float closes tight before the next start.");
    sheet_tell(w, w->t->n_jobs == 1 ? "yield=…g" : "A1 yield=…g A2 yield=…g");
    text_deinit(&names);
}

/* All that is wrong with the subject: what was seen, and what to look at first. */
void sheet_look(const struct sheet_writer *w)
{
    struct subject subject = w->t->job[0].subject;
    struct alarms alarms;

    alarms_derive(w->room, w->s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        if (a->subject.kind == subject.kind && a->subject.at == subject.at) {
            sheet_step(w, a->kind == ALARM_HIGH ? sheet_drown : NULL,
                       "%c%s (%.0f %% sure). Look first: %s.",
                       a->says[0] - ('a' <= a->says[0] && a->says[0] <= 'z' ? 32 : 0), a->says + 1,
                       a->sure_pct, a->look);
        }
    }
    sheet_step(w, sheet_wet_hands, "Put right what you find, and measure again.");
    sheet_tell(w, "--note …");
    alarms_deinit(&alarms);
}
