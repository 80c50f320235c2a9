#include "daemon/core/state/dosed_water.h"
#include "daemon/core/state/fold_rules.h"

#include <math.h>

/* By how much a dose has to have missed its pH before the cans are doubted: more than a pen's noise
 * in water, and in a mix more than its nutrients may explain. Common practice, no source. */
#define MISSED_PH     0.1
#define MISSED_MIX_PH 0.3

#define HALVINGS 30 /* of the litres in the cans: to a drop */

bool fold_is_all_known(const struct fold *f, double total_l)
{
    const struct reservoir_state *r = &f->s->reservoir;

    return !r->holds_mix && !(r->cans.volume_l > 0 && total_l > r->body.volume_l);
}

/* The pH that the dose which was told should have brought about. */
static double ph_dosed(const struct fold *f, size_t product, double amount_ml)
{
    double volume_l;
    struct dissolved w = dosed_water(f->room, f->s, f->e, &volume_l);

    waters_dose(&w, f->room, f->s, product, amount_ml, volume_l);
    return balance_ph_closed(&w);
}

/* Did the acid that was told do less than it should, by more than its measurement may miss? */
static bool did_less(const struct fold *f, size_t *out_product, double *out_amount_ml)
{
    int k = waters_acid_of(f->room, f->e, out_product);
    double missed = f->e->kind == ENTRY_MIX_MADE ? MISSED_MIX_PH : MISSED_PH;

    *out_amount_ml = k < 0 ? 0 : f->e->amount[k].amount;
    return k >= 0 && f->room->product[*out_product].kind == PRODUCT_ACID &&
           ph_dosed(f, *out_product, *out_amount_ml) <
               entry_figure_or(f->e, FIGURE_PH, NAN) - missed;
}

/* Believes that so many litres were fresh, which had been taken for water of the cans. */
typedef void believe_fresh(const struct fold *f, const struct reservoir_state *believed,
                           double fresh_l);

/* The more of it was fresh the less the acid does: so much of most_l that it did what was told. */
static void find_fresh(const struct fold *f, double most_l, believe_fresh *believe)
{
    const struct reservoir_state believed = f->s->reservoir;
    size_t product;
    double amount_ml;
    double lo_l = 0;
    double hi_l = most_l;

    if (!(most_l > 0) || !did_less(f, &product, &amount_ml)) {
        return;
    }
    for (int round = 0; round < HALVINGS; round++) {
        double fresh_l = (lo_l + hi_l) / 2;

        believe(f, &believed, fresh_l);
        if (ph_dosed(f, product, amount_ml) < f->e->figure[FIGURE_PH]) {
            lo_l = fresh_l;
        } else {
            hi_l = fresh_l;
        }
    }
}

static void were_not_in_cans(const struct fold *f, const struct reservoir_state *believed,
                             double fresh_l)
{
    f->s->reservoir.cans.volume_l = believed->cans.volume_l - fresh_l;
}

void fold_count_cans(const struct fold *f)
{
    find_fresh(f, f->s->reservoir.cans.volume_l, were_not_in_cans);
}

/* Of what was let in, before its acid: from the source, and not out of the cans, which are empty
 * then. */
static void were_not_again(const struct fold *f, const struct reservoir_state *believed,
                           double fresh_l)
{
    struct reservoir_state *r = &f->s->reservoir;
    const struct drawn_off *again = &believed->again;
    struct dissolved fresh = waters_source(f->room, f->s);
    double share = fresh_l / r->body.volume_l;

    r->let_in = believed->let_in;
    r->let_in.alkalinity_meq_l += share * (fresh.alkalinity_meq_l - again->buffer.alkalinity_meq_l);
    r->let_in.carbonate_mmol_l += share * (fresh.carbonate_mmol_l - again->buffer.carbonate_mmol_l);
    r->let_in.citrate_mmol_l -= share * again->buffer.citrate_mmol_l;
    for (int k = 0; k < NUTRIENT_COUNT; k++) {
        r->feed.mg[k] =
            believed->feed.mg[k] + share * (f->room->source.brings.mg[k] - again->feed.mg[k]);
    }
    r->cans.volume_l = 0;
}

bool fold_count_let_in(const struct fold *f)
{
    struct drawn_off *again = &f->s->reservoir.again;

    if (!waters_is_let_in(f->s, f->e->happened_s) || !(again->volume_l > 0)) {
        return false;
    }
    find_fresh(f, again->volume_l, were_not_again);
    again->volume_l = 0;
    return true;
}
