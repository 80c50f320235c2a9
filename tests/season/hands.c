#include "tests/season/hands.h"

#include "daemon/base/mem.h"
#include "daemon/core/room/portion.h"
#include "tests/sim/bottle.h"

#include <math.h>
#include <stdlib.h>

#define STRENGTH_SD 0.05 /* ln: a bottle and its label … */
#define ACID_SD     0.10 /* … of acid or base, which stand open and are thinned by hand */
#define STIR_SD     0.005
#define FILM_L      0.15 /* of a mix, after a rinse */
#define PART_DAY_H  2.0  /* of making water while the reservoir is filled */
#define ABOVE_FRAC  0.005
#define JUG_FRAC    1.2 /* a jug has room for a correction */
#define HALVINGS    40
#define MOST_ML_L   200.0 /* of acid or base in a litre: more than anything takes */

enum { DRAW_STRENGTH = 100, DRAW_HANDS = 102 }; /* purposes of dice, apart from the truth's */

void hands_init(struct hands *h, const struct room *room, struct truth *t, struct ledger *l,
                uint64_t seed)
{
    *h = (struct hands){.room = room,
                        .t = t,
                        .l = l,
                        .seed = seed,
                        .dice = dice_of(seed, DRAW_HANDS, 0, 0),
                        .ec_slope = 1,
                        .strength = mem_array(room->n_products, sizeof *h->strength),
                        .dosed = mem_array(room->n_containers + 2, sizeof *h->dosed),
                        .stock = mem_array(room->n_products, sizeof *h->stock),
                        .source_l = room->source.stored_l,
                        .source_frac = 1};
    for (size_t i = 0; i < room->n_products; i++) {
        enum product_kind kind = room->product[i].kind;
        bool sour = kind == PRODUCT_ACID || kind == PRODUCT_BASE;
        struct dice d = dice_of(seed, DRAW_STRENGTH, i, 0);

        h->strength[i] = exp((sour ? ACID_SD : STRENGTH_SD) * dice_normal(&d));
        h->stock[i] = room->product[i].stock;
    }
}

void hands_deinit(struct hands *h)
{
    free(h->strength);
    free(h->dosed);
    free(h->stock);
    *h = (struct hands){0};
}

static void work(struct hands *h, enum work what, double minutes)
{
    ledger_work(h->l, h->day, what, minutes);
}

/* ---- doses */

struct doses hands_by_label(const struct hands *h, size_t recipe, double volume_l,
                            double gain_ms_cm)
{
    const struct recipe *r = &h->room->recipe[recipe];
    double share = fmax(0, gain_ms_cm) / r->ec_gain_ms_cm;
    struct doses d = {{0}};

    for (size_t k = 0; k < r->n_doses; k++) {
        bool dry = h->room->product[r->dose[k].product].kind == PRODUCT_DRY;

        d.amount[k] =
            portion_of(&h->room->measures, dry, volume_l * share * r->dose[k].per_l).product;
    }
    return d;
}

bool hands_have(const struct hands *h, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &h->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        if (h->stock[r->dose[k].product] < d->amount[k]) {
            return false;
        }
    }
    return true;
}

/* Stirs doses in. */
static void stir_in(struct hands *h, struct water_body *w, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &h->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;
        double stirs = exp(STIR_SD * dice_normal(&h->dice));

        h->stock[product] = fmax(0, h->stock[product] - d->amount[k]);
        h->l->used[product] += d->amount[k];
        h->stirred.amount[k] += d->amount[k];
        bottle_add(w, h->room, product, d->amount[k] * h->strength[product] * stirs);
    }
}

/* A solution in the making, and how much its vessel takes. */
struct stirring {
    size_t recipe;
    struct water_body *w;
    double fits_l;
};

/* Stirs doses in, measures, and corrects once: concentrate where it is too weak, water where it is
 * too strong and the vessel takes it. Gives what it shows then. */
