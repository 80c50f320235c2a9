#include "tests/season/chores.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ML_IN_L 1000.0

static void take_product(struct errand *e, const char *name, double ml, struct acid_sheet *out)
{
    struct subject s = room_find(e->g->room, name);
    const struct product *p = s.kind == SUBJECT_PRODUCT ? &e->g->room->product[s.at] : NULL;

    if (p && (p->kind == PRODUCT_ACID || p->kind == PRODUCT_BASE)) {
        out->product = s.at;
        out->ml = ml;
    }
}

/* "… it should take about 5.1 mL of acid-down (4.2 mL to 6.3 mL), …", where the step has no
 * fields. */
static void take_words(struct errand *e, const char *text, struct acid_sheet *out)
{
    static const char about[] = "it should take about ";
    const char *at = strstr(text, about);
    char name[NAME_LEN_MAX + 1];
    char unit[8];
    char *end;
    double ml;

    if (!at) {
        return;
    }
    ml = strtod(at + sizeof about - 1, &end);
    if (sscanf(end, " %7s of %31s", unit, name) == 2) {
        take_product(e, name, strcmp(unit, "L") == 0 ? ML_IN_L * ml : ml, out);
    }
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
    if (product) {
        take_product(e, product, live_daemon_number(step, "amount_ml"), out);
    } else {
        take_words(e, set, out);
    }
}

static void take_step(struct errand *e, const json_t *step, struct sheet *out)
{
    const char *text = live_daemon_text(step, "text");
    const char *set = strstr(text, "Set the pH to ");

    if (strstr(text, "Fill the reservoir with plain water")) {
        out->fill = (struct acid_sheet){e->g->room->reservoir.ph_target, SIZE_MAX, 0};
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
        .acid = {e->g->room->reservoir.ph_target, SIZE_MAX, 0}
    };
    json_array_foreach(json_object_get(shown, "worksheet"), i, step)
    {
        take_step(e, step, out);
    }
    json_decref(shown);
    return shown != NULL;
}
