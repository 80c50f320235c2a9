#include "daemon/core/state/dosed_water.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/fold_rules.h"

#include "daemon/core/state/root_gas.h"
#include "daemon/core/state/rooted.h"
#include "daemon/core/state/standing.h"

#include <math.h>
#include <string.h>

/* What an observation of a recipe, and of an acid, is worth: a meter's doubt, and a syringe's.
 * Common practice, no source. */
#define EC_NOISE_MS_CM  0.02
#define EC_NOISE_FRAC   0.03
#define SHARE_LEAST     0.02 /* of the full dose: less than this shows nothing */
#define SHARE_SPREAD    0.10 /* products dosed this unevenly are another recipe */
#define PH_NOISE        0.07 /* of the difference of two readings */
#define DOSE_NOISE_FRAC 0.10 /* of what was poured in */
#define PH_STEP_LEAST   0.1  /* a smaller step is the meters' error */

/* Of a supply, meq/L; and what a dose says of it: both pH are read, and the bottle is
 * by its label. */
#define ALKALINITY_LEAST      0.001
#define ALKALINITY_MOST       30.0
#define ALKALINITY_NOISE_FRAC 0.25
#define HALVINGS              40

/* Share of the recipe's full dose that the entry's amounts make in volume_l; NaN when not all of
 * its products were told of, or not in the recipe's proportion. */
static double told_share(const struct fold *f, const struct recipe *r, double volume_l)
{
    double lo = INFINITY;
    double hi = 0;

    for (size_t i = 0; i < r->n_doses; i++) {
        const char *name = f->room->product[r->dose[i].product].name;
        double share = 0;

        for (size_t k = 0; k < f->e->n_amounts; k++) {
            if (strcmp(f->e->amount[k].product, name) == 0) {
                share = f->e->amount[k].amount / (volume_l * r->dose[i].per_l);
            }
        }
        lo = fmin(lo, share);
        hi = fmax(hi, share);
    }
    return lo >= SHARE_LEAST && hi - lo <= SHARE_SPREAD * hi ? (lo + hi) / 2 : NAN;
}

/* A mix that was measured: what the dose really added to a water of base_ec. Amounts of a task that
 * nobody told are the sheet's: with the EC that it was corrected to they would only teach what was
 * believed already. So a task's mix teaches where the EC before the correction is told (the
 * amounts are then those of the EC in the end: deed_put_mix); what is recorded by itself has told
 * amounts alone. */
void fold_learn_gain(const struct fold *f, size_t recipe, double volume_l, double base_ec)
{
    double share = told_share(f, &f->room->recipe[recipe], volume_l);
    double rise = f->e->figure[FIGURE_EC_MS_CM] - base_ec;
    bool told = f->e->task == 0 || entry_has(f->e, FIGURE_WAS_MS_CM);

    if (told && share > 0 && rise > 0) {
        /* A weak dose adds more than its share: a straight line would learn too much from it. */
        share = dosing_gain_frac(f->room, f->s, recipe, base_ec, share);
        (void)learned_take(&f->s->recipe[recipe].gain, share, rise,
                           EC_NOISE_MS_CM + EC_NOISE_FRAC * rise);
    }
}

double fold_told_rise(const struct fold *f, size_t recipe, double volume_l, double from_ms_cm)
{
    double share = told_share(f, &f->room->recipe[recipe], volume_l);

    return share > 0 ? dosing_gain_frac(f->room, f->s, recipe, from_ms_cm, share) *
                           f->s->recipe[recipe].gain.value
                     : 0;
}

/* The alkalinity of a plain water that this dose took from one pH to the other, closed. */
static double alkalinity_of_dose(struct dissolved w, double ph_from, double ph_to,
                                 enum reagent reagent, double mmol_l)
{
    double lo = ALKALINITY_LEAST;
    double hi = ALKALINITY_MOST;