static double stir(struct hands *h, const struct stirring *m, double wanted_ms_cm,
                   const struct doses *d)
{
    double serves = h->room->tolerance_pct / 200;
    double water = h->room->source.ec_ms_cm;
    double shows;

    h->stirred = (struct doses){{0}};
    stir_in(h, m->w, m->recipe, d);
    shows = hands_ec(h, m->w);
    if (shows < wanted_ms_cm * (1 - serves)) {
        struct doses more = hands_by_label(h, m->recipe, m->w->volume_l, wanted_ms_cm - shows);

        if (hands_have(h, m->recipe, &more)) {
            stir_in(h, m->w, m->recipe, &more);
        }
        shows = hands_ec(h, m->w);
    } else if (shows > wanted_ms_cm * (1 + serves) && wanted_ms_cm > water) {
        double want_l = m->w->volume_l * (shows - wanted_ms_cm) / (wanted_ms_cm - water);
        double add_l = fmax(0, fmin(m->fits_l - m->w->volume_l, want_l));

        water_pour_like(m->w, &h->t->source, add_l);
        h->l->water_l += add_l;
        shows = hands_ec(h, m->w);
    }
    return shows;
}

/* ---- acid and base */

struct water_body *hands_water(struct hands *h, size_t vessel)
{
    return vessel == HANDS_TANK  ? &h->t->reservoir
           : vessel == HANDS_JUG ? &h->jug
                                 : &h->t->plant[vessel].water;
}

static bool *dosed_of(const struct hands *h, size_t vessel)
{
    size_t n = h->room->n_containers;

    return &h->dosed[vessel == HANDS_TANK ? n + 1 : vessel == HANDS_JUG ? n : vessel];
}

bool hands_is_dosed(const struct hands *h, size_t vessel)
{
    return *dosed_of(h, vessel);
}

double hands_dose(struct hands *h, size_t vessel, size_t product, double ml)
{
    struct water_body *w = hands_water(h, vessel);

    if (h->stock[product] < ml) { /* the next bottle stands on the shelf */
        h->stock[product] += fmax(ml, h->room->product[product].stock);
    }
    h->stock[product] -= ml;
    h->l->used[product] += ml;
    bottle_add(w, h->room, product, ml * h->strength[product]);
    *dosed_of(h, vessel) = true;
    if (h->room->product[product].kind == PRODUCT_ACID) {
        ledger_ph(&h->l->dosed_ph, water_ph(w));
    }
    if (vessel == HANDS_TANK) {
        ledger_ph(&h->l->tank_ph, water_ph(w));
    } else if (vessel != HANDS_JUG) {
        ledger_ph(&h->l->plant_ph, water_ph(w));
    }
    return hands_ph(h, w);
}

double hands_needs_ml(struct hands *h, size_t vessel, size_t product, double ph)
{
    bool down = h->room->product[product].kind == PRODUCT_ACID;
    double lo = 0;
    double hi = MOST_ML_L * hands_water(h, vessel)->volume_l;

    for (int k = 0; k < HALVINGS; k++) {
        struct water_body w = *hands_water(h, vessel);
        double ml = (lo + hi) / 2;

        bottle_add(&w, h->room, product, ml * h->strength[product]);
        if (down ? water_ph(&w) + h->ph_offset > ph : water_ph(&w) + h->ph_offset < ph) {
            lo = ml;
        } else {
            hi = ml;
        }
    }
    return lo;
}

/* ---- the reservoir */

static double source_has_l(const struct hands *h)
{
    return h->source_l + PART_DAY_H * h->room->source.rate_l_h * h->source_frac;
}

double hands_water_l(const struct hands *h)
{
    return source_has_l(h) + h->cans.volume_l + (h->t->holds_mix ? 0 : h->t->reservoir.volume_l);
}

