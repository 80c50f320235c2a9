#include "daemon/serve/live/restored.h"

#include "daemon/serve/live/refold.h"

#define AT_ONCE 1024 /* entries; chosen by us: so often it is seen whether a snapshot is wanted */

int restore_state_before(struct journal *journal, const struct room *room, const struct entry *e_at,
                         struct state *out, struct err *e)
{
    struct refold r;
    bool done = false;
    int rc = 0;

    refold_begin(&r, journal, room, e_at);
    while (rc == 0 && !done) {
        rc = refold_some(&r, AT_ONCE, &done, e);
    }
    if (rc == 0) {
        *out = refold_take(&r);
    }
    refold_end(&r);
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