    for (int i = 0; i < HALVINGS; i++) {
        struct dissolved dosed;

        w.alkalinity_meq_l = (lo + hi) / 2;
        w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, ph_from);
        dosed = w;
        balance_add(&dosed, reagent, mmol_l);
        if (balance_ph_closed(&dosed) < ph_to) {
            lo = w.alkalinity_meq_l;
        } else {
            hi = w.alkalinity_meq_l;
        }
    }
    return (lo + hi) / 2;
}

/* Where no report says what the water brings, the first doses into it do. */
static void learn_alkalinity(const struct fold *f, size_t product, double mmol_l)
{
    const struct reservoir_state *r = &f->s->reservoir;
    bool read = r->ph.at_s && f->e->happened_s >= r->ph.at_s &&
                f->e->happened_s - r->ph.at_s <= WATERS_READ_BEFORE_S;
    double from = read ? r->ph.value : f->room->source.ph;
    double to = f->e->figure[FIGURE_PH];
    double meq_l;

    if (f->pot || r->holds_mix || isfinite(r->buffer.alkalinity_meq_l) || !isfinite(from) ||
        from - to < PH_STEP_LEAST || f->room->product[product].kind != PRODUCT_ACID) {
        return;
    }
    meq_l = alkalinity_of_dose(waters_source(f->room, f->s), from, to,
                               waters_reagent(&f->room->product[product]), mmol_l);
    (void)learned_take(&f->s->alkalinity, 1, meq_l, ALKALINITY_NOISE_FRAC * meq_l);
}

/* What a bottle really does: what was poured in beside what label and balance ask for. */
static void learn_strength(const struct fold *f, size_t product, double told_ml,
                           const struct dissolved *before, double volume_l)
{
    const struct product *p = &f->room->product[product];
    double step = f->e->figure[FIGURE_PH] - balance_ph_closed(before);
    double near = f->e->figure[FIGURE_PH] + (step < 0 ? PH_NOISE : -PH_NOISE);
    double mmol_l;
    double less_l;
    double ml;

    if (p->kind != (step < 0 ? PRODUCT_ACID : PRODUCT_BASE) || fabs(step) < PH_STEP_LEAST ||
        balance_dose_closed(before, waters_reagent(p), f->e->figure[FIGURE_PH], &mmol_l, NULL) <
            0 ||
        balance_dose_closed(before, waters_reagent(p), near, &less_l, NULL) < 0) {
        return;
    }
    ml = mmol_l * volume_l * waters_ml_mmol(p);
    if (ml > 0) {
        (void)learned_take(
            &f->s->product[product].strength, ml, told_ml,
            hypot(DOSE_NOISE_FRAC * told_ml, (mmol_l - less_l) * volume_l * waters_ml_mmol(p)));
    }
}

bool fold_learn_acid(const struct fold *f, const struct dissolved *before, double volume_l)
{
    bool known = isfinite(f->s->alkalinity.var);
    bool reported = isfinite(f->room->source.alkalinity_mg_l);
    const struct learned *strength;
    size_t product;
    int k = waters_acid_of(f->room, f->e, &product);
    double ml;

    if (k < 0 || !entry_has(f->e, FIGURE_PH) || !(volume_l > 0) || !(f->e->amount[k].amount > 0)) {
        return false;
    }
    ml = f->e->amount[k].amount;
    strength = &f->s->product[product].strength;
    if (!reported) {
        learn_alkalinity(f, product,
                         ml / (waters_ml_mmol(&f->room->product[product]) * strength->value) /
                             volume_l);
    }
    /* A bottle that does not say what it is has no measure but a reported alkalinity. */
    if (known && waters_known(before) && (reported || isfinite(strength->var))) {
        learn_strength(f, product, ml, before, volume_l);
    }
    return true;
}

/* The entry's acid or base is stirred into a water that is known, which then shows the pH that was
 * told. */
