#include "tests/season/chores.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SCARCE      0.75 /* less water than this of a mix is not worth making */
#define BRINGS_DAYS 2    /* from buying to having */
#define FILLS_A_DAY 2
#define PH_OUT      0.1 /* truly outside, whatever a meter says */
#define ONLY_NO     0.3 /* who looks at a float does not always measure the level */

/* ---- small things */

static const char *text_of(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));

    return s ? s : "";
}

static double number_of(const json_t *o, const char *key)
{
    return json_number_value(json_object_get(o, key));
}

static struct subject subject_at(const struct errand *e, size_t k)
{
    const json_t *name = json_array_get(json_object_get(e->task, "subjects"), k);

    return room_find(e->g->room, json_string_value(name));
}

static size_t n_subjects(const struct errand *e)
{
    return json_array_size(json_object_get(e->task, "subjects"));
}

static json_t *figures_of(const struct errand *e, const char *subject)
{
    json_t *all = json_object_get(e->params, subject ? "subjects" : "figures");
    json_t *one;

    if (!all) {
        all = json_object();
        (void)json_object_set_new(e->params, subject ? "subjects" : "figures", all);
    }
    if (!subject) {
        return all;
    }
    one = json_object_get(all, subject);
    if (!one) {
        one = json_object();
        (void)json_object_set_new(all, subject, one);
    }
    return one;
}

static void tell(json_t *figures, const char *key, double value)
{
    (void)json_object_set_new(figures, key, json_real(value));
}

/* Doses as they were stirred in. */
static void tell_amounts(const struct errand *e, json_t *figures, size_t recipe)
{
    const struct room *room = e->g->room;
    const struct recipe *r = &room->recipe[recipe];
    json_t *amounts = json_object();

    for (size_t k = 0; k < r->n_doses; k++) {
        (void)json_object_set_new(amounts, room->product[r->dose[k].product].name,
                                  json_real(e->g->h->stirred.amount[k]));
    }
    (void)json_object_set_new(figures, "amounts", amounts);
}

/* A call to make once the task was acknowledged. */
static void then(struct errand *e, const char *method, json_t *params)
{
    (void)json_array_append_new(e->after, json_pack("[s,o]", method, params));
}

static enum chore put_off(struct errand *e, int days, const char *why)
{
    e->days_off = days;
    e->why = why;
    e->g->h->l->put_off++;
    return CHORE_PUT_OFF;
}

static enum chore buy_first(struct errand *e, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &e->g->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;

        if (e->g->h->stock[product] < d->amount[k] && e->g->bought_day[product] < 0) {
            e->g->bought_day[product] = (int64_t)e->g->h->day;
            ledger_work(e->g->h->l, e->g->h->day, WORK_OTHER, e->g->room->labour.reorder_min);
        }
    }
    return put_off(e, BRINGS_DAYS, "a bottle is empty, a new one is on its way");
}

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
    answer = link_ask(e->g->link, "mix", params, &e->g->err);
    if (!answer) {
        return false;
    }
    json_array_foreach(json_object_get(answer, "doses"), k, dose)
    {
        if (k < ROOM_DOSES_MAX) {
            out->amount[k] = number_of(dose, "amount");
        }
    }
    json_decref(answer);
    return true;
}

static size_t recipe_of(const struct errand *e)
{
    return room_find(e->g->room, text_of(e->task, "recipe")).at;
}

/* What a task's sheet says of its solution. */
struct sheet {
    double ph; /* that it is to be set to */
    bool by_hand, is_there, leaves_rest;
};

