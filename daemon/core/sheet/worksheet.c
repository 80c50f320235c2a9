#include "daemon/core/sheet/worksheet.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

const char *const step_does_words[] = {
    NULL,    "close",  "open", "let-in",    "draw-off",  "rinse",  "stir",     "measure", "ph",
    "drain", "refill", "dip",  "pour-away", "pour-back", "set-in", "take-out", "tell"};
const char *const step_into_words[] = {NULL, "reservoir", "jug", "vessels"};
_Static_assert(sizeof step_does_words / sizeof *step_does_words == STEP_DOES_N, "a word each");
_Static_assert(sizeof step_into_words / sizeof *step_into_words == STEP_INTO_N, "a word each");

void worksheet_add(struct worksheet *w, const char *text, const char *caution)
{
    w->step = mem_grow(w->step, &w->cap, w->n + 1, sizeof *w->step);
    w->step[w->n++] = (struct step){.text = mem_strdup(text),
                                    .caution = mem_strdup(caution),
                                    .volume_l = NAN,
                                    .to_l = NAN,
                                    .ec_ms_cm = NAN};
}

static struct step *last(struct worksheet *w)
{
    return &w->step[w->n - 1];
}

void worksheet_does(struct worksheet *w, enum step_does does, enum step_into into)
{
    last(w)->does = does;
    last(w)->into = into;
}

void worksheet_stirs(struct worksheet *w, const char *product, double amount, bool dry, int parts,
                     double water_ml)
{
    last(w)->stirs = mem_strdup(product);
    last(w)->amount = amount;
    last(w)->dry = dry;
    last(w)->parts = parts;
    last(w)->water_ml = water_ml;
}

void worksheet_moves(struct worksheet *w, double volume_l, double to_l)
{
    last(w)->volume_l = volume_l;
    last(w)->to_l = to_l;
}

void worksheet_tells(struct worksheet *w, unsigned figures)
{
    last(w)->tells = figures;
}

void worksheet_shows(struct worksheet *w, double ec_ms_cm, double ec_lo, double ec_hi)
{
    last(w)->ec_ms_cm = ec_ms_cm;
    last(w)->ec_lo = ec_lo;
    last(w)->ec_hi = ec_hi;
}

void worksheet_vessel(struct worksheet *w, const char *name, double volume_l, double ec_ms_cm)
{
    struct step *s = last(w);

    s->vessel = mem_grow(s->vessel, &s->cap_vessels, s->n_vessels + 1, sizeof *s->vessel);
    (void)snprintf(s->vessel[s->n_vessels].name, sizeof s->vessel->name, "%s", name);
    s->vessel[s->n_vessels].ec_ms_cm = ec_ms_cm;
    s->vessel[s->n_vessels++].volume_l = volume_l;
}

void worksheet_doses(struct worksheet *w, const char *product, double amount_ml)
{
    last(w)->product = mem_strdup(product);
    last(w)->amount_ml = amount_ml;
}

void worksheet_deinit(struct worksheet *w)
{
    for (size_t i = 0; i < w->n; i++) {
        free(w->step[i].text);
        free(w->step[i].caution);
        free(w->step[i].product);
        free(w->step[i].stirs);
        free(w->step[i].vessel);
    }
    free(w->step);
    *w = (struct worksheet){0};
}