static void stir(const struct fold *f, struct dissolved *w, double volume_l)
{
    size_t product;
    int k = waters_acid_of(f->room, f->e, &product);

    if (k >= 0 && waters_known(w)) {
        waters_dose(w, f->room, f->s, product, f->e->amount[k].amount, volume_l);
    }
    if (entry_has(f->e, FIGURE_PH)) {
        waters_show(w, f->e->figure[FIGURE_PH]);
    }
}

void fold_keep_water(const struct fold *f, struct dissolved *w, double volume_l)
{
    stir(f, w, volume_l);
    f->s->reservoir.buffer = (struct ph_buffer){w->alkalinity_meq_l, w->carbonate_mmol_l,
                                                w->citrate_mmol_l, f->e->happened_s};
}

void fold_keep_gas(const struct fold *f, struct dissolved *w, double volume_l)
{
    stir(f, w, volume_l);
    f->pot->stirred_s = f->e->happened_s;
    f->pot->gas_mmol_l = balance_gas_mmol_l(w);
    f->pot->carbonate_mmol_l = w->carbonate_mmol_l;
    /* The rise while gas leaves is no drift of the plant's. */
    if (entry_has(f->e, FIGURE_PH) || f->pot->drift.from_s == f->e->happened_s) {
        ph_drift_set(&f->pot->drift, fmax(balance_ph_closed(w), root_gas_rests_ph(w)),
                     f->e->happened_s, f->pot->turns);
    }
}

/* It teaches nothing of the bottle, for what roots did to the alkalinity is not known; but of what
 * else is dissolved. */
static void learn_rooted(const struct fold *f, const struct dissolved *before, double volume_l)
{
    size_t product;
    int k = waters_acid_of(f->room, f->e, &product);

    if (k >= 0 && waters_known(before) && entry_has(f->e, FIGURE_PH)) {
        rooted_see(f->room, f->s, f->at,
                   &(struct rooted_dose){before, volume_l, product, f->e->amount[k].amount,
                                         f->e->figure[FIGURE_PH]});
    }
}

/* Learned from before the dose is taken in: the reading before it is what it is compared with. */
bool fold_ph_adjusted(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct dissolved before;
    double volume_l;

    if (f->pot) {
        if (f->pot->crop >= 0) {
            fold_anchor_container(f);
        }
        before = dosed_water(f->room, f->s, f->e, &volume_l);
        /* There are no roots yet, and nobody read it before. */
        if (!standing_for_seedling(f->room, f->s, f->at, f->e->happened_s)) {
            learn_rooted(f, &before, volume_l);
        }
        fold_dose_feed(f, &f->pot->feed, f->pot->body.volume_l);
        fold_measure_container(f, f->pot);
        fold_ph_is_set(f);
        f->pot->ph_set_s = f->e->happened_s;
        if (waters_known(&before)) {
            fold_keep_gas(f, &before, volume_l);
        }
    } else {
        fold_anchor_reservoir(f);
        before = dosed_water(f->room, f->s, f->e, &volume_l);
        if (fold_count_let_in(f) || fold_learn_acid(f, &before, volume_l)) {
            before = dosed_water(f->room, f->s, f->e, &volume_l); /* by what that taught */
        }
        fold_keep_water(f, &before, volume_l);
        r->let_in.at_s = 0;
        fold_dose_feed(f, &r->feed, r->body.volume_l);
        fold_measure(f, &r->ph, FIGURE_PH);
        fold_measure_reservoir_temp(f);
        r->readings++;
    }
    fold_use_amounts(f);
    return true;
}

bool fold_stock_received(const struct fold *f)
{
    struct product_state *p = &f->s->product[f->at];

    if (strcmp(f->e->what, "other") == 0) {
        state_learn_anew(f->s, f->room, f->at);
    }
    p->left += f->e->figure[FIGURE_AMOUNT];
    p->receipts++;
    p->ordered = false;
    return true;
}
