#include "daemon/core/chem/saturation.h"
#include "daemon/core/state/waters.h"
#include "daemon/core/tell/mix_answer.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#define WATER_MOST_FRAC 0.25 /* of the strength wanted; common practice, no source */

static void add_note(struct mix_answer *a, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));

static void add_note(struct mix_answer *a, const char *fmt, ...)
{
    va_list ap;

    if (a->n_notes == MIX_ANSWER_NOTES_MAX) {
        return;
    }
    va_start(ap, fmt);
    (void)vsnprintf(a->note[a->n_notes++], MIX_ANSWER_NOTE_LEN, fmt, ap);
    va_end(ap);
}

/* What plants leave of it builds up, and reads like food. */
static void note_much_of_the_water(const struct room *room, double water_ms_cm,
                                   struct mix_answer *a)
{
    char water[QUANTITY_TEXT_MAX];
    char all[QUANTITY_TEXT_MAX];

    if (water_ms_cm > WATER_MOST_FRAC * a->result.ec_ms_cm) {
        add_note(a,
                 "%s of the %s is the water's own, more than a quarter: what plants leave of it "
                 "builds up and reads like food. Change it sooner, or blend it with low-EC water.",
                 quantity_format(water, QUANTITY_EC, water_ms_cm, &room->units),
                 quantity_format(all, QUANTITY_EC, a->result.ec_ms_cm, &room->units));
    }
}

static void note_acid_first(const struct room *room, const struct state *s, struct mix_answer *a)
{
    struct dissolved water = waters_source(room, s);

    if (waters_known(&water) && water.alkalinity_meq_l > SATURATION_ALKALINE_MEQ_L) {
        add_note(a,
                 "The water holds %.1f meq/L of alkalinity: stir in half of the acid before the "
                 "nutrients, or they cloud in it.",
                 water.alkalinity_meq_l);
    }
}

static void note_what_falls_out(const struct room *room, const struct recipe *r,
                                struct mix_answer *a)
{
    double ph = room->reservoir.ph_target + room->reservoir.ph_tolerance;
    unsigned solids =
        nutrients_none(&a->feed) ? 0 : saturation_of_solution(&a->feed, NULL, ph) & ~r->accepted;

    for (int i = 0; i < SOLID_COUNT; i++) {
        if (solids & SOLID_BIT(i)) {
            add_note(a,
                     "At this strength and pH %.1f something would fall out: %s. Where it stays "
                     "clear, 'accepted: [%s]' in the recipe says so.",
                     ph, solid_says[i], solid_words[i]);
        }
    }
}

void mix_notes_write(const struct room *room, const struct state *s, const struct mix_question *q,
                     struct mix_answer *out)
{
    bool of_source = !isfinite(q->water_ms_cm);
    bool into_water = out->kind == MIX_ANSWER_FULL || out->kind == MIX_ANSWER_DOSE;

    out->n_notes = 0;
    if (into_water) {
        note_much_of_the_water(room, of_source ? room->source.ec_ms_cm : q->water_ms_cm, out);
    }
    if (into_water && of_source) {
        note_acid_first(room, s, out);
    }
    if (q->recipe >= 0 && out->kind != MIX_ANSWER_DILUTE) {
        note_what_falls_out(room, &room->recipe[q->recipe], out);
    }
}
