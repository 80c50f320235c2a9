/* An entry that was told wrong: voided, and told anew with what is right. */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/tell/deed.h"
#include "daemon/core/tell/deed_draft.h"
#include "daemon/core/tell/deed_took.h"

#include <stdio.h>
#include <string.h>

/* What was refilled with a mix was reckoned from it, so that its figures alone would leave the room
 * half mended. */
static int check_stands_alone(const struct deed_draft *m, const struct entry *target)
{
    if (!entry_kinds[target->kind].recordable) {
        return err_field(m->err, ERR_REFUSED, "entry",
                         "entry %lld (%s) has no figures to mend; take it back: tarn void %lld "
                         "--why …",
                         (long long)target->seq, entry_kinds[target->kind].word,
                         (long long)target->seq);
    }
    if (target->kind == ENTRY_MIX_MADE && target->task) {
        return err_field(m->err, ERR_REFUSED, "entry",
                         "what was refilled with the mix of entry %lld was reckoned from it: take "
                         "back the acknowledgement (tarn log shows it), and tell task %lld anew",
                         (long long)target->seq, (long long)target->task);
    }
    return 0;
}

static int put_amount(struct entry *e, const struct amount *a, struct err *err)
{
    for (size_t i = 0; i < e->n_amounts; i++) {
        if (strcmp(e->amount[i].product, a->product) == 0) {
            e->amount[i] = *a;
            return 0;
        }
    }
    if (e->n_amounts == ROOM_DOSES_MAX) {
        return err_set(err, ERR_RANGE, "at most %d products are told at once", ROOM_DOSES_MAX);
    }
    e->amount[e->n_amounts++] = *a;
    return 0;
}

static int tell_anew(struct deed_draft *m, const struct entry *target)
{
    struct told t = deed_told_for(m->d, "");
    struct entry e = *target;
    int rc = 0;

    if (!t.has && !t.n_amounts && !*t.what && m->d->happened_s == target->happened_s) {
        return err_field(m->err, ERR_MISSING, "figures",
                         "say what is right: tarn fix %lld ec=1.4mS/cm", (long long)target->seq);
    }
    e.seq = 0;
    e.told_s = m->d->now_s;
    e.happened_s = m->d->happened_s;
    e.sensor = false; /* who mends it stands for it */
    e.uid = m->d->uid;
    (void)snprintf(e.who, sizeof e.who, "%s", m->d->who);
    (void)snprintf(e.key, sizeof e.key, "%s", m->d->key);
    deed_put_figures(&e, &t);
    if (*t.what) {
        deed_set_what(&e, t.what);
    }
    for (size_t i = 0; i < t.n_amounts && rc == 0; i++) {
        rc = put_amount(&e, &t.amount[i], m->err);
    }
    rc = rc < 0 ? rc : deed_took_check(m, &e);
    return rc < 0 ? rc : deed_draft_take(m, &e);
}

int deed_fix(const struct room *room, const struct state *before, const struct entry *target,
             bool voided_already, const struct deed *d, struct entries *out, struct err *err)
{
    struct deed_draft m = {.room = room, .s = before, .d = d, .err = err};
    struct deed why = *d;
    struct entries voids = {0};
    int rc = check_stands_alone(&m, target);

    why.note = *d->note ? d->note : "corrected";
    if (rc == 0) {
        rc = deed_void(target, voided_already, &why, &voids, err);
    }
    if (rc == 0) {
        m.es.entry = mem_grow(NULL, &m.es.cap, 1, sizeof *m.es.entry);
        m.es.entry[m.es.n++] = voids.entry[0];
        entries_deinit(&voids);
        rc = tell_anew(&m, target);
    }
    return deed_draft_end(&m, rc, out);
}
