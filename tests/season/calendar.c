#include "tests/season/calendar.h"

#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "tests/season/acid.h"

#include <math.h>
#include <stdlib.h>

#define CHANGE_DAYS 10
#define WEEK        7
#define BRINGS_DAYS 2
#define LOW_FRAC    0.2  /* of a new bottle of acid or base: another is bought */
#define SCARCE      0.75 /* less of a mix than this is not worth making */
#define NOTHING     (-1)
#define LONG_AGO    (-1000)

void calendar_init(struct calendar *c, struct hands *h, struct faults *f, bool grouped)
{
    const struct room *room = h->room;

    *c = (struct calendar){.h = h,
                           .f = f,
                           .grouped = grouped,
                           .week_day = NOTHING,
                           .on_float = mem_array(room->n_containers, sizeof *c->on_float),
                           .due_day = mem_array(room->n_containers, sizeof *c->due_day),
                           .idle_day = mem_array(room->n_containers, sizeof *c->idle_day),
                           .care_day = mem_array(CARE_KIND_N, sizeof *c->care_day),
                           .calibrated_day = mem_array(room->n_meters, sizeof *c->calibrated_day),
                           .bought_day = mem_array(room->n_products, sizeof *c->bought_day)};
    for (size_t i = 0; i < room->n_products; i++) {
        c->bought_day[i] = NOTHING;
    }
    for (size_t i = 0; i < room->n_meters; i++) {
        c->calibrated_day[i] = LONG_AGO;
    }
}

void calendar_deinit(struct calendar *c)
{
    free(c->on_float);
    free(c->due_day);
    free(c->idle_day);
    free(c->care_day);
    free(c->calibrated_day);
    free(c->bought_day);
    *c = (struct calendar){0};
}

static int64_t today(const struct calendar *c)
{
    return (int64_t)c->h->day;
}

static void work(struct calendar *c, enum work what, double minutes)
{
    ledger_work(c->h->l, c->h->day, what, minutes);
}

static const struct crop *crop_of(const struct calendar *c, size_t i)
{
    return &c->h->room->crop[c->h->room->container[i].crop];
}

/* ---- bottles */

/* By hand, to what the meter shows; an acid or base of which little is left is bought. */
static void set_ph(struct calendar *c, size_t vessel, double ph)
{
    struct acid_given given = acid_by_hand(c->h, vessel, ph);
    size_t product = given.product;

    if (product != SIZE_MAX && c->bought_day[product] == NOTHING &&
        c->h->stock[product] < LOW_FRAC * c->h->room->product[product].stock) {
        c->bought_day[product] = today(c);
        work(c, WORK_OTHER, c->h->room->labour.reorder_min);
    }
}

static void fill(struct calendar *c)
{
    (void)hands_fill(c->h);
    set_ph(c, HANDS_TANK, c->h->room->reservoir.ph_target);
}

static void receive(struct calendar *c)
{
    for (size_t i = 0; i < c->h->room->n_products; i++) {
        if (c->bought_day[i] != NOTHING && today(c) >= c->bought_day[i] + BRINGS_DAYS) {
            hands_receive(c->h, i, c->h->room->product[i].stock);
            c->bought_day[i] = NOTHING;
        }
    }
}

/* Buys what lacks. */
static bool have(struct calendar *c, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &c->h->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;

        if (c->h->stock[product] < d->amount[k] && c->bought_day[product] == NOTHING) {
            c->bought_day[product] = today(c);
            work(c, WORK_OTHER, c->h->room->labour.reorder_min);
        }
    }
    return hands_have(c->h, recipe, d);
}

/* ---- starts and harvests */

static bool may_start(const struct calendar *c, size_t i)
{
    const struct container *v = &c->h->room->container[i];
    const struct truth_plant *p = &c->h->t->plant[i];

    if (p->growing) {
        return false;
    }
    if (p->planting == 0) {
        return v->start_on != DAY_NONE && v->start_on <= c->h->l->first_day + (int32_t)today(c);
    }
    return v->replant && today(c) > c->idle_day[i];
}

