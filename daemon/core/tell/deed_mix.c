/* What went into a solution that was mixed, and whether that teaches what the recipe does. */
#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/core/state/dosing.h"

#include <math.h>
#include <string.h>

/* Farther off than this factor is a slip of the finger, or another solution's figure (our own
 * choice, no source): no recipe in its first mix is half or twice what its label says. */
#define FAR 2.0

static const struct amount *told_amount(const struct told *t, const char *product)
{
    for (size_t i = 0; i < t->n_amounts; i++) {
        if (strcmp(t->amount[i].product, product) == 0) {
            return &t->amount[i];
        }
    }
    return NULL;
}

/* Were the amounts of all the recipe's products told? */
static bool tells_all(const struct room *room, size_t recipe, const struct told *t)
{
    const struct recipe *r = &room->recipe[recipe];

    for (size_t i = 0; i < r->n_doses; i++) {
        if (!told_amount(t, room->product[r->dose[i].product].name)) {
            return false;
        }
    }
    return r->n_doses > 0;
}

static int check_was(const struct deed_draft *m, double aim_ms_cm, double base_ms_cm, double was)
{
    char got[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];

    quantity_format(got, QUANTITY_EC, was, &m->room->units);
    if (was <= base_ms_cm) {
        return err_field(m->err, ERR_REFUSED, "was",
                         "%s before it was corrected is no more than the water has by itself, %s",
                         got, quantity_format(want, QUANTITY_EC, base_ms_cm, &m->room->units));
    }
    if (!m->d->sure && (was > FAR * aim_ms_cm || was < aim_ms_cm / FAR)) {
        return err_field(m->err, ERR_UNSURE, "was",
                         "was=… is the mix before it was corrected: %s is far from the %s it was "
                         "to be (of what was drained it is told by container: %s was=…); say so "
                         "if you are sure",
                         got, quantity_format(want, QUANTITY_EC, aim_ms_cm, &m->room->units),
                         deed_job_subject(m, &m->task->job[0]));
    }
    return 0;
}

/* Whoever tells what corrected it, and not what went in in all, tells far too little. None of it is
 * a thing that happens: a bottle is empty. */
static int check_amounts(const struct deed_draft *m, size_t recipe, struct liquid aim,
                         double gain_ms_cm, const struct told *t)
{
    struct amount sheet[ROOM_DOSES_MAX];
    size_t n = dosing_amounts(m->room, m->s, recipe, aim.volume_l, gain_ms_cm, sheet);

    for (size_t i = 0; i < n && !m->d->sure; i++) {
        const struct amount *told = told_amount(t, sheet[i].product);
        struct subject s = room_find(m->room, sheet[i].product);
        enum quantity q =
            m->room->product[s.at].kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
        char got[QUANTITY_TEXT_MAX];
        char want[QUANTITY_TEXT_MAX];

        if (told && told->amount > 0 && told->amount < sheet[i].amount / FAR) {
            return err_field(m->err, ERR_UNSURE, told->product,
                             "%s of %s is far less than the %s that make this: tell all that went "
                             "in, not only what corrected it; say so if you are sure",
                             quantity_format(got, q, told->amount, &m->room->units), told->product,
                             quantity_format(want, q, sheet[i].amount, &m->room->units));
        }
    }
    return 0;
}

int deed_put_mix(const struct deed_draft *m, size_t recipe, struct liquid aim, double base_ms_cm,
                 const struct told *t, struct entry *e)
{
    double gain_ms_cm = aim.ec_ms_cm - base_ms_cm;
    double was = entry_figure_or(e, FIGURE_WAS_MS_CM, NAN);
    double ec = e->figure[FIGURE_EC_MS_CM];
    int rc = isnan(was) ? 0 : check_was(m, aim.ec_ms_cm, base_ms_cm, was);

    if (rc == 0) {
        rc = check_amounts(m, recipe, aim, gain_ms_cm, t);
    }
    if (rc < 0) {
        return rc;
    }
    if (!isnan(was) && ec > base_ms_cm) { /* what adds n times as much is n times as much of it */
        gain_ms_cm *= (ec - base_ms_cm) / (was - base_ms_cm);
    }
    deed_put_amounts(e, t);
    deed_put_planned(m, recipe, &(struct dosing_rise){aim.volume_l, base_ms_cm, gain_ms_cm}, e);
    if (isnan(was) && tells_all(m->room, recipe, t)) {
        entry_set(e, FIGURE_WAS_MS_CM, ec);
    }
    return 0;
}
