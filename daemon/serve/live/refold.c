#include "daemon/serve/live/refold.h"

#include "daemon/base/text.h"
#include "daemon/core/state/fold.h"

#include <stdlib.h>

/* Chosen by us. A thousand entries are folded in some 10 ms, and so long a late one may take; the
 * bytes of a container are written and sealed in the time of some eight. */
#define APART               1024
#define APART_PER_CONTAINER 8

int64_t refold_apart(const struct room *room)
{
    return APART + APART_PER_CONTAINER * (int64_t)room->n_containers;
}

static void start_over(struct refold *r)
{
    void *bytes = NULL;
    size_t len = 0;
    bool found = snapshot_find(r->journal, &r->maker, r->before.seq ? &r->before : NULL, &r->at,
                               &bytes, &len) &&
                 state_read(&r->state, r->room, bytes, len);

    free(bytes);
    if (!found) {
        r->at = (struct snapshot_at){.happened_s = INT64_MIN};
        state_init(&r->state, r->room);
    }
    r->kept = r->at.folded;
}

void refold_begin(struct refold *r, struct journal *journal, const struct room *room,
                  const struct entry *before)
{
    *r = (struct refold){.journal = journal,
                         .room = room,
                         .maker = snapshot_maker_of(room->made_of),
                         .apart = refold_apart(room)};
    if (before) {
        r->before = (struct snapshot_at){.happened_s = before->happened_s, .seq = before->seq};
    }
    start_over(r);
}

struct part {
    struct refold *r;
    int64_t left;
    bool done;
};

static bool fold_next(void *ctx, const struct entry *e)
{
    struct part *p = ctx;
    struct refold *r = p->r;

    if (r->before.seq && (e->happened_s > r->before.happened_s ||
                          (e->happened_s == r->before.happened_s && e->seq >= r->before.seq))) {
        return false;
    }
    fold_entry(&r->state, r->room, e);
    r->at.happened_s = e->happened_s;
    r->at.seq = e->seq;
    r->at.folded++;
    p->left--;
    p->done = p->left > 0;
    return p->left > 0;
}

/* Far from the end only at half of what is left, and again at half of that: a late entry falls
 * behind one that is not much further from the end than it is itself. */
static bool is_worth_keeping(const struct refold *r, bool done)
{
    int64_t since = r->at.folded - r->kept;
    int64_t left = done ? 0 : r->at.entries - r->at.folded;

    return since >= r->apart && since >= left && !r->before.seq && !r->not_kept.code;
}

static void keep(struct refold *r)
{
    struct text bytes = {0};

    state_write(&r->state, &bytes);
    if (snapshot_keep(r->journal, &r->maker, &r->at, bytes.s, bytes.len, r->apart, &r->not_kept) ==
        0) {
        r->kept = r->at.folded;
    }
    text_deinit(&bytes);
}

/* What was told since the last part may belong before what is folded already. */
static void look_whether_it_holds(struct refold *r)
{
    int64_t last = journal_last_seq(r->journal);

    if (r->at.folded && last > r->at.entries &&
        !snapshot_holds(r->journal, &r->at, &r->at.entries)) {
        state_deinit(&r->state);
        start_over(r);
    }
    r->at.entries = last;
}

int refold_some(struct refold *r, int64_t n, bool *out_done, struct err *e)
{
    struct part p = {r, n, true};
    int rc;

    look_whether_it_holds(r);
    rc = journal_fold_after(r->journal, r->at.happened_s, r->at.seq, fold_next, &p, e);
    if (rc == 0 && is_worth_keeping(r, p.done)) {
        keep(r);
    }
    *out_done = p.done;
    return rc;
}

struct state refold_take(struct refold *r)
{
    struct state s = r->state;

    r->state = (struct state){0};
    return s;
}

void refold_end(struct refold *r)
{
    state_deinit(&r->state);
}
