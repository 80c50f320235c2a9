#include "daemon/core/state/waters.h"

#include "daemon/core/chem/ions.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/root_gas.h"

#include <math.h>

/* Guesses of what a supply brings, mmol/L for each meq/L of its alkalinity (waters.h). */
#define CA_OF_ALKALINITY 0.4
#define MG_OF_ALKALINITY 0.1

/* A pH further off than this from what can be is the alkalinity's fault, and only by what it is
 * further off: two meters' errors, and phosphate that is not quite known. The smaller dose is the
 * safe side. Common practice, no source. */
#define PH_SLACK 0.3

#define UNTOLD_PH 7.5 /* of a supply whose pH the room file does not say; common practice */
#define DAY_S     86400.0

bool waters_known(const struct dissolved *w)
{
    return isfinite(w->alkalinity_meq_l);
}

double waters_ml_mmol(const struct product *p)
{
    return p->reagent == REAGENT_NONE || !(p->mol_ml > 0) ? 1 : 1e-3 / p->mol_ml;
}

enum reagent waters_reagent(const struct product *p)
{
    if (p->reagent != REAGENT_NONE) {
        return p->reagent;
    }
    return p->kind == PRODUCT_BASE ? REAGENT_KOH : REAGENT_NITRIC;
}

/* What comes with the source and is in no feed, whatever was done to its alkalinity since: nothing
 * where its analysis was told, for then every feed has it (fold_rules.h); else it is guessed. */
static struct ions ballast(const struct room *room, const struct state *s)
{
    double meq_l = isfinite(s->alkalinity.var) ? fmax(0, s->alkalinity.value) : 0;
    struct ions i = {0};

    if (nutrients_none(&room->source.brings)) {
        i.mmol_l[ION_CA] = CA_OF_ALKALINITY * meq_l;
        i.mmol_l[ION_MG] = MG_OF_ALKALINITY * meq_l;
    }
    return i;
}

struct dissolved waters_source(const struct room *room, const struct state *s)
{
    struct dissolved w = {
        .alkalinity_meq_l = NAN, .temp_c = WATERS_ROOM_C, .ions = ballast(room, s)};

    waters_feed(&w, &room->source.brings);
    if (isfinite(s->alkalinity.var)) {
        w.alkalinity_meq_l = fmax(0, s->alkalinity.value);
        w.carbonate_mmol_l =
            balance_carbonate_mmol_l(&w, isfinite(room->source.ph) ? room->source.ph : UNTOLD_PH);
    }
    return w;
}

void waters_feed(struct dissolved *w, const struct nutrients *mg_l)
{
    struct ions more = ions_of_nutrients(mg_l);

    for (int i = 0; i < ION_COUNT; i++) {
        w->ions.mmol_l[i] += more.mmol_l[i];
    }
}

void waters_show(struct dissolved *w, double ph)
{
    if (waters_known(w)) {
        w->alkalinity_meq_l = balance_alkalinity_closed_meq_l(w, ph);
        return;
    }
    w->alkalinity_meq_l = balance_alkalinity_open_meq_l(w, ph);
    w->carbonate_mmol_l = balance_carbonate_open_mmol_l(w, ph);
}

/* A pH that was read of a water that stood: mostly it says how much gas has left. It
 * cannot lie above the balance with the air, nor below what it was when it was
 * stirred: there the alkalinity is another than was believed. */
static void read_later(struct dissolved *w, double days, double ph)
{
    double stirred_ph = balance_ph_closed(w);

    if (ph > balance_ph_open(w) + PH_SLACK) {
        w->alkalinity_meq_l = balance_alkalinity_open_meq_l(w, ph - PH_SLACK);
        w->carbonate_mmol_l = balance_carbonate_mmol_l(w, ph);
    } else if (ph < stirred_ph - PH_SLACK) {
        balance_stand(w, days);
        w->alkalinity_meq_l = balance_alkalinity_closed_meq_l(w, ph);
    } else {
        w->carbonate_mmol_l = balance_carbonate_mmol_l(w, ph);
    }
}

