/* calendar_steps.c - bottles, starts, changes and care without a daemon. */
#include "tests/season/calendar_steps.h"

#include "daemon/core/units/day.h"
#include "tests/season/acid.h"

#include <math.h>

#define WEEK        7
#define BRINGS_DAYS 2
#define LOW_FRAC    0.2  /* of a new bottle of acid or base: another is bought */
#define SCARCE      0.75 /* less of a mix than this is not worth making */

int64_t calendar_today(const struct calendar *c)
{
    return (int64_t)c->h->day;
}

void calendar_work(struct calendar *c, enum work what, double minutes)
{
    ledger_work(c->h->l, c->h->day, what, minutes);
}

const struct crop *calendar_crop(const struct calendar *c, size_t i)
{
    return &c->h->room->crop[c->h->room->container[i].crop];
}

/* ---- bottles */

/* By hand, to what the meter shows; an acid or base of which little is left is bought. */
void calendar_set_ph(struct calendar *c, size_t vessel, double ph)
{
    struct acid_given given = acid_by_hand(c->h, vessel, ph);
    size_t product = given.product;

    if (product != SIZE_MAX && c->bought_day[product] == CALENDAR_NOTHING &&
        c->h->stock[product] < LOW_FRAC * c->h->room->product[product].stock) {
        c->bought_day[product] = calendar_today(c);
        calendar_work(c, WORK_OTHER, c->h->room->labour.reorder_min);
    }
}

void calendar_fill(struct calendar *c)
{
    (void)hands_fill(c->h);
    hands_feed(c->h);
    calendar_set_ph(c, HANDS_TANK, c->h->room->reservoir.ph_target);
}

bool calendar_is_low(const struct calendar *c)
{
    const struct reservoir *v = &c->h->room->reservoir;

    return !c->h->t->holds_mix && c->h->t->reservoir.volume_l <= fmax(v->low_l, v->remainder_l);
}

void calendar_receive(struct calendar *c)
{
    for (size_t i = 0; i < c->h->room->n_products; i++) {
        if (c->bought_day[i] != CALENDAR_NOTHING &&
            calendar_today(c) >= c->bought_day[i] + BRINGS_DAYS) {
            hands_receive(c->h, i, c->h->room->product[i].stock);
            c->bought_day[i] = CALENDAR_NOTHING;
        }
    }
}

/* Buys what lacks. */
bool calendar_have(struct calendar *c, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &c->h->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;

        if (c->h->stock[product] < d->amount[k] && c->bought_day[product] == CALENDAR_NOTHING) {
            c->bought_day[product] = calendar_today(c);
            calendar_work(c, WORK_OTHER, c->h->room->labour.reorder_min);
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
        return v->start_on != DAY_NONE &&
               v->start_on <= c->h->l->first_day + (int32_t)calendar_today(c);
    }
    return v->replant && calendar_today(c) > c->idle_day[i];
}

static void start(struct calendar *c, size_t i)
{
    const struct room *room = c->h->room;
    const struct crop *crop = calendar_crop(c, i);
    size_t recipe = crop->stage[0].recipe_at;
    struct doses d = hands_by_label(c->h, recipe, room->container[i].start_volume_l,
                                    crop->start_ec_ms_cm - room->source.ec_ms_cm);

    if (calendar_have(c, recipe, &d)) {
        (void)hands_make_start(c->h, i, crop->start_ec_ms_cm, &d);
        calendar_set_ph(c, HANDS_JUG, room->reservoir.ph_target);
        hands_start(c->h, i);
        c->on_float[i] = false;
        c->last_ms_cm[i] = crop->start_ec_ms_cm;
    }
}

void calendar_harvest_and_start(struct calendar *c)
{
    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        const struct truth_plant *p = &c->h->t->plant[i];

        if (p->growing && p->age_day >= calendar_crop(c, i)->harvest_day) {
            hands_harvest(c->h, i);
            c->idle_day[i] = calendar_today(c);
        } else if (may_start(c, i)) {
            start(c, i);
        }
    }
}

/* ---- the round */

bool calendar_look(struct calendar *c, size_t i)
{
    if (!c->on_float[i]) {
        calendar_work(c, WORK_LOOK, c->h->room->labour.check_min);
        c->on_float[i] = hands_float_works(c->h, i);
        c->due_day[i] = calendar_today(c) + c->habits.change_days;
    }
    return c->on_float[i];
}

