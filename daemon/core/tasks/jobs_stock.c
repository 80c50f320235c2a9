/* jobs_stock.c - what is to be ordered, before the mixes to come take the last of it. */
#include "daemon/base/mem.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/tasks/deriving.h"

#include <stdlib.h>

/* Common practice, no source: a delivery takes days, and a fortnight ahead the plan
 * is about true. */
#define REORDER_LATE_D  3
#define REORDER_AHEAD_D 14

/* What the starts and changes so far will take of each product in the coming days. */
static void expect_use(const struct deriving *d, double *need)
{
    for (size_t i = 0; i < d->out->n; i++) {
        const struct job *j = &d->out->job[i];
        const struct recipe *r = &d->room->recipe[j->recipe];
        double share;

        if ((j->kind != TASK_START && j->kind != TASK_CHANGE) ||
            j->due >= d->today + REORDER_AHEAD_D) {
            continue;
        }
        /* Bumps are left out: when they come is a guess. The stock at which to order again has
         * room for them (our own choice). */
        share = solution_dose(j->ec_ms_cm, d->room->source.ec_ms_cm, r->ec_gain_ms_cm);
        for (size_t k = 0; k < r->n_doses; k++) {
            need[r->dose[k].product] += share * r->dose[k].per_l * j->volume_l;
        }
    }
}

/* Ordered is when what is left after the coming use is no more than the stock at
 * which it is to be. */
static void reorder_product(const struct deriving *d, size_t i, double need)
{
    const struct product *p = &d->room->product[i];
    const struct product_state *ps = &d->s->product[i];
    struct job j = deriving_job(TASK_REORDER, SUBJECT_PRODUCT, i, ps->receipts);
    enum quantity q = p->kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
    char left[QUANTITY_TEXT_MAX];
    char wants[QUANTITY_TEXT_MAX];

    /* Not once it is ordered: the job would stand there until the parcel comes, and be done
     * twice. */
    if (!(p->reorder_at > 0) || ps->ordered || ps->left - need > p->reorder_at) {
        return;
    }
    j.earliest = j.due = d->today;
    j.latest = d->today + REORDER_LATE_D;
    j.minutes = d->room->labour.reorder_min;
    deriving_say_why(&j, "%s left, and the next two weeks take %s",
                     quantity_format(left, q, ps->left, &d->room->units),
                     quantity_format(wants, q, need, &d->room->units));
    deriving_say_loss(&j, "a mix cannot be made when it is due");
    deriving_add(d, &j);
}

void derive_reorder(const struct deriving *d)
{
    double *need = mem_array(d->s->n_products, sizeof *need);

    expect_use(d, need);
    for (size_t i = 0; i < d->s->n_products; i++) {
        reorder_product(d, i, need[i]);
    }
    free(need);
}
