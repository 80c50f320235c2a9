/* refold.h - the room's state folded from the journal, from the last snapshot on and a part at a
 * time; snapshots are kept on the way.
 *
 * The state is the same to the last bit as if it were folded from the first entry on, also where
 * entries are told or voided between two parts. Blocks on the disk for as long as a part takes. */
#ifndef TARN_SERVE_LIVE_REFOLD_H
#define TARN_SERVE_LIVE_REFOLD_H

#include "daemon/base/err.h"
#include "daemon/core/state/state.h"
#include "daemon/store/journal.h"
#include "daemon/store/snapshot.h"

struct refold {
    struct journal *journal;
    const struct room *room;
    struct snapshot_maker maker;
    struct snapshot_at before; /* only what stands before this one; seq 0 = all */
    int64_t apart;             /* so many entries lie between the last snapshots */
    struct state state;        /* the caller's once all is folded; refold_end frees it else */
    struct snapshot_at at;     /* so far */
    int64_t kept;              /* folded at the last snapshot */
    struct err not_kept;       /* why there is none; code 0 = nothing went wrong */
};

/* For a room so large: how many entries a start may have to fold, and how many a snapshot costs as
 * much as. */
int64_t refold_apart(const struct room *room);

/* Begins at the last snapshot that holds. `before` NULL = all entries; else only those before its
 * place, and no snapshot is kept. Journal and room stay the caller's, until refold_end. */
void refold_begin(struct refold *r, struct journal *journal, const struct room *room,
                  const struct entry *before);

/* Folds at most n entries more. */
int refold_some(struct refold *r, int64_t n, bool *out_done, struct err *e);

/* Hands the state over, which the caller ends, once all is folded. */
struct state refold_take(struct refold *r);

void refold_end(struct refold *r);

#endif
