#include "tests/season/chores.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SCARCE 0.75 /* less water than this of a mix is not worth making */

/* What to stir in, by the daemon: into water, or into a solution that is there. */
static bool ask_doses(struct errand *e, size_t recipe, double volume_l, double ec_ms_cm,
                      const char *base_key, double base_ms_cm, struct doses *out)
{
    json_t *params;
    json_t *answer;
    json_t *dose;
    char volume[32];
    char ec[32];
    char base[32];
    size_t k;

    *out = (struct doses){{0}};
    if (base_ms_cm >= ec_ms_cm) {
        return true;
    }
    (void)snprintf(volume, sizeof volume, "%.3f L", volume_l);
    (void)snprintf(ec, sizeof ec, "%.4f mS/cm", ec_ms_cm);
    (void)snprintf(base, sizeof base, "%.4f mS/cm", base_ms_cm);
    params = json_pack("{s:s,s:s,s:s,s:s}", "recipe", e->g->room->recipe[recipe].name, "volume",
                       volume, "ec", ec, base_key, base);
    answer = live_daemon_ask(e->g->link, "mix", params, &e->g->err);
    if (!answer) {
        return false;
    }
    json_array_foreach(json_object_get(answer, "doses"), k, dose)
    {
        if (k < ROOM_DOSES_MAX) {
            out->amount[k] = live_daemon_number(dose, "amount");
        }
    }
    json_decref(answer);
    return true;
}

static size_t recipe_of(const struct errand *e)
{
    return room_find(e->g->room, live_daemon_text(e->task, "recipe")).at;
}

/* What a task's sheet says of its solution. */
struct sheet {
    double ph; /* that it is to be set to */
    bool by_hand, is_there, leaves_rest;
};

static bool read_sheet(struct errand *e, struct sheet *out)
{
    json_t *shown = live_daemon_ask(
        e->g->link, "show", json_pack("{s:O}", "what", json_object_get(e->task, "id")), &e->g->err);
    size_t i;
    json_t *step;

    *out = (struct sheet){.ph = e->g->room->reservoir.ph_target};
    json_array_foreach(json_object_get(shown, "worksheet"), i, step)
    {
        const char *text = live_daemon_text(step, "text");
        const char *set = strstr(text, "Set the pH to ");

        out->ph = set ? strtod(strpbrk(set, "0123456789"), NULL) : out->ph;
        out->by_hand = out->by_hand || strstr(text, "clean jug or bucket");
        out->is_there = out->is_there || strstr(text, "is in the reservoir already");
        out->leaves_rest = out->leaves_rest || strstr(text, "Leave what is left");
    }
    json_decref(shown);
    return shown != NULL;
}

enum chore chore_start(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    struct sheet sheet;

    if (!read_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;
        const struct container *c = &e->g->room->container[i];
        struct doses d;
        struct shown shown;
        json_t *figures;

        if (!ask_doses(e, recipe, c->start_volume_l, ec, "water", e->g->room->source.ec_ms_cm,
                       &d)) {
            return CHORE_FAILED;
        }
        if (!hands_have(h, recipe, &d)) {
            return k ? CHORE_DONE : errand_buy_first(e, recipe, &d);
        }
        shown = hands_start(h, i, ec, sheet.ph, &d);
        figures = errand_figures(e, c->name);
        errand_tell(figures, "ec_ms_cm", shown.ec_ms_cm);
        errand_tell(figures, "ph", shown.ph);
        errand_tell_amounts(e, figures, recipe);
    }
    return CHORE_DONE;
}

/* Is there another mix to be made in the reservoir this morning? */
static bool another_mix(const struct errand *e)
{
    size_t i;
    json_t *t;

    json_array_foreach(json_object_get(e->list, "tasks"), i, t)
    {
        if (t != e->task && strcmp(live_daemon_text(t, "kind"), "change") == 0) {
            return true;
        }
    }
    return false;
}

static enum chore make_mix(struct errand *e, size_t recipe, double ph)
{
    struct hands *h = e->g->h;
    double mix_l = live_daemon_number(e->task, "volume_l");
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    double held_l = h->t->holds_mix ? h->t->reservoir_l : 0;
    struct doses d = hands_by_label(h, recipe, mix_l, ec - e->g->room->source.ec_ms_cm);
    struct shown shown;
    double base;

