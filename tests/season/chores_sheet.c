#include "tests/season/chores.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ML_IN_L 1000.0

static void take_product(struct errand *e, const char *name, double ml, struct acid_sheet *out)
{
    struct subject s = room_find(e->g->room, name);
    const struct product *p = s.kind == SUBJECT_PRODUCT ? &e->g->room->product[s.at] : NULL;

    if (p && (p->kind == PRODUCT_ACID || p->kind == PRODUCT_BASE)) {
        /* Some of it may come before the nutrients, in a step of its own. */
        out->ml = out->product == s.at ? out->ml + ml : ml;
        out->product = s.at;
    }
}

/* What follows some words, in mL; 0 where they do not stand there. */
static double ml_after(const char *text, const char *words)
{
    const char *at = strstr(text, words);
    char unit[8] = "";
    char *end;
    double ml;

    if (!at) {
        return 0;
    }
    ml = strtod(at + strlen(words), &end);
    (void)sscanf(end, " %7s", unit);
    return strcmp(unit, "L") == 0 ? ML_IN_L * ml : ml;
}

/* The pH that follows some words; 0 where they do not stand there. */
static double ph_after(const char *text, const char *words)
{
    const char *at = strstr(text, words);

    return at ? strtod(at + strlen(words), NULL) : 0;
}

static void take_ph(struct errand *e, const json_t *step, const char *set, struct acid_sheet *out)
{
    static const char today[] = ". To ";
    const char *product = json_string_value(json_object_get(step, "product"));
    const char *step_to = strstr(set, today);

    out->ph = strtod(strpbrk(set, "0123456789"), NULL);
    if (step_to &&
        strstr(set, " today and no further")) { /* half a unit a day is what roots bear */
        out->ph = strtod(step_to + sizeof today - 1, NULL);
    }
    out->half_ph = ph_after(set, "it should show about ");
    out->less_ph = ph_after(set, "Where it shows ");
    out->quick_ph = ph_after(set, "only half of that where it shows ");
    if (product) {
        take_product(e, product, live_daemon_number(step, "amount_ml"), out);
        out->last_ml = fmax(0, ml_after(set, "it should take about ") - out->ml);
    }
    out->cans_l = ml_after(set, "That is with ") / ML_IN_L;
    out->each_ml =
        out->cans_l > 0 ? ml_after(set, "from the source instead, stir in ") / out->cans_l : 0;
    out->half_unit_ml[0] = ml_after(set, "For half a unit down it takes about ");
    out->half_unit_ml[1] = ml_after(set, "For half a unit up it takes about ");
}

/* "Acid first: …", with or without a dose. */
static void take_first(struct errand *e, const json_t *step, struct acid_sheet *out)
{
    const char *product = json_string_value(json_object_get(step, "product"));
    struct subject s = product ? room_find(e->g->room, product) : (struct subject){0};

    if (s.kind == SUBJECT_PRODUCT) {
        out->first = s.at;
        out->first_ml = live_daemon_number(step, "amount_ml");
        out->first_ph = ph_after(live_daemon_text(step, "text"), "and measure: at ");
    }
}

static void take_step(struct errand *e, const json_t *step, struct sheet *out)
{
    static const char first[] = "Acid first: ";
    const char *text = live_daemon_text(step, "text");
    const char *set = strstr(text, "Set the pH to ");

    if (strstr(text, "Fill the reservoir with plain water")) {
        out->fill = (struct acid_sheet){.ph = e->g->room->reservoir.ph_target, .product = SIZE_MAX};
    }
    if (strcmp(live_daemon_text(step, "does"), "let-in") == 0) {
        (out->fill.ph > 0 ? &out->fill : &out->acid)->full_l = live_daemon_number(step, "to_l");
    }
    if (strncmp(text, first, strlen(first)) == 0) {
        take_first(e, step, &out->acid);
    }
    if (set) {
        take_ph(e, step, set, out->fill.ph > 0 ? &out->fill : &out->acid);
    }
    out->by_hand = out->by_hand || strstr(text, "clean jug or bucket");
    out->is_there = out->is_there || strstr(text, "is in the reservoir already");
    out->leaves_rest = out->leaves_rest || strstr(text, "Leave what is left");
}

bool chores_sheet(struct errand *e, struct sheet *out)
{
    json_t *shown = live_daemon_ask(
        e->g->link, "show", json_pack("{s:O}", "what", json_object_get(e->task, "id")), &e->g->err);
    size_t i;
    json_t *step;

    *out = (struct sheet){
        .acid = {.ph = e->g->room->reservoir.ph_target, .product = SIZE_MAX}
    };
    json_array_foreach(json_object_get(shown, "worksheet"), i, step)
    {
        take_step(e, step, out);
    }
    json_decref(shown);
    return shown != NULL;
}