static bool read_sheet(struct errand *e, struct sheet *out)
{
    json_t *shown = link_ask(
        e->g->link, "show", json_pack("{s:O}", "what", json_object_get(e->task, "id")), &e->g->err);
    size_t i;
    json_t *step;

    *out = (struct sheet){.ph = e->g->room->reservoir.ph_target};
    json_array_foreach(json_object_get(shown, "worksheet"), i, step)
    {
        const char *text = text_of(step, "text");
        const char *set = strstr(text, "Set the pH to ");

        out->ph = set ? strtod(strpbrk(set, "0123456789"), NULL) : out->ph;
        out->by_hand = out->by_hand || strstr(text, "clean jug or bucket");
        out->is_there = out->is_there || strstr(text, "is in the reservoir already");
        out->leaves_rest = out->leaves_rest || strstr(text, "Leave what is left");
    }
    json_decref(shown);
    return shown != NULL;
}

/* ---- start, check */

static enum chore do_start(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    double ec = number_of(e->task, "ec_ms_cm");
    struct sheet sheet;

    if (!read_sheet(e, &sheet)) {
        return CHORE_FAILED;
    }
    for (size_t k = 0; k < n_subjects(e); k++) {
        size_t i = subject_at(e, k).at;
        const struct container *c = &e->g->room->container[i];
        struct doses d;
        struct shown shown;
        json_t *figures;

        if (!ask_doses(e, recipe, c->start_volume_l, ec, "water", e->g->room->source.ec_ms_cm,
                       &d)) {
            return CHORE_FAILED;
        }
        if (!hands_have(h, recipe, &d)) {
            return k ? CHORE_DONE : buy_first(e, recipe, &d);
        }
        shown = hands_start(h, i, ec, sheet.ph, &d);
        figures = figures_of(e, c->name);
        tell(figures, "ec_ms_cm", shown.ec_ms_cm);
        tell(figures, "ph", shown.ph);
        tell_amounts(e, figures, recipe);
    }
    return CHORE_DONE;
}

static enum chore do_check(struct errand *e)
{
    struct hands *h = e->g->h;
    bool first = strstr(text_of(e->task, "why"), "first look") != NULL;

    for (size_t k = 0; k < n_subjects(e); k++) {
        size_t i = subject_at(e, k).at;
        json_t *figures = figures_of(e, e->g->room->container[i].name);
        bool works = hands_float_works(h, i);

        ledger_work(h->l, h->day, WORK_LOOK, e->g->room->labour.check_min);
        if (works) {
            (void)json_object_set_new(figures, "what", json_string("yes"));
        } else if (!first) {
            (void)json_object_set_new(figures, "what", json_string("no"));
        }
        if (!works && (first || dice_even(&e->g->dice) > ONLY_NO)) {
            tell(figures, "volume_l", hands_level(h, i));
        }
    }
    return CHORE_DONE;
}

/* ---- change */

/* Is there another mix to be made in the reservoir this morning? */
static bool another_mix(const struct errand *e)
{
    size_t i;
    json_t *t;

    json_array_foreach(json_object_get(e->list, "tasks"), i, t)
    {
        if (t != e->task && strcmp(text_of(t, "kind"), "change") == 0) {
            return true;
        }
    }
    return false;
}

static enum chore make_mix(struct errand *e, size_t recipe, double ph)
{
    struct hands *h = e->g->h;
    double mix_l = number_of(e->task, "volume_l");
    double ec = number_of(e->task, "ec_ms_cm");
    double held_l = h->t->holds_mix ? h->t->reservoir_l : 0;
    struct doses d = hands_by_label(h, recipe, mix_l, ec - e->g->room->source.ec_ms_cm);
    struct shown shown;
    double base;

