#include "daemon/serve/live/restored.h"

#include "daemon/core/state/fold.h"

struct folding {
    struct state *state;
    const struct room *room;
    const struct entry *until; /* and without it; NULL = all */
};

static bool fold_next(void *ctx, const struct entry *e)
{
    struct folding *f = ctx;

    if (f->until && (e->happened_s > f->until->happened_s ||
                     (e->happened_s == f->until->happened_s && e->seq >= f->until->seq))) {
        return false;
    }
    fold_entry(f->state, f->room, e);
    return true;
}

int restore_state_before(struct journal *journal, const struct room *room, const struct entry *e_at,
                         struct state *out, struct err *e)
{
    struct folding f = {out, room, e_at};
    int rc;

    state_init(out, room);
    rc = journal_fold(journal, fold_next, &f, e);
    if (rc < 0) {
        state_deinit(out);
    }
    return rc;
}

int restore_state(struct journal *journal, const struct room *room, struct state *out,
                  struct err *e)
{
    return restore_state_before(journal, room, NULL, out, e);
}

int restore_all(struct journal *journal, const struct room *room, struct restored *out,
                struct err *e)
{
    int rc;

    *out = (struct restored){0};
    rc = journal_probe(journal, &out->full);
    if (rc < 0 && rc != ERR_FULL) {
        *e = out->full;
        return rc;
    }
    out->full.code = rc;
    rc = restore_state(journal, room, &out->state, e);
    if (rc < 0) {
        return rc;
    }
    rc = journal_load_agenda(journal, room, &out->agenda, e);
    if (rc < 0) {
        state_deinit(&out->state);
        return rc;
    }
    out->last_seq = journal_last_seq(journal);
    out->day_started = journal_day_started(journal);
    return 0;
}