/* Lets plain water in, as far as there is any: from the cans first. */
static double let_in(struct hands *h, double want_l)
{
    struct truth *t = h->t;
    double film_l = h->film.volume_l;
    double again_l = fmin(fmax(0, want_l - film_l), h->cans.volume_l);
    double fresh_l = fmax(0, fmin(want_l - film_l - again_l, source_has_l(h)));

    h->again_l = again_l;
    water_pour(&t->reservoir, &h->film, film_l);
    water_pour(&t->reservoir, &h->cans, again_l);
    water_pour_like(&t->reservoir, &t->source, fresh_l);
    h->source_l = fmax(0, h->source_l - fresh_l);
    h->l->water_l += fresh_l;
    return again_l + fresh_l;
}

/* What the reservoir holds too much of makes way: plain water into cans, as far as
 * there are any. */
static void draw_off(struct hands *h, double volume_l)
{
    struct truth *t = h->t;
    double kept_l = t->holds_mix ? 0 : fmin(volume_l, h->room->reservoir.cans_l - h->cans.volume_l);

    h->l->plain_l += t->holds_mix ? 0 : volume_l - kept_l;
    h->l->rest_l += t->holds_mix ? volume_l : 0;
    water_pour(&h->cans, &t->reservoir, kept_l);
    water_drain_to(&t->reservoir, t->reservoir.volume_l - (volume_l - kept_l));
}

double hands_bring(struct hands *h, double volume_l, double *out_l)
{
    struct truth *t = h->t;

    if (!h->open) {
        h->open = true;
        h->l->changeovers++;
        h->l->changeover_days += !h->l->opened[h->day];
        h->l->opened[h->day] = true;
        work(h, WORK_CHANGEOVER, h->room->labour.changeover_min);
    }
    if (t->reservoir.volume_l > volume_l) {
        draw_off(h, t->reservoir.volume_l - volume_l);
    } else {
        (void)let_in(h, volume_l - t->reservoir.volume_l);
    }
    *out_l = t->reservoir.volume_l;
    return hands_ec(h, &t->reservoir);
}

struct shown hands_mix(struct hands *h, size_t recipe, double ec_ms_cm, const struct doses *d)
{
    struct truth *t = h->t;
    double was_mix_l = t->holds_mix ? t->reservoir.volume_l : 0;
    struct stirring m = {recipe, &t->reservoir, h->room->reservoir.capacity_l};
    struct shown shown;

    work(h, WORK_CHANGEOVER, h->room->labour.load_min);
    h->l->mixes++;
    shown.ec_ms_cm = stir(h, &m, ec_ms_cm, d);
    shown.volume_l = t->reservoir.volume_l;
    t->holds_mix = true;
    h->l->mixed_l += t->reservoir.volume_l - was_mix_l;
    return shown;
}

static void note_level(struct hands *h, size_t i)
{
    const struct truth_plant *p = &h->t->plant[i];
    double line_l = h->room->container[i].float_volume_l;

    h->l->above += p->float_day <= p->age_day && p->water.volume_l > line_l * (1 + ABOVE_FRAC);
}

/* Drains container i, and pours so much of another vessel in. */
static void change(struct hands *h, size_t i, size_t from, double to_l, double has_l)
{
    struct truth_plant *p = &h->t->plant[i];
    double was_l = p->water.volume_l;

    water_drain_to(&p->water, h->room->container[i].remainder_l);
    h->l->drained_l += was_l - p->water.volume_l;
    water_pour(&p->water, hands_water(h, from), fmin(to_l - p->water.volume_l, has_l));
    *dosed_of(h, i) = hands_is_dosed(h, from);
    if (isnan(p->float_day)) {
        p->float_day = p->age_day;
    }
    h->l->changes++;
    work(h, WORK_CHANGE, h->room->labour.change_min);
    note_level(h, i);
}

void hands_change(struct hands *h, size_t i)
{
    const struct container *c = &h->room->container[i];

    change(h, i, HANDS_TANK, h->t->plant[i].stuck ? c->start_volume_l : c->float_volume_l,
           fmax(0, h->t->reservoir.volume_l - h->room->reservoir.remainder_l));
}