static void start(struct calendar *c, size_t i)
{
    const struct room *room = c->h->room;
    const struct crop *crop = crop_of(c, i);
    size_t recipe = crop->stage[0].recipe_at;
    struct doses d = hands_by_label(c->h, recipe, room->container[i].start_volume_l,
                                    crop->start_ec_ms_cm - room->source.ec_ms_cm);

    if (have(c, recipe, &d)) {
        (void)hands_make_start(c->h, i, crop->start_ec_ms_cm, &d);
        set_ph(c, HANDS_JUG, room->reservoir.ph_target);
        hands_start(c->h, i);
        c->on_float[i] = false;
    }
}

static void harvest_and_start(struct calendar *c)
{
    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        const struct truth_plant *p = &c->h->t->plant[i];

        if (p->growing && p->age_day >= crop_of(c, i)->harvest_day) {
            hands_harvest(c->h, i);
            c->idle_day[i] = today(c);
        } else if (may_start(c, i)) {
            start(c, i);
        }
    }
}

/* ---- the weekly round */

static void read_container(struct calendar *c, size_t i)
{
    struct hands *h = c->h;
    const struct stage *stage = truth_stage(h->t, i);
    double shows = hands_ph(h, &h->t->plant[i].water);

    work(c, WORK_READ, h->room->labour.read_min);
    if (shows < stage->ph_min || shows > stage->ph_max) {
        work(c, WORK_PH, h->room->labour.ph_min);
        set_ph(c, i, (stage->ph_min + stage->ph_max) / 2);
    }
}

static void find_faults(struct calendar *c)
{
    for (size_t k = 0; k < c->f->n; k++) {
        const struct fault *x = &c->f->fault[k];

        if (!x->struck || x->mended || today(c) < (int64_t)x->day + WEEK) {
            continue;
        }
        if (x->kind == FAULT_CLOG || x->kind == FAULT_STUCK) {
            faults_look_at(c->f, c->h, x->at);
        } else if (x->kind == FAULT_LEAK) {
            faults_look_at_tank(c->f, c->h);
        } else if (x->kind == FAULT_FILTER) {
            faults_look_at_filter(c->f, c->h);
        }
    }
}

static void weekly_round(struct calendar *c)
{
    struct hands *h = c->h;

    find_faults(c);
    for (size_t i = 0; i < h->room->n_containers; i++) {
        if (!h->t->plant[i].growing) {
            continue;
        }
        if (!c->on_float[i]) {
            work(c, WORK_LOOK, h->room->labour.check_min);
            c->on_float[i] = hands_float_works(h, i);
            c->due_day[i] = today(c) + CHANGE_DAYS;
        }
        read_container(c, i);
    }
    work(c, WORK_READ, h->room->labour.read_min);
    work(c, WORK_FILL, h->room->labour.fill_min);
    fill(c);
    c->week_day = today(c);
}

/* ---- changes */

static bool wants_change(const struct calendar *c, size_t i)
{
    const struct truth_plant *p = &c->h->t->plant[i];
    double left_day = crop_of(c, i)->harvest_day - p->age_day;

    return p->growing && c->on_float[i] && left_day > truth_stage(c->h->t, i)->life_min_day;
}

static double refill_l(const struct calendar *c, size_t i)
{
    return c->h->room->container[i].float_volume_l - c->h->room->container[i].remainder_l;
}

/* Makes a mix for so many litres in containers; false when something lacks. */
static bool mix(struct calendar *c, size_t recipe, double ec_ms_cm, double volume_l)
{
    struct hands *h = c->h;
    const struct reservoir *v = &h->room->reservoir;
    double mix_l = fmin(volume_l + v->line_loss_l + v->remainder_l, v->capacity_l);
    struct doses d = hands_by_label(h, recipe, mix_l, ec_ms_cm - h->room->source.ec_ms_cm);
    double shows;

    if (hands_water_l(h) < SCARCE * mix_l || !have(c, recipe, &d)) {
        h->l->put_off++;
        return false;
    }
    shows = hands_bring(h, mix_l, &mix_l);
    d = hands_by_label(h, recipe, mix_l, ec_ms_cm - shows);
    (void)hands_mix(h, recipe, ec_ms_cm, &d);
    set_ph(c, HANDS_TANK, v->ph_target);
    return true;
}

/* Each by itself: a mix, a changeover and a rinse for every one. Nobody fills the
 * whole reservoir in between to empty it at once. */
