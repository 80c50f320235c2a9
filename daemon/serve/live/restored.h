/* restored.h - the room as the journal has it: the state folded from the entries, and
 * the open tasks.
 *
 * Blocks on the disk: for the start, and for the journal's thread from then on. */
#ifndef TARN_SERVE_LIVE_RESTORED_H
#define TARN_SERVE_LIVE_RESTORED_H

#include "daemon/base/err.h"
#include "daemon/core/state/state.h"
#include "daemon/core/tasks/agenda.h"
#include "daemon/store/journal.h"

/* Its parts belong to whoever takes them over: no deinit. */
struct restored {
    struct state state;
    struct agenda agenda;
    int64_t last_seq;
    int32_t day_started; /* DAY_NONE = never */
    struct err full;     /* why the disk takes no writes; code 0 = it does */
};

/* Folds all entries that count into a new state, for the room as it is now. *out is nothing that
 * needs a deinit on failure. */
int restore_state(struct journal *journal, const struct room *room, struct state *out,
                  struct err *e);

/* The same of the entries before one, in the order of the fold: the room as it was when that one
 * happened. */
int restore_state_before(struct journal *journal, const struct room *room, const struct entry *e_at,
                         struct state *out, struct err *e);

/* All of it. A full disk is no failure: the journal can be read. */
int restore_all(struct journal *journal, const struct room *room, struct restored *out,
                struct err *e);

#endif