    if (hands_water_l(h) + held_l < SCARCE * mix_l) {
        return put_off(e, 1, "there is not enough water yet");
    }
    if (!hands_have(h, recipe, &d)) {
        return buy_first(e, recipe, &d);
    }
    base = hands_bring(h, mix_l, &mix_l);
    if (!ask_doses(e, recipe, mix_l, ec, "water", base, &d)) {
        return CHORE_FAILED;
    }
    shown = hands_mix(h, recipe, ec, ph, &d);
    tell(figures_of(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    tell(figures_of(e, NULL), "ph", shown.ph);
    tell(figures_of(e, NULL), "volume_l",
         fmin(round(shown.volume_l), e->g->room->reservoir.capacity_l));
    tell_amounts(e, figures_of(e, NULL), recipe);
    return CHORE_DONE;
}

static enum chore change_by_hand(struct errand *e, size_t recipe, double ph)
{
    struct hands *h = e->g->h;
    size_t i = subject_at(e, 0).at;
    double ec = number_of(e->task, "ec_ms_cm");
    struct doses d;
    struct shown shown;

    if (!ask_doses(e, recipe, number_of(e->task, "volume_l"), ec, "water",
                   e->g->room->source.ec_ms_cm, &d)) {
        return CHORE_FAILED;
    }
    if (!hands_have(h, recipe, &d)) {
        return buy_first(e, recipe, &d);
    }
    shown = hands_pour(h, i, recipe, ec, ph, &d);
    tell(figures_of(e, NULL), "ec_ms_cm", shown.ec_ms_cm);
    tell_amounts(e, figures_of(e, NULL), recipe);
    return CHORE_DONE;
}

static enum chore do_change(struct errand *e)
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
    for (size_t k = 0; k < n_subjects(e); k++) {
        hands_change(h, subject_at(e, k).at);
    }
    if (sheet.leaves_rest) {
        return CHORE_DONE;
    }
    hands_rinse(h);
    if (!another_mix(e)) {
        tell(figures_of(e, NULL), "added_l", round(hands_fill(h)));
    }
    return CHORE_DONE;
}

/* ---- reading, bump, pH */

static double ph_of(const struct errand *e, size_t i)
{
    return i == SIZE_MAX ? e->g->h->t->reservoir_ph : e->g->h->t->plant[i].ph;
}

static void note_ph(struct errand *e, size_t i)
{
    const struct stage *stage = truth_stage(e->g->h->t, i);
    double ph = e->g->h->t->plant[i].ph;

    if (ph < stage->ph_min - PH_OUT || ph > stage->ph_max + PH_OUT) {
        e->g->ph_out_day[i] = (int64_t)e->g->h->day;
    }
}

static json_t *read_container(struct errand *e, size_t i, bool level)
{
    struct hands *h = e->g->h;
    json_t *figures = json_object();

    note_ph(e, i);
    tell(figures, "ec_ms_cm", hands_ec(h, h->t->plant[i].ec_ms_cm));
    tell(figures, "ph", hands_ph(h, h->t->plant[i].ph));
    if (level || hands_level_is_odd(h, i)) {
        tell(figures, "volume_l", hands_level(h, i));
    }
    ledger_work(h->l, h->day, WORK_READ, e->g->room->labour.read_min);
    return figures;
}

static json_t *read_tank(struct errand *e)
{
    struct hands *h = e->g->h;
    json_t *figures = json_object();

    tell(figures, "ec_ms_cm", hands_ec(h, h->t->reservoir_ec));
    tell(figures, "ph", hands_ph(h, h->t->reservoir_ph));
    tell(figures, "volume_l", hands_tank(h));
    ledger_work(h->l, h->day, WORK_READ, e->g->room->labour.read_min);
    return figures;
}

static void then_read(struct errand *e, const char *subject, json_t *figures)
{
    then(
        e, "record",
        json_pack("{s:s,s:{s:o},s:b}", "kind", "reading", "subjects", subject, figures, "sure", 1));
}

/* Nobody stirs concentrate into a container that overflows or is half empty. */
static bool tell_odd_levels(struct errand *e)
{
    bool odd = false;

    for (size_t k = 0; k < n_subjects(e); k++) {
        size_t i = subject_at(e, k).at;

        if (hands_level_is_odd(e->g->h, i)) {
            odd = true;
            then_read(e, e->g->room->container[i].name, read_container(e, i, true));
        }
    }
    return odd;
}

static enum chore do_bump(struct errand *e)
{
    struct hands *h = e->g->h;
    size_t recipe = recipe_of(e);
    double ec = number_of(e->task, "ec_ms_cm");

