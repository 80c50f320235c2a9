#include "daemon/core/state/ph_dose.h"
#include "daemon/core/state/dosed_water.h"

#include <math.h>

#define NINE_IN_TEN_SD 1.645 /* normal quantile of 0.95 */

/* By how much a dose may be off that no dose here has borne out: an alkalinity rounded to
 * tens, a label. Common practice, no source. And one that was: the meter before and after. */
#define LABEL_OFF_FRAC 0.25
#define METER_OFF_FRAC 0.07

/* Roots and metal suffer below, and a mix without a rest of alkalinity falls to there on the last
 * drops. Common practice, no source. */
#define PH_NEVER_BELOW 5.0

/* A water that takes so much of what was reckoned wants half of the second half: a half is two
 * thirds of it, and a quarter the rest. */
#define QUICK_FRAC 0.75

/* Less of a reagent than this, in mmol for a litre, is a matter of drops and meters. */
#define DROPS_MMOL_L 0.02

/* The acid or base to reach for: the first with doses to learn from, else the first that says what
 * it is, else the first. SIZE_MAX = none. */
static size_t choose_product(const struct room *room, const struct state *s, enum product_kind kind)
{
    size_t best = SIZE_MAX;
    int best_rank = -1;

    for (size_t i = 0; i < room->n_products; i++) {
        int rank = s->product[i].strength.n_used > 0          ? 2
                   : room->product[i].reagent != REAGENT_NONE ? 1
                                                              : 0;

        if (room->product[i].kind == kind && rank > best_rank) {
            best = i;
            best_rank = rank;
        }
    }
    return best;
}

/* The water once an amount was stirred in. */
static struct dissolved with_acid(const struct room *room, const struct state *s,
                                  const struct dissolved *water, size_t product, double ml,
                                  double volume_l)
{
    struct dissolved w = *water;

    waters_dose(&w, room, s, product, ml, volume_l);
    return w;
}

/* What comes of it, half-way and afterwards. */
static void foretell(const struct room *room, const struct state *s, const struct dissolved *water,
                     double volume_l, struct ph_dose *d)
{
    struct dissolved w = with_acid(room, s, water, d->product, d->sure_ml / 2, volume_l);

    d->half_ph = balance_ph_closed(&w);
    w = with_acid(room, s, water, d->product, d->sure_ml / 2 / QUICK_FRAC, volume_l);
    d->quick_ph = balance_ph_closed(&w);
    w = with_acid(room, s, water, d->product, d->amount_ml, volume_l);
    d->rests_ph = balance_ph_open(&w);
    balance_stand(&w, 1);
    d->tomorrow_ph = balance_ph_closed(&w);
}

/* A bottle that does not say what it is serves once it was tried: against an alkalinity that
 * was reported (then its strength is known), or in the plain water whose alkalinity was
 * learned by it, so that the two share a measure. Phosphate in a solution has another. */
static bool goes_by_its_own_measure(const struct room *room, const struct state *s,
                                    const struct dissolved *water)
{
    return !isfinite(room->source.alkalinity_mg_l) && s->alkalinity.n_used > 0 &&
           !(water->ions.mmol_l[ION_H2PO4] > 0);
}

struct ph_dose ph_dose_of(const struct room *room, const struct state *s,
                          const struct dissolved *water, double volume_l, double ph_from,
                          double ph_to)
{
    struct ph_dose d = {.by = PH_DOSE_BY_HAND,
                        .product =
                            choose_product(room, s, ph_to < ph_from ? PRODUCT_ACID : PRODUCT_BASE)};
    const struct learned *strength;
    enum reagent reagent;
    double ml_mmol;
    double off;
    double mmol_l;
    double hold_mmol_l;
    double most_mmol_l;

    if (d.product == SIZE_MAX || !waters_known(water)) {
        return d;
    }
    strength = &s->product[d.product].strength;
    reagent = waters_reagent(&room->product[d.product]);
    if (!isfinite(strength->var) && !goes_by_its_own_measure(room, s, water)) {
        return d;
    }
    if (balance_dose_closed(water, reagent, ph_to, &mmol_l, NULL) < 0 ||
        balance_dose_open(water, reagent, ph_to, &hold_mmol_l, NULL) < 0) {
        return d;
    }
    most_mmol_l = mmol_l;
    if (reagent_is_acid(reagent) && ph_to > PH_NEVER_BELOW &&
        balance_dose_closed(water, reagent, PH_NEVER_BELOW, &most_mmol_l, NULL) < 0) {
        return d;
    }
    ml_mmol = waters_ml_mmol(&room->product[d.product]) * strength->value * volume_l;
    d.by = strength->n_used > 0 || s->alkalinity.n_used > 0 ? PH_DOSE_LEARNED : PH_DOSE_BALANCE;
    off = strength->n_used > 0
              ? NINE_IN_TEN_SD * hypot(learned_sd(strength) / strength->value, METER_OFF_FRAC)
              : LABEL_OFF_FRAC;
    d.amount_ml = mmol_l * ml_mmol;
    d.sure_ml = ph_to > PH_NEVER_BELOW && reagent_is_acid(reagent)
                    ? fmin(d.amount_ml, most_mmol_l * ml_mmol / (1 + fmax(off, LABEL_OFF_FRAC)))
                    : d.amount_ml;
    d.lo_ml = d.amount_ml * fmax(0, 1 - off);
    d.hi_ml = d.amount_ml * (1 + off);
    d.hold_ml = fmax(d.amount_ml, hold_mmol_l * ml_mmol);
    nutrients_add(&d.adds_mg_l, &room->product[d.product].contents, d.amount_ml / volume_l);
    foretell(room, s, water, volume_l, &d);
    return d;
}

double ph_dose_told_over_asked(const struct room *room, const struct state *s,
                               const struct entry *e, double *out_asked_ml)
{
    size_t product;
    int k = waters_acid_of(room, e, &product);
    const struct learned *strength;
    struct dissolved before;
    double volume_l;
    double mmol_l;
    double drops_ml;

    if (k < 0 || !entry_has(e, FIGURE_PH)) {
        return NAN;
    }
    before = dosed_water(room, s, e, &volume_l);
    strength = &s->product[product].strength;
    if (!waters_known(&before) || !isfinite(strength->var) || !isfinite(s->alkalinity.var) ||
        !(volume_l > 0) ||
        balance_dose_closed(&before, waters_reagent(&room->product[product]), e->figure[FIGURE_PH],
                            &mmol_l, NULL) < 0) {
        return NAN;
    }
    drops_ml = DROPS_MMOL_L * volume_l * waters_ml_mmol(&room->product[product]);
    *out_asked_ml = mmol_l * volume_l * waters_ml_mmol(&room->product[product]) * strength->value;
    return fmax(e->amount[k].amount, drops_ml) / fmax(*out_asked_ml, drops_ml);
}
