/* Nothing that a person told is lost between the acknowledgement and its entries. */
#include "daemon/base/err.h"
#include "daemon/core/tell/deed_draft.h"

#include <string.h>

static bool is_about(const struct entry *e, const struct told *t)
{
    return !*t->subject || strcmp(e->subject, t->subject) == 0;
}

static bool holds_as(const struct deed_draft *m, const struct told *t, enum figure f,
                     enum figure as)
{
    for (size_t i = 0; i < m->es.n; i++) {
        const struct entry *e = &m->es.entry[i];

        if (is_about(e, t) && entry_has(e, as) && e->figure[as] == t->figure[f]) {
            return true;
        }
    }
    return false;
}

/* What is in the jug is poured onto what stayed: what it showed is what it was. */
static bool holds_figure(const struct deed_draft *m, const struct told *t, enum figure f)
{
    return holds_as(m, t, f, f) || (m->task->kind == TASK_CHANGE && m->task->by_hand &&
                                    f == FIGURE_EC_MS_CM && holds_as(m, t, f, FIGURE_WAS_MS_CM));
}

static bool holds_amount(const struct deed_draft *m, const struct told *t, const struct amount *a)
{
    for (size_t i = 0; i < m->es.n; i++) {
        const struct entry *e = &m->es.entry[i];

        for (size_t k = 0; k < e->n_amounts && is_about(e, t); k++) {
            if (strcmp(e->amount[k].product, a->product) == 0 && e->amount[k].amount == a->amount) {
                return true;
            }
        }
        if (strcmp(e->subject, a->product) == 0 && entry_has(e, FIGURE_AMOUNT)) {
            return true; /* of a delivery it is the figure */
        }
    }
    return false;
}

static bool holds_word(const struct deed_draft *m, const struct told *t)
{
    for (size_t i = 0; i < m->es.n; i++) {
        if (is_about(&m->es.entry[i], t) && strcmp(m->es.entry[i].what, t->what) == 0) {
            return true;
        }
    }
    return false;
}

static int lost(const struct deed_draft *m, const struct told *t, const char *name)
{
    return err_field(m->err, ERR_REFUSED, name,
                     "%s=…%s%s would be lost: nothing that task %lld (%s) becomes holds it; leave "
                     "it out, or tell it by itself (tarn help record)",
                     name, *t->subject ? " of " : "", t->subject, (long long)m->task->id,
                     task_words[m->task->kind]);
}

int deed_check_used(const struct deed_draft *m)
{
    for (size_t i = 0; i < m->d->n_told; i++) {
        const struct told *t = &m->d->told[i];

        for (unsigned f = 0; f < FIGURE_N; f++) {
            if ((t->has & FIGURE_BIT(f)) && !holds_figure(m, t, (enum figure)f)) {
                return lost(m, t, figure_defs[f].word);
            }
        }
        for (size_t k = 0; k < t->n_amounts; k++) {
            if (!holds_amount(m, t, &t->amount[k])) {
                return lost(m, t, t->amount[k].product);
            }
        }
        if (*t->what && !holds_word(m, t)) {
            return lost(m, t, "what");
        }
    }
    return 0;
}