    if (tell_odd_levels(e)) {
        return put_off(e, 1, "a level is far off its line: that is seen to first");
    }
    for (size_t k = 0; k < n_subjects(e); k++) {
        size_t i = subject_at(e, k).at;
        double shows = hands_ec(h, h->t->plant[i].ec_ms_cm);
        struct doses d;
        json_t *figures;

        if (!ask_doses(e, recipe, hands_level(h, i), ec, "from", shows, &d)) {
            return CHORE_FAILED;
        }
        if (!hands_have(h, recipe, &d)) {
            return k ? CHORE_DONE : buy_first(e, recipe, &d);
        }
        figures = figures_of(e, e->g->room->container[i].name);
        tell(figures, "was_ms_cm", shows);
        tell(figures, "ec_ms_cm", hands_bump(h, i, recipe, ec, &d));
        tell(figures, "ph", hands_ph(h, h->t->plant[i].ph));
        tell_amounts(e, figures, recipe);
    }
    return CHORE_DONE;
}

static enum chore do_read(struct errand *e)
{
    json_t *subjects = json_object();

    for (size_t k = 0; k < n_subjects(e); k++) {
        struct subject s = subject_at(e, k);

        (void)json_object_set_new(subjects, room_subject_name(e->g->room, s),
                                  s.kind == SUBJECT_CONTAINER
                                      ? read_container(e, s.at, !hands_float_works(e->g->h, s.at))
                                      : read_tank(e));
    }
    (void)json_object_set_new(e->params, "subjects", subjects);
    return CHORE_DONE;
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

static enum chore do_ph(struct errand *e)
{
    struct subject s = subject_at(e, 0);
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
    tell(figures_of(e, NULL), "ph", shown);
    if (product) {
        (void)json_object_set_new(figures_of(e, NULL), "amounts", json_pack("{s:f}", product, ml));
    }
    return CHORE_DONE;
}

/* ---- the reservoir, and the rest */

static enum chore do_fill(struct errand *e)
{
    struct hands *h = e->g->h;
    bool mix = h->t->holds_mix;
    double before_l = hands_tank(h);
    double after_l;

    if (e->g->fills_today >= FILLS_A_DAY) {
        return put_off(e, 1, "the source has to make water first");
    }
    e->g->fills_today++;
    if (mix) {
        hands_rinse(h);
    }
    (void)hands_fill(h);
    ledger_work(h->l, h->day, WORK_FILL, e->g->room->labour.fill_min);
    after_l = hands_tank(h);
    tell(figures_of(e, NULL), "volume_l", after_l);
    if (!mix) {
        tell(figures_of(e, NULL), "added_l", fmax(0, after_l - before_l));
    }
    tell(figures_of(e, NULL), "ec_ms_cm", hands_ec(h, h->t->reservoir_ec));
    tell(figures_of(e, NULL), "ph", hands_ph(h, h->t->reservoir_ph));
    return CHORE_DONE;
}

static enum chore do_calibrate(struct errand *e)
{
    const struct meter *m = &e->g->room->meter[subject_at(e, 0).at];

    tell(figures_of(e, NULL), "slope_pct", hands_calibrate(e->g->h, m->kind));
    return CHORE_DONE;
}

static enum chore do_care(struct errand *e)
{
    struct hands *h = e->g->h;

    for (size_t k = 0; k < n_subjects(e); k++) {
        struct subject s = subject_at(e, k);

        ledger_work(h->l, h->day, WORK_CARE, e->g->room->labour.care_min);
        if (s.kind == SUBJECT_CONTAINER) {
            faults_look_at(e->g->f, h, s.at);
        } else if (s.kind == SUBJECT_RESERVOIR) {
            faults_look_at_tank(e->g->f, h);
        } else {
            faults_look_at_filter(e->g->f, h);
        }
    }
    return CHORE_DONE;
}

static enum chore do_reorder(struct errand *e)
{
    size_t product = subject_at(e, 0).at;