/* A water by its buffer (NULL = nothing is known of it), and what products brought to it. */
static struct dissolved buffered(const struct room *room, const struct state *s,
                                 const struct ph_buffer *b, const struct nutrients *feed)
{
    struct dissolved w = {.alkalinity_meq_l = b ? b->alkalinity_meq_l : NAN,
                          .carbonate_mmol_l = b ? b->carbonate_mmol_l : 0,
                          .citrate_mmol_l = b ? b->citrate_mmol_l : 0,
                          .temp_c = WATERS_ROOM_C,
                          .ions = ballast(room, s)};

    if (!nutrients_none(feed)) {
        waters_feed(&w, feed);
    }
    return w;
}

struct dissolved waters_reservoir(const struct room *room, const struct state *s, int64_t t_s)
{
    const struct reservoir_state *r = &s->reservoir;
    int64_t since_s = r->buffer.at_s;
    struct dissolved w = buffered(room, s, since_s ? &r->buffer : NULL, &r->feed);

    if (!waters_known(&w) && !r->holds_mix) { /* what the source brought, as far as anybody knows */
        struct dissolved source = waters_source(room, s);

        w.alkalinity_meq_l = source.alkalinity_meq_l;
        w.carbonate_mmol_l = source.carbonate_mmol_l;
    }
    if (!waters_known(&w)) {
        return w;
    }
    if (r->ph.at_s > since_s && r->ph.at_s <= t_s) {
        double days = since_s ? (double)(r->ph.at_s - since_s) / DAY_S : 0;

        read_later(&w, days, r->ph.value);
        since_s = r->ph.at_s;
    }
    if (since_s && t_s > since_s) {
        balance_stand(&w, (double)(t_s - since_s) / DAY_S);
    }
    return w;
}

struct dissolved waters_cans(const struct room *room, const struct state *s)
{
    const struct drawn_off *cans = &s->reservoir.cans;

    return buffered(room, s, cans->volume_l > 0 ? &cans->buffer : NULL, &cans->feed);
}

/* The bicarbonate that came with what the float let in since the solution was stirred, mmol/L. */
static double topped_up_mmol_l(const struct room *room, const struct state *s, size_t i,
                               int64_t t_s)
{
    struct forecast now = forecast_container(room, s, i, t_s);
    struct dissolved water = waters_reservoir(room, s, t_s);
    double days = (double)(t_s - s->container[i].stirred_s) / DAY_S;

    return s->container[i].reached_s && waters_known(&water)
               ? forecast_turns_day(&now) * days * fmax(0, water.alkalinity_meq_l)
               : 0;
}

struct dissolved waters_container(const struct room *room, const struct state *s, size_t i,
                                  double ph, int64_t t_s)
{
    const struct container_state *cs = &s->container[i];
    struct dissolved w = {.temp_c = WATERS_ROOM_C, .ions = ballast(room, s)};
    double gas_mmol_l = root_gas_kept_mmol_l();
    double most_mmol_l = INFINITY;

    if (!nutrients_none(&cs->feed)) {
        waters_feed(&w, &cs->feed);
    }
    w.ions.mmol_l[ION_H2PO4] = cs->phosphate_mmol_l;
    if (cs->stirred_s && t_s >= cs->stirred_s) {
        double days = (double)(t_s - cs->stirred_s) / DAY_S;

        gas_mmol_l = root_gas_mmol_l(cs->gas_mmol_l, days);
        most_mmol_l = root_gas_carbonate_most_mmol_l(cs->carbonate_mmol_l, cs->gas_mmol_l, days) +
                      topped_up_mmol_l(room, s, i, t_s);
    }
    balance_hold_gas(&w, fmin(ph, ROOT_GAS_PH_HIGHEST), gas_mmol_l);
    w.carbonate_mmol_l = fmin(w.carbonate_mmol_l, most_mmol_l);
    waters_show(&w, ph);
    return w;
}

