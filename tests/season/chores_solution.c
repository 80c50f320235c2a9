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

enum chore chore_start(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    struct sheet sheet;

    if (!chores_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    for (size_t k = 0; k < errand_n_subjects(e); k++) {
        size_t i = errand_subject(e, k).at;
        const struct container *c = &e->g->room->container[i];
        struct doses d;
        struct acid_given given;
        struct shown shown;
        json_t *figures;

        if (!ask_doses(e, recipe, c->start_volume_l, ec, "water", e->g->room->source.ec_ms_cm,
                       &d)) {
            return CHORE_FAILED;
        }
        if (!hands_have(h, recipe, &d)) {
            return k ? CHORE_DONE : errand_buy_first(e, recipe, &d);
        }
        shown = hands_make_start(h, i, ec, &d);
        given = acid_by_sheet(h, HANDS_JUG, &sheet.acid);
        hands_start(h, i);
        figures = errand_figures(e, c->name);
        errand_tell(figures, "ec_ms_cm", shown.ec_ms_cm);
        errand_tell_ph(e, figures, &given);
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

static enum chore make_mix(struct errand *e, size_t recipe, const struct acid_sheet *acid)
{
    struct hands *h = e->g->h;
    double mix_l = live_daemon_number(e->task, "volume_l");
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    double held_l = h->t->holds_mix ? h->t->reservoir.volume_l : 0;
    struct doses d = hands_by_label(h, recipe, mix_l, ec - e->g->room->source.ec_ms_cm);
    struct acid_given given;
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
    shown = hands_mix(h, recipe, ec, &d);
    given = acid_by_sheet(h, HANDS_TANK, acid);
    errand_tell(errand_figures(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    errand_tell_ph(e, errand_figures(e, NULL), &given);
    errand_tell(errand_figures(e, NULL), "volume_l",
                fmin(round(shown.volume_l), e->g->room->reservoir.capacity_l));
    errand_tell_amounts(e, errand_figures(e, NULL), recipe);
    return CHORE_DONE;
}

static enum chore change_by_hand(struct errand *e, size_t recipe, const struct acid_sheet *acid)
{
    struct hands *h = e->g->h;
    size_t i = errand_subject(e, 0).at;
    double ec = live_daemon_number(e->task, "ec_ms_cm");
    struct doses d;
    struct acid_given given;
    struct shown shown;

    if (!ask_doses(e, recipe, live_daemon_number(e->task, "volume_l"), ec, "water",
                   e->g->room->source.ec_ms_cm, &d)) {
        return CHORE_FAILED;
    }
    if (!hands_have(h, recipe, &d)) {
        return errand_buy_first(e, recipe, &d);
    }
    shown = hands_make_change(h, i, recipe, ec, &d);
    given = acid_by_sheet(h, HANDS_JUG, acid);
    hands_pour(h, i);
    errand_tell(errand_figures(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    errand_tell_ph(e, errand_figures(e, NULL), &given);
    errand_tell_amounts(e, errand_figures(e, NULL), recipe);
    return CHORE_DONE;
}

/* What the plain water took after a change is told by itself. */
static void fill_with_acid(struct errand *e, const struct acid_sheet *acid)
{
    struct acid_given given = acid_by_sheet(e->g->h, HANDS_TANK, acid);
    json_t *figures = json_object();

    errand_tell_ph(e, figures, &given);
    errand_then(e, "record",
                json_pack("{s:s,s:{s:o},s:b}", "kind", "ph-adjusted", "subjects", "reservoir",
                          figures, "sure", 1));
}

enum chore chore_change(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    enum chore rc = CHORE_DONE;
    struct sheet sheet;

    if (!chores_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    if (sheet.by_hand) {
        return change_by_hand(e, recipe, &sheet.acid);
    }
    if (!sheet.is_there || !h->t->holds_mix) {
        rc = make_mix(e, recipe, &sheet.acid);
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
        hands_feed(h);
        fill_with_acid(e, &sheet.fill);
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
        double shows = hands_ec(h, &h->t->plant[i].water);
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
        errand_tell(figures, "ph", hands_ph(h, &h->t->plant[i].water));
        errand_tell_amounts(e, figures, recipe);
    }
    return CHORE_DONE;
}

enum chore chore_ph(struct errand *e)
{
    struct hands *h = e->g->h;
    struct subject s = errand_subject(e, 0);
    struct acid_given given;
    struct sheet sheet;

    if (!chores_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    ledger_work(h->l, h->day, WORK_PH, e->g->room->labour.ph_min);
    given = acid_by_sheet(h, s.kind == SUBJECT_CONTAINER ? s.at : HANDS_TANK, &sheet.acid);
    errand_tell(errand_figures(e, NULL), "ph", given.ph);
    errand_tell_acid(e, errand_figures(e, NULL), &given);
    return CHORE_DONE;
}