    if (e->g->bought_day[product] < 0) {
        e->g->bought_day[product] = (int64_t)e->g->h->day;
    }
    ledger_work(e->g->h->l, e->g->h->day, WORK_OTHER, e->g->room->labour.reorder_min);
    return CHORE_DONE;
}

static enum chore do_harvest(struct errand *e)
{
    for (size_t k = 0; k < n_subjects(e); k++) {
        size_t i = subject_at(e, k).at;

        if (e->g->h->t->plant[i].growing) {
            hands_harvest(e->g->h, i);
        }
    }
    return CHORE_DONE;
}

/* Too much salt in plain water: rinsed, the filter of the source seen to, filled anew. */
static void renew_water(struct errand *e)
{
    struct hands *h = e->g->h;
    json_t *filled = json_object();

    faults_look_at_filter(e->g->f, h);
    hands_rinse(h);
    h->l->plain_l += h->cans_l; /* that is no better */
    h->cans_l = 0;
    (void)hands_fill(h);
    ledger_work(h->l, h->day, WORK_FILL, e->g->room->labour.fill_min);
    tell(filled, "volume_l", hands_tank(h));
    tell(filled, "ec_ms_cm", hands_ec(h, h->t->reservoir_ec));
    then(e, "record",
         json_pack("{s:s,s:{s:{}}}", "kind", "reservoir-rinsed", "subjects", "reservoir"));
    then(e, "record",
         json_pack("{s:s,s:{s:o},s:b}", "kind", "reservoir-filled", "subjects", "reservoir", filled,
                   "sure", 1));
}

static void look_at_tank(struct errand *e)
{
    struct hands *h = e->g->h;
    bool salt = h->t->reservoir_ec > 1.25 * e->g->room->source.ec_ms_cm + 0.1;

    faults_look_at_tank(e->g->f, h);
    if (salt && !h->t->holds_mix) {
        renew_water(e);
    }
    if (!h->t->holds_mix) {
        then_read(e, "reservoir", read_tank(e));
    }
}

static enum chore do_look(struct errand *e)
{
    struct hands *h = e->g->h;
    struct subject s = subject_at(e, 0);

    ledger_work(h->l, h->day, WORK_LOOK, e->g->room->labour.check_min);
    if (s.kind == SUBJECT_CONTAINER) {
        const char *name = e->g->room->container[s.at].name;

        faults_look_at(e->g->f, h, s.at);
        if (h->t->plant[s.at].growing) {
            then_read(e, name, read_container(e, s.at, true));
        }
    } else if (s.kind == SUBJECT_RESERVOIR) {
        look_at_tank(e);
    } else if (s.kind == SUBJECT_METER) {
        const struct meter *m = &e->g->room->meter[s.at];

        then(e, "record",
             json_pack("{s:s,s:{s:{s:f}},s:b}", "kind", "calibrated", "subjects", m->name,
                       "slope_pct", hands_calibrate(h, m->kind), "sure", 1));
    }
    return CHORE_DONE;
}

enum chore chore_do(struct errand *e)
{
    static const struct {
        const char *kind;
        enum chore (*act)(struct errand *e);
    } chores[] = {
        {"start",     do_start    },
        {"check",     do_check    },
        {"change",    do_change   },
        {"bump",      do_bump     },
        {"ph",        do_ph       },
        {"read",      do_read     },
        {"fill",      do_fill     },
        {"care",      do_care     },
        {"calibrate", do_calibrate},
        {"reorder",   do_reorder  },
        {"look",      do_look     },
        {"harvest",   do_harvest  },
    };

    for (size_t k = 0; k < sizeof chores / sizeof *chores; k++) {
        if (strcmp(chores[k].kind, text_of(e->task, "kind")) == 0) {
            return chores[k].act(e);
        }
    }
    (void)err_set(&e->g->err, ERR_UNKNOWN, "nobody knows how to do a task '%s'",
                  text_of(e->task, "kind"));
    return CHORE_FAILED;
}