struct dissolved waters_mixed(const struct dissolved *a, double a_l, const struct dissolved *b,
                              double b_l)
{
    double share = b_l / (a_l + b_l);
    struct dissolved w = *a;

    if (share >= 1 || share <= 0) {
        return share >= 1 ? *b : *a;
    }
    w.alkalinity_meq_l += share * (b->alkalinity_meq_l - a->alkalinity_meq_l);
    w.carbonate_mmol_l += share * (b->carbonate_mmol_l - a->carbonate_mmol_l);
    w.citrate_mmol_l += share * (b->citrate_mmol_l - a->citrate_mmol_l);
    for (int i = 0; i < ION_COUNT; i++) {
        w.ions.mmol_l[i] += share * (b->ions.mmol_l[i] - a->ions.mmol_l[i]);
    }
    return w;
}

void waters_dose(struct dissolved *w, const struct room *room, const struct state *s,
                 size_t product, double amount_ml, double volume_l)
{
    const struct product *p = &room->product[product];

    if ((p->kind == PRODUCT_ACID || p->kind == PRODUCT_BASE) && volume_l > 0) {
        balance_add(w, waters_reagent(p),
                    amount_ml / (waters_ml_mmol(p) * s->product[product].strength.value) /
                        volume_l);
    }
}

int waters_acid_of(const struct room *room, const struct entry *e, size_t *out_product)
{
    int found = -1;

    for (size_t k = 0; k < e->n_amounts; k++) {
        struct subject p = room_find(room, e->amount[k].product);

        if (p.kind == SUBJECT_PRODUCT && (room->product[p.at].kind == PRODUCT_ACID ||
                                          room->product[p.at].kind == PRODUCT_BASE)) {
            if (found >= 0) {
                return -1;
            }
            found = (int)k;
            *out_product = p.at;
        }
    }
    return found;
}

struct drawn_off waters_drawn_off(const struct room *room, const struct state *s, int64_t t_s,
                                  double volume_l)
{
    struct drawn_off cans = s->reservoir.cans;
    struct dissolved were = waters_cans(room, s);
    struct dissolved w = waters_reservoir(room, s, t_s);

    volume_l = fmin(volume_l, fmax(0, room->reservoir.cans_l - cans.volume_l));
    if (!(volume_l > 0)) {
        return cans;
    }
    w = waters_mixed(&were, cans.volume_l, &w, volume_l);
    nutrients_pour(&cans.feed, cans.volume_l, &s->reservoir.feed, volume_l);
    cans.volume_l += volume_l;
    cans.buffer = (struct ph_buffer){w.alkalinity_meq_l, w.carbonate_mmol_l, w.citrate_mmol_l, t_s};
    return cans;
}

struct dissolved waters_let_in(const struct room *room, const struct state *s, int64_t t_s,
                               double before_l, double total_l)
{
    double had_l = fmax(0, fmin(before_l, total_l));
    double again_l = fmax(0, fmin(s->reservoir.cans.volume_l, total_l - had_l));
    double fresh_l = fmax(0, total_l - had_l - again_l);
    struct dissolved w = waters_source(room, s);

    if (again_l > 0) {
        struct dissolved cans = waters_cans(room, s);

        w = waters_mixed(&cans, again_l, &w, fresh_l);
    }
    if (had_l > 0) {
        struct dissolved was = waters_reservoir(room, s, t_s);

        w = waters_mixed(&was, had_l, &w, again_l + fresh_l);
    }
    return w;
}

struct dissolved waters_undosed(const struct room *room, const struct state *s)
{
    const struct ph_buffer let_in = s->reservoir.let_in;

    return buffered(room, s, &let_in, &s->reservoir.feed);
}

bool waters_is_let_in(const struct state *s, int64_t t_s)
{
    int64_t at_s = s->reservoir.let_in.at_s;

    return at_s && t_s - at_s <= WATERS_READ_BEFORE_S;
}
