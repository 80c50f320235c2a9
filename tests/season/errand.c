#include "tests/season/errand.h"

#define LOW_FRAC    0.2 /* of a new bottle of acid or base: another is bought */
#define BRINGS_DAYS 2 /* from buying to having: a parcel's usual time; common practice, no source */
#define PH_OUT      0.1 /* truly outside, whatever a meter says: what a good pen is off by */

struct subject errand_subject(const struct errand *e, size_t k)
{
    const json_t *name = json_array_get(json_object_get(e->task, "subjects"), k);

    return room_find(e->g->room, json_string_value(name));
}

size_t errand_n_subjects(const struct errand *e)
{
    return json_array_size(json_object_get(e->task, "subjects"));
}

json_t *errand_figures(const struct errand *e, const char *subject)
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

void errand_tell(json_t *figures, const char *key, double value)
{
    (void)json_object_set_new(figures, key, json_real(value));
}

static json_t *amounts_in(json_t *figures)
{
    json_t *amounts = json_object_get(figures, "amounts");

    if (!amounts) {
        amounts = json_object();
        (void)json_object_set_new(figures, "amounts", amounts);
    }
    return amounts;
}

static void buy(struct errand *e, size_t product)
{
    if (e->g->bought_day[product] < 0) {
        e->g->bought_day[product] = (int64_t)e->g->h->day;
        ledger_work(e->g->h->l, e->g->h->day, WORK_OTHER, e->g->room->labour.reorder_min);
    }
}

/* Acid that the daemon is not told of runs out unforeseen by it: a person sees the bottle. */
static void buy_when_low(struct errand *e, size_t product)
{
    if (e->g->h->stock[product] < LOW_FRAC * e->g->room->product[product].stock) {
        buy(e, product);
    }
}

void errand_tell_amounts(const struct errand *e, json_t *figures, size_t recipe)
{
    const struct room *room = e->g->room;
    const struct recipe *r = &room->recipe[recipe];
    json_t *amounts = amounts_in(figures);

    for (size_t k = 0; k < r->n_doses; k++) {
        (void)json_object_set_new(amounts, room->product[r->dose[k].product].name,
                                  json_real(e->g->h->stirred.amount[k]));
    }
}

void errand_tell_acid(struct errand *e, json_t *figures, const struct acid_given *given)
{
    const struct product *p;

    if (given->product == SIZE_MAX) {
        return;
    }
    p = &e->g->room->product[given->product];
    (void)json_object_set_new(amounts_in(figures), p->name, json_real(given->ml));
    buy_when_low(e, given->product);
}

void errand_tell_ph(struct errand *e, json_t *figures, const struct acid_given *given)
{
    errand_tell(figures, "ph", given->ph);
    errand_tell_acid(e, figures, given);
}

/* A call to make once the task was acknowledged. */
void errand_then(struct errand *e, const char *method, json_t *params)
{
    (void)json_array_append_new(e->after, json_pack("[s,o]", method, params));
}

enum chore errand_put_off(struct errand *e, int days, const char *why)
{
    e->days_off = days;
    e->why = why;
    e->g->h->l->put_off++;
    return CHORE_PUT_OFF;
}

enum chore errand_buy_first(struct errand *e, size_t recipe, const struct doses *d)
{
    const struct recipe *r = &e->g->room->recipe[recipe];

    for (size_t k = 0; k < r->n_doses; k++) {
        size_t product = r->dose[k].product;

        if (e->g->h->stock[product] < d->amount[k]) {
            buy(e, product);
        }
    }
    return errand_put_off(e, BRINGS_DAYS, "a bottle is empty, a new one is on its way");
}

static void note_ph(struct errand *e, size_t i)
{
    const struct stage *stage = truth_stage(e->g->h->t, i);
    double ph = water_ph(&e->g->h->t->plant[i].water);

    if (ph < stage->ph_min - PH_OUT || ph > stage->ph_max + PH_OUT) {
        e->g->ph_out_day[i] = (int64_t)e->g->h->day;
    }
}

json_t *errand_read_container(struct errand *e, size_t i, bool level)
{
    struct hands *h = e->g->h;
    json_t *figures = json_object();

    note_ph(e, i);
    errand_tell(figures, "ec_ms_cm", hands_ec(h, &h->t->plant[i].water));
    errand_tell(figures, "ph", hands_ph(h, &h->t->plant[i].water));
    if (level || hands_level_is_odd(h, i)) {
        errand_tell(figures, "volume_l", hands_level(h, i));
    }
    errand_tell(figures, "temp_c", hands_temp(h));
    ledger_work(h->l, h->day, WORK_READ, e->g->room->labour.read_min);
    return figures;
}

json_t *errand_read_tank(struct errand *e)
{
    struct hands *h = e->g->h;
    json_t *figures = json_object();

    errand_tell(figures, "ec_ms_cm", hands_ec(h, &h->t->reservoir));
    errand_tell(figures, "ph", hands_ph(h, &h->t->reservoir));
    errand_tell(figures, "volume_l", hands_tank(h));
    errand_tell(figures, "temp_c", hands_temp(h));
    ledger_work(h->l, h->day, WORK_READ, e->g->room->labour.read_min);
    return figures;
}

void errand_then_read(struct errand *e, const char *subject, json_t *figures)
{
    errand_then(
        e, "record",
        json_pack("{s:s,s:{s:o},s:b}", "kind", "reading", "subjects", subject, figures, "sure", 1));
}
