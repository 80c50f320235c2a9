#include "daemon/core/sheet/worksheet.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

const char *const step_does_words[] = {
    NULL,    "close",  "open", "let-in",    "draw-off",  "rinse", "stir",   "measure",  "ph",
    "drain", "refill", "dip",  "pour-away", "pour-back", "bump",  "set-in", "take-out", "tell"};
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

void worksheet_stirs(struct worksheet *w, const struct step_dose *dose)
{
    last(w)->stirs = *dose;
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
    s->vessel[s->n_vessels] = (struct step_vessel){
        .volume_l = volume_l, .ec_ms_cm = ec_ms_cm, .from_ms_cm = NAN, .dip_l = NAN, .away_l = NAN};
    (void)snprintf(s->vessel[s->n_vessels].name, sizeof s->vessel->name, "%s", name);
    s->n_vessels++;
}

static struct step_vessel *last_vessel(struct worksheet *w)
{
    return &last(w)->vessel[last(w)->n_vessels - 1];
}

void worksheet_dips(struct worksheet *w, double from_ms_cm, double dip_l, double away_l)
{
    struct step_vessel *v = last_vessel(w);

    v->from_ms_cm = from_ms_cm;
    v->dip_l = dip_l;
    v->away_l = away_l;
}

void worksheet_vessel_stirs(struct worksheet *w, const struct step_dose *dose)
{
    struct step_vessel *v = last_vessel(w);

    v->dose = mem_grow(v->dose, &v->cap_doses, v->n_doses + 1, sizeof *v->dose);
    v->dose[v->n_doses++] = *dose;
}

void worksheet_head(struct worksheet *w, const char *text)
{
    worksheet_cell(w, text);
    last(w)->n_columns++;
}

void worksheet_cell(struct worksheet *w, const char *text)
{
    struct step *s = last(w);

    /* An array of pointers is what is meant. NOLINTNEXTLINE(bugprone-sizeof-expression) */
    s->cell = mem_grow(s->cell, &s->cap_cells, s->n_cells + 1, sizeof *s->cell);
    s->cell[s->n_cells++] = mem_strdup(text);
}

void worksheet_doses(struct worksheet *w, const char *product, double amount_ml)
{
    last(w)->product = mem_strdup(product);
    last(w)->amount_ml = amount_ml;
}

static void step_deinit(struct step *s)
{
    for (size_t i = 0; i < s->n_vessels; i++) {
        free(s->vessel[i].dose);
    }
    for (size_t i = 0; i < s->n_cells; i++) {
        free(s->cell[i]);
    }
    free(s->text);
    free(s->caution);
    free(s->product);
    free(s->vessel);
    free(s->cell);
}

void worksheet_deinit(struct worksheet *w)
{
    for (size_t i = 0; i < w->n; i++) {
        step_deinit(&w->step[i]);
    }
    free(w->step);
    *w = (struct worksheet){0};
}