static struct shown make_in_jug(struct hands *h, double volume_l, double fits_l, size_t recipe,
                                double ec_ms_cm, const struct doses *d)
{
    struct stirring m = {recipe, &h->jug, fits_l};
    struct shown shown = {.volume_l = volume_l};

    h->jug = (struct water_body){0};
    *dosed_of(h, HANDS_JUG) = false;
    water_pour_like(&h->jug, &h->t->source, volume_l);
    h->l->water_l += volume_l;
    shown.ec_ms_cm = stir(h, &m, ec_ms_cm, d);
    h->l->mixed_l += h->jug.volume_l;
    return shown;
}

struct shown hands_make_change(struct hands *h, size_t i, size_t recipe, double ec_ms_cm,
                               const struct doses *d)
{
    const struct container *c = &h->room->container[i];
    double volume_l = c->float_volume_l - c->remainder_l;

    h->l->jugs++;
    work(h, WORK_CHANGE, h->room->labour.pour_min);
    return make_in_jug(h, volume_l, JUG_FRAC * volume_l, recipe, ec_ms_cm, d);
}

void hands_pour(struct hands *h, size_t i)
{
    const struct container *c = &h->room->container[i];

    change(h, i, HANDS_JUG, c->float_volume_l, c->float_volume_l - c->remainder_l);
    h->l->rest_l += h->jug.volume_l;
}

void hands_rinse(struct hands *h)
{
    if (h->t->holds_mix) {
        h->film = (struct water_body){0};
        water_pour_like(&h->film, &h->t->reservoir, FILM_L);
    }
    draw_off(h, h->t->reservoir.volume_l);
    h->t->holds_mix = false;
    *dosed_of(h, HANDS_TANK) = false;
}

double hands_fill(struct hands *h)
{
    h->open = false;
    return let_in(h, h->room->reservoir.capacity_l - h->t->reservoir.volume_l);
}

void hands_feed(struct hands *h)
{
    const struct reservoir *v = &h->room->reservoir;
    struct stirring m = {v->feed_at, &h->t->reservoir, v->capacity_l};
    double gain = v->feed_ms_cm - hands_ec(h, &h->t->reservoir);
    struct doses d;

    if (room_feeds(h->room) && gain > 0) {
        d = hands_by_label(h, v->feed_at, h->t->reservoir.volume_l, gain);
        (void)stir(h, &m, v->feed_ms_cm, &d);
    }
}

/* ---- containers */

struct shown hands_make_start(struct hands *h, size_t i, double ec_ms_cm, const struct doses *d)
{
    const struct container *c = &h->room->container[i];

    return make_in_jug(h, c->start_volume_l, c->start_volume_l,
                       h->room->crop[c->crop].stage[0].recipe_at, ec_ms_cm, d);
}

void hands_start(struct hands *h, size_t i)
{
    truth_start(h->t, i, &h->jug);
    *dosed_of(h, i) = hands_is_dosed(h, HANDS_JUG);
    work(h, WORK_OTHER, h->room->labour.start_min);
}

double hands_bump(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, const struct doses *d)
{
    struct water_body *w = &h->t->plant[i].water;
    struct stirring m = {recipe, w, w->volume_l};
    double shows = stir(h, &m, ec_ms_cm, d);

    h->l->bumps++;
    work(h, WORK_BUMP, h->room->labour.bump_min);
    note_level(h, i);
    return shows;
}

void hands_harvest(struct hands *h, size_t i)
{
    h->l->drained_l += h->t->plant[i].water.volume_l;
    truth_harvest(h->t, i);
    work(h, WORK_OTHER, h->room->labour.harvest_min);
}

void hands_receive(struct hands *h, size_t product, double amount)
{
    h->stock[product] += amount;
}
