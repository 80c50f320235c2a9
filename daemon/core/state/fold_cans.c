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
    struct dissolved w = waters_before_dose(f->room, f->s, f->e, &volume_l);

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

void fold_count_cans(const struct fold *f)
{
    struct drawn_off *cans = &f->s->reservoir.cans;
    size_t product;
    double amount_ml;
    double lo_l = 0;
    double hi_l = cans->volume_l;

    if (!(hi_l > 0) || !did_less(f, &product, &amount_ml)) {
        return;
    }
    for (int round = 0; round < HALVINGS; round++) {
        cans->volume_l = (lo_l + hi_l) / 2;
        if (ph_dosed(f, product, amount_ml) < f->e->figure[FIGURE_PH]) {
            hi_l = cans->volume_l;
        } else {
            lo_l = cans->volume_l;
        }
    }
}

/* So many litres of what was let in were fresh from the source, and not out of the cans. */
static void were_fresh(const struct fold *f, double fresh_l)
{
    struct reservoir_state *r = &f->s->reservoir;
    const struct ph_buffer *again = &r->again.buffer;
    struct dissolved fresh = waters_source(f->room, f->s);
    double share = fresh_l / r->body.volume_l;

    r->let_in.alkalinity_meq_l += share * (fresh.alkalinity_meq_l - again->alkalinity_meq_l);
    r->let_in.carbonate_mmol_l += share * (fresh.carbonate_mmol_l - again->carbonate_mmol_l);
    r->let_in.citrate_mmol_l -= share * again->citrate_mmol_l;
    for (int k = 0; k < NUTRIENT_COUNT; k++) {
        r->feed.mg[k] += share * (f->room->source.brings.mg[k] - r->again.feed.mg[k]);
    }
}

bool fold_count_let_in(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;
    struct reservoir_state was = *r;
    size_t product;
    double amount_ml;
    double lo_l = 0;
    double hi_l = r->again.volume_l;

    if (!waters_is_let_in(f->s, f->e->happened_s) || !(r->again.volume_l > 0)) {
        return false;
    }
    if (did_less(f, &product, &amount_ml)) {
        for (int round = 0; round < HALVINGS; round++) {
            double fresh_l = (lo_l + hi_l) / 2;

            r->let_in = was.let_in;
            r->feed = was.feed;
            were_fresh(f, fresh_l);
            if (ph_dosed(f, product, amount_ml) < f->e->figure[FIGURE_PH]) {
                lo_l = fresh_l;
            } else {
                hi_l = fresh_l;
            }
        }
        r->cans.volume_l = 0;
    }
    r->again.volume_l = 0;
    return true;
}