    if (hands_water_l(h) + held_l < SCARCE * mix_l) {
        return errand_put_off(e, 1, "there is not enough water yet");
    }
    if (!hands_have(h, recipe, &d)) {
        return errand_buy_first(e, recipe, &d);
    }
    base = hands_bring(h, mix_l, &mix_l);
    if (!ask_doses(e, recipe, mix_l, ec, "water", base, &d)) {
        return CHORE_FAILED;
    }
    shown = hands_mix(h, recipe, ec, ph, &d);
    errand_tell(errand_figures(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    errand_tell(errand_figures(e, NULL), "ph", shown.ph);
    errand_tell(errand_figures(e, NULL), "volume_l",
                fmin(round(shown.volume_l), e->g->room->reservoir.capacity_l));
    errand_tell_amounts(e, errand_figures(e, NULL), recipe);
    return CHORE_DONE;
}

static enum chore change_by_hand(struct errand *e, size_t recipe, double ph)
{
    struct hands *h = e->g->h;
    size_t i = errand_subject(e, 0).at;
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    struct doses d;
    struct shown shown;

    if (!ask_doses(e, recipe, live_daemon_number(e->task, "volume_l"), ec, "water",
                   e->g->room->source.ec_ms_cm, &d)) {
        return CHORE_FAILED;
    }
    if (!hands_have(h, recipe, &d)) {
        return errand_buy_first(e, recipe, &d);
    }
    shown = hands_pour(h, i, recipe, ec, ph, &d);
    errand_tell(errand_figures(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    errand_tell_amounts(e, errand_figures(e, NULL), recipe);
    return CHORE_DONE;
}

enum chore chore_change(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    enum chore rc = CHORE_DONE;
    struct sheet sheet;

    if (!read_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    if (sheet.by_hand) {
        return change_by_hand(e, recipe, sheet.ph);
    }
    if (!sheet.is_there || !h->t->holds_mix) {
        rc = make_mix(e, recipe, sheet.ph);
    }
    if (rc != CHORE_DONE) {
        return rc;
    }
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        hands_change(h, errand_subject(e, k).at);
    }
    if (sheet.leaves_rest) {
        return CHORE_DONE;
    }
    hands_rinse(h);
    if (!another_mix(e)) {
        errand_tell(errand_figures(e, NULL), "added_l", round(hands_fill(h)));
    }
    return CHORE_DONE;
}

/* Nobody stirs concentrate into a container that overflows or is half empty. */
static bool tell_odd_levels(struct errand *e)
{
    bool odd = false;

    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;

        if (hands_level_is_odd(e->g->h, i)) {
            odd = true;
            errand_then_read(e, e->g->room->container[i].name, errand_read_container(e, i, true));
        }
    }
    return odd;
}

enum chore chore_bump(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    double ec = live_daemon_number(e->task, "ec_ms_cm");

    if (tell_odd_levels(e)) {
        return errand_put_off(e, 1, "a level is far off its line: that is seen to first");
    }
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;
        double shows = hands_ec(h, h->t->plant[i].ec_ms_cm);
        struct doses d;
        json_t *figures;

        if (!ask_doses(e, recipe, hands_level(h, i), ec, "from", shows, &d)) {
            return CHORE_FAILED;
        }
        if (!hands_have(h, recipe, &d)) {
            return k ? CHORE_DONE : errand_buy_first(e, recipe, &d);
        }
        figures = errand_figures(e, e->g->room->container[i].name);
        errand_tell(figures, "was_ms_cm", shows);
        errand_tell(figures, "ec_ms_cm", hands_bump(h, i, recipe, ec, &d));
        errand_tell(figures, "ph", hands_ph(h, h->t->plant[i].ph));
        errand_tell_amounts(e, figures, recipe);
    }
    return CHORE_DONE;
}

static double ph_of(const struct errand *e, size_t i)
{
    return i == SIZE_MAX ? e->g->h->t->reservoir_ph : e->g->h->t->plant[i].ph;
}

static const char *acid_or_base(const struct room *room, bool down)
{
    for (size_t i = 0; i < room->n_products; i++) {
        if (room->product[i].kind == (down ? PRODUCT_ACID : PRODUCT_BASE)) {
            return room->product[i].name;
        }
    }
    return NULL;
}

enum chore chore_ph(struct errand *e)
{
    struct subject s = errand_subject(e, 0);
    size_t i = s.kind == SUBJECT_CONTAINER ? s.at : SIZE_MAX;
    struct sheet sheet;
    const char *product;
    double shown;
    double ml;

    if (!read_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    product = acid_or_base(e->g->room, ph_of(e, i) > sheet.ph);
    ml = hands_set_ph(e->g->h, i, sheet.ph, &shown);
    errand_tell(errand_figures(e, NULL), "ph", shown);
    if (product) {
        (void)json_object_set_new(errand_figures(e, NULL), "amounts",
                                  json_pack("{s:f}", product, ml));
    }
    return CHORE_DONE;
}