void calendar_mind_ph(struct calendar *c, size_t i)
{
    const struct stage *stage = truth_stage(c->h->t, i);
    double shows = hands_ph(c->h, &c->h->t->plant[i].water);

    if (shows < stage->ph_min || shows > stage->ph_max) {
        calendar_work(c, WORK_PH, c->h->room->labour.ph_min);
        calendar_set_ph(c, i, (stage->ph_min + stage->ph_max) / 2);
    }
}

void calendar_find_faults(struct calendar *c)
{
    for (size_t k = 0; k < c->f->n; k++) {
        const struct fault *x = &c->f->fault[k];

        if (!x->struck || x->mended || calendar_today(c) < (int64_t)x->day + WEEK) {
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

/* ---- changes */

bool calendar_wants_change(const struct calendar *c, size_t i)
{
    const struct truth_plant *p = &c->h->t->plant[i];
    double left_day = calendar_crop(c, i)->harvest_day - p->age_day;

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

    if (hands_water_l(h) < SCARCE * mix_l || !calendar_have(c, recipe, &d)) {
        h->l->put_off++;
        return false;
    }
    shows = hands_bring(h, mix_l, &mix_l);
    d = hands_by_label(h, recipe, mix_l, ec_ms_cm - shows);
    (void)hands_mix(h, recipe, ec_ms_cm, &d);
    calendar_set_ph(c, HANDS_TANK, v->ph_target);
    return true;
}

static void changed(struct calendar *c, size_t i, double ec_ms_cm)
{
    hands_change(c->h, i);
    c->due_day[i] = calendar_today(c) + c->habits.change_days;
    c->last_ms_cm[i] = ec_ms_cm;
}

/* Each by itself: a mix, a changeover and a rinse for every one. Nobody fills the
 * whole reservoir in between to empty it at once. */
bool calendar_change_each(struct calendar *c)
{
    bool any = false;

    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        const struct stage *stage;

        if (!calendar_wants_change(c, i) || calendar_today(c) < c->due_day[i]) {
            continue;
        }
        stage = truth_stage(c->h->t, i);
        if (!mix(c, stage->recipe_at, stage->ec_ms_cm, refill_l(c, i))) {
            continue;
        }
        changed(c, i, stage->ec_ms_cm);
        hands_rinse(c->h);
        c->h->open = false;
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
        if (calendar_wants_change(c, i) && truth_stage(c->h->t, i)->recipe_at == recipe) {
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
        if (!calendar_wants_change(c, i) || truth_stage(c->h->t, i)->recipe_at != recipe) {
            continue;
        }
        if (there_l < refill_l(c, i)) {
            there_l = fmin(usable_l, left_l);
            if (!mix(c, recipe, ec, there_l)) {
                break;
            }
        }
        changed(c, i, ec);
        there_l -= refill_l(c, i);
        left_l -= refill_l(c, i);
        any = true;
    }
    if (any) {
        hands_rinse(c->h);
    }
    return any;
}

bool calendar_change_all(struct calendar *c)
{
    bool any = false;

    for (size_t r = 0; r < c->h->room->n_recipes; r++) {
        any = change_recipe(c, r) || any;
    }
    return any;
}

/* ---- care */

static void calibrate(struct calendar *c)
{
    const struct room *room = c->h->room;

    for (size_t k = 0; k < room->n_meters; k++) {
        if ((double)(calendar_today(c) - c->calibrated_day[k]) >=
            room->meter[k].calibrate_every_day) {
            (void)hands_calibrate(c->h, room->meter[k].kind);
            c->calibrated_day[k] = calendar_today(c);
        }
    }
}

static void care_kinds(struct calendar *c)
{
    const struct room *room = c->h->room;

    for (int k = 0; k < CARE_READ; k++) {
        bool each = k == CARE_FLOAT || k == CARE_VALVE;
        double n = each ? 0 : 1;

        if (!(room->care_every_day[k] > 0) ||
            (double)(calendar_today(c) - c->care_day[k]) < room->care_every_day[k]) {
            continue;
        }
        for (size_t i = 0; i < room->n_containers && each; i++) {
            n += c->h->t->plant[i].growing;
        }
        calendar_work(c, WORK_CARE, n * room->labour.care_min);
        c->care_day[k] = calendar_today(c);
        if (k == CARE_FILTER) {
            faults_look_at_filter(c->f, c->h);
        }
    }
}

void calendar_care(struct calendar *c)
{
    calibrate(c);
    care_kinds(c);
}