static bool change_one_by_one(struct calendar *c)
{
    bool any = false;

    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        const struct stage *stage;

        if (!wants_change(c, i) || today(c) < c->due_day[i]) {
            continue;
        }
        stage = truth_stage(c->h->t, i);
        if (!mix(c, stage->recipe_at, stage->ec_ms_cm, refill_l(c, i))) {
            continue;
        }
        hands_change(c->h, i);
        hands_rinse(c->h);
        c->h->open = false;
        c->due_day[i] = today(c) + CHANGE_DAYS;
        any = true;
    }
    return any;
}

/* The litres of a recipe's containers, and the strength that is their mean. */
static double wanted_of(const struct calendar *c, size_t recipe, double *out_ec)
{
    double sum_l = 0;
    double sum_ec = 0;

    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        if (wants_change(c, i) && truth_stage(c->h->t, i)->recipe_at == recipe) {
            sum_l += refill_l(c, i);
            sum_ec += refill_l(c, i) * truth_stage(c->h->t, i)->ec_ms_cm;
        }
    }
    *out_ec = sum_l > 0 ? sum_ec / sum_l : 0;
    return sum_l;
}

/* All of a recipe, in as many fillings as they take. */
static bool change_recipe(struct calendar *c, size_t recipe)
{
    const struct reservoir *v = &c->h->room->reservoir;
    double usable_l = v->capacity_l - v->remainder_l - v->line_loss_l;
    double ec;
    double left_l = wanted_of(c, recipe, &ec);
    double there_l = 0;
    bool any = false;

    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        if (!wants_change(c, i) || truth_stage(c->h->t, i)->recipe_at != recipe) {
            continue;
        }
        if (there_l < refill_l(c, i)) {
            there_l = fmin(usable_l, left_l);
            if (!mix(c, recipe, ec, there_l)) {
                break;
            }
        }
        hands_change(c->h, i);
        there_l -= refill_l(c, i);
        left_l -= refill_l(c, i);
        any = true;
    }
    if (any) {
        hands_rinse(c->h);
    }
    return any;
}

static bool change_all(struct calendar *c)
{
    bool any = false;

    if (today(c) < c->group_day + CHANGE_DAYS) {
        return false;
    }
    for (size_t r = 0; r < c->h->room->n_recipes; r++) {
        any = change_recipe(c, r) || any;
    }
    c->group_day = today(c);
    return any;
}

/* ---- care */

static void calibrate(struct calendar *c)
{
    const struct room *room = c->h->room;

    for (size_t k = 0; k < room->n_meters; k++) {
        if ((double)(today(c) - c->calibrated_day[k]) >= room->meter[k].calibrate_every_day) {
            (void)hands_calibrate(c->h, room->meter[k].kind);
            c->calibrated_day[k] = today(c);
        }
    }
}

static void care(struct calendar *c)
{
    const struct room *room = c->h->room;

    for (int k = 0; k < CARE_READ; k++) {
        bool each = k == CARE_FLOAT || k == CARE_VALVE;
        double n = each ? 0 : 1;

        if (!(room->care_every_day[k] > 0) ||
            (double)(today(c) - c->care_day[k]) < room->care_every_day[k]) {
            continue;
        }
        for (size_t i = 0; i < room->n_containers && each; i++) {
            n += c->h->t->plant[i].growing;
        }
        work(c, WORK_CARE, n * room->labour.care_min);
        c->care_day[k] = today(c);
        if (k == CARE_FILTER) {
            faults_look_at_filter(c->f, c->h);
        }
    }
}

void calendar_morning(struct calendar *c, bool leaves)
{
    bool mixed;

    if (today(c) == 0) {
        work(c, WORK_FILL, c->h->room->labour.fill_min);
        fill(c);
    }
    receive(c);
    calibrate(c);
    care(c);
    harvest_and_start(c);
    if (c->week_day == NOTHING || today(c) >= c->week_day + WEEK) {
        weekly_round(c);
    }
    mixed = c->grouped ? change_all(c) : change_one_by_one(c);
    if (mixed || leaves) {
        fill(c);
        work(c, WORK_FILL, mixed ? 0 : c->h->room->labour.fill_min);
    }
}
