#include "daemon/core/state/fold_rules.h"

#include <math.h>
#include <string.h>

/* What an observation of a recipe, and of an acid, is worth: a meter's doubt, and a syringe's.
 * Common practice, no source. */
#define EC_NOISE_MS_CM 0.02
#define EC_NOISE_FRAC  0.03
#define SHARE_LEAST    0.02  /* of the full dose: less than this shows nothing */
#define SHARE_SPREAD   0.10  /* products dosed this unevenly are another recipe */
#define PH_NOISE       0.07  /* of the difference of two readings */
#define PH_NOISE_FRAC  0.10  /* of the dose */
#define PH_STEP_LEAST  0.1   /* a smaller step is the meters' error */
#define PH_BEFORE_S    43200 /* an older reading is not the one before the dose */

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

/* A mix that was measured: what the dose really added to a water of base_ec. */
void fold_learn_gain(const struct fold *f, size_t recipe, double volume_l, double base_ec)
{
    double share = told_share(f, &f->room->recipe[recipe], volume_l);
    double rise = f->e->figure[FIGURE_EC_MS_CM] - base_ec;

    if (share > 0 && rise > 0) {
        (void)learned_take(&f->s->recipe[recipe].gain, share, rise,
                           EC_NOISE_MS_CM + EC_NOISE_FRAC * rise);
    }
}

/* A dose of acid or base, with the pH before and after it. */
static void learn_per_ph(const struct fold *f, const struct measured *before, enum titrated in,
                         double volume_l)
{
    double step = f->e->figure[FIGURE_PH] - before->value;
    const struct amount *a = &f->e->amount[0];
    struct subject p = f->e->n_amounts == 1 ? room_find(f->room, a->product) : (struct subject){0};
    enum product_kind kind = step < 0 ? PRODUCT_ACID : PRODUCT_BASE;
    double ml_l = a->amount / volume_l;

    if (p.kind != SUBJECT_PRODUCT || f->room->product[p.at].kind != kind || !(a->amount > 0) ||
        !(volume_l > 0) || !before->at_s || fabs(step) < PH_STEP_LEAST ||
        f->e->happened_s - before->at_s > PH_BEFORE_S || f->e->happened_s < before->at_s) {
        return;
    }
    (void)learned_take(&f->s->product[p.at].per_ph[in], fabs(step), ml_l,
                       ml_l * hypot(PH_NOISE_FRAC, PH_NOISE / fabs(step)));
}

/* Learned from before the dose is taken in: the reading before it is what it is compared with. */
bool fold_ph_adjusted(const struct fold *f)
{
    struct reservoir_state *r = &f->s->reservoir;

    if (f->pot) {
        if (f->pot->crop >= 0) {
            fold_anchor_container(f);
        }
        learn_per_ph(f, &f->pot->ph, TITRATED_SOLUTION, f->pot->body.volume_l);
        fold_dose_feed(f, &f->pot->feed, f->pot->body.volume_l);
        fold_measure_container(f, f->pot);
        fold_ph_is_set(f);
    } else {
        fold_anchor_reservoir(f);
        learn_per_ph(f, &r->ph, r->holds_mix ? TITRATED_SOLUTION : TITRATED_WATER,
                     r->body.volume_l);
        fold_dose_feed(f, &r->feed, r->body.volume_l);
        fold_measure(f, &r->ph, FIGURE_PH);
        r->readings++;
    }
    fold_use_amounts(f);
    return true;
}

bool fold_stock_received(const struct fold *f)
{
    struct product_state *p = &f->s->product[f->at];

    p->left += f->e->figure[FIGURE_AMOUNT];
    p->receipts++;
    p->ordered = false;
    return true;
}
