#include "daemon/core/tell/rules_amounts.h"

#include "daemon/base/err.h"
#include "daemon/core/state/ph_dose.h"
#include "daemon/core/state/waters.h"

#include <assert.h>
#include <math.h>

/* clang-format off */
#define ACID_STRANGE      2.0  /* times what is asked for, or less than one over it */
#define DOSE_STRANGE      3.0  /* times the full dose */
#define SPILLED_OVER_FRAC 1.1  /* doses are told by half steps of a syringe: a stock is not exact */
#define ACID_MOST_MMOL_L  12.0 /* 600 mg/L of CaCO3: harder than any tap we heard of */
/* clang-format on */

static double holds_l(const struct rule_case *j)
{
    return entry_has(j->e, FIGURE_VOLUME_L) ? j->e->figure[FIGURE_VOLUME_L]
           : j->vessel                      ? j->vessel->start_volume_l
                                            : j->room->reservoir.capacity_l;
}

/* Where no dose was asked for there is none to set it beside, but no water takes so much. */
static int check_any_water(const struct rule_case *j, const struct amount *a, size_t product)
{
    double mmol = 1000 * j->room->product[product].mol_ml * a->amount;
    char told[QUANTITY_TEXT_MAX];
    char in[QUANTITY_TEXT_MAX];

    if (j->sure || !(mmol > ACID_MOST_MMOL_L * holds_l(j))) { /* NaN: no label says */
        return 0;
    }
    return err_field(j->err, ERR_UNSURE, a->product,
                     "%s of %s in %s is far more than any water takes; say so if you are sure",
                     quantity_format(told, QUANTITY_LIQUID, a->amount, &j->room->units), a->product,
                     quantity_format(in, QUANTITY_VOLUME, holds_l(j), &j->room->units));
}

/* 51 for 5.1: a dose that is twice what the pH told with it asks for, or half, is
 * asked back. It would teach a bottle's strength that it does not have. */
int rule_acid_told(const struct rule_case *j)
{
    double asked_ml = 0;
    double over = ph_dose_told_over_asked(j->room, j->s, j->e, &asked_ml);
    size_t product;
    int k = waters_acid_of(j->room, j->e, &product);
    char told[QUANTITY_TEXT_MAX];
    char asked[QUANTITY_TEXT_MAX];

    if (k >= 0 && !isfinite(over)) {
        return check_any_water(j, &j->e->amount[k], product);
    }
    if (j->sure || !isfinite(over) || (over <= ACID_STRANGE && over >= 1 / ACID_STRANGE)) {
        return 0;
    }
    return err_field(
        j->err, ERR_UNSURE, j->e->amount[k].product,
        "%s of %s to pH %.1f is strange: by what was known, about %s does it; say so if "
        "you are sure",
        quantity_format(told, QUANTITY_LIQUID, j->e->amount[k].amount, &j->room->units),
        j->e->amount[k].product, j->e->figure[FIGURE_PH],
        quantity_format(asked, QUANTITY_LIQUID, asked_ml, &j->room->units));
}

/* A litre of concentrate in a bucket: far more than any recipe has of it, in what the vessel holds.
 */
int rule_doses_told(const struct rule_case *j)
{
    double in_l = holds_l(j);
    char got[QUANTITY_TEXT_MAX];
    char most[QUANTITY_TEXT_MAX];

    for (size_t i = 0; i < j->e->n_amounts && !j->sure; i++) {
        const struct amount *a = &j->e->amount[i];
        struct subject s = room_find(j->room, a->product);
        double full_per_l = 0;
        enum quantity q;

        for (size_t r = 0; r < j->room->n_recipes && s.kind == SUBJECT_PRODUCT; r++) {
            for (size_t k = 0; k < j->room->recipe[r].n_doses; k++) {
                const struct dose *d = &j->room->recipe[r].dose[k];

                full_per_l = d->product == s.at ? fmax(full_per_l, d->per_l) : full_per_l;
            }
        }
        if (!(full_per_l > 0) || a->amount <= DOSE_STRANGE * full_per_l * in_l) {
            continue;
        }
        q = j->room->product[s.at].kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
        return err_field(j->err, ERR_UNSURE, a->product,
                         "%s of %s is strange: a full dose for all that it holds is %s; say so if "
                         "you are sure",
                         quantity_format(got, q, a->amount, &j->room->units), a->product,
                         quantity_format(most, q, full_per_l * in_l, &j->room->units));
    }
    return 0;
}

/* A slip in the unit, or a bottle that nobody told of. */
int rule_spilled_told(const struct rule_case *j)
{
    struct subject s = room_find(j->room, j->e->subject);
    enum quantity q;
    double left;
    char got[QUANTITY_TEXT_MAX];
    char had[QUANTITY_TEXT_MAX];

    assert(s.kind == SUBJECT_PRODUCT);
    left = j->s->product[s.at].left;
    if (j->sure || j->e->figure[FIGURE_AMOUNT] <= fmax(0, left) * SPILLED_OVER_FRAC) {
        return 0;
    }
    q = j->room->product[s.at].kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
    return err_field(
        j->err, ERR_UNSURE, "amount",
        "%s is more than there was of %s by what was told (%s); say so if you are sure",
        quantity_format(got, q, j->e->figure[FIGURE_AMOUNT], &j->room->units), j->e->subject,
        quantity_format(had, q, fmax(0, left), &j->room->units));
}
