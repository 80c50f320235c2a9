/* keeper.h - the room in memory: the state, the tasks, and the numbers that come next.
 *
 * No loop, no socket, no journal: what has to be written is handed to the caller as a batch, which
 * owns its parts. Applied at once, answered after the commit: see server.h. One thread. */
#ifndef TARN_SERVE_KEEPER_H
#define TARN_SERVE_KEEPER_H

#include "daemon/core/deed.h"
#include "daemon/core/settle.h"
#include "daemon/core/state.h"

#define KEEPER_PLAN_DAYS 28 /* tasks have numbers this far ahead */

struct keeper {
    struct room room;
    struct state state;
    struct agenda agenda;
    int64_t next_seq;
    int64_t planned_s;   /* instant of the last plan */
    int32_t day_started; /* last day whose list was made; DAY_NONE = never … */
    int32_t day_written; /* … and what was handed out of it to be written */
    bool dirty;          /* something was told since the last plan */
    bool stale;          /* the state has to be folded anew from the journal */
};

/* What one turn wants written; every array is owned. */
struct batch {
    struct entries entries;
    struct task *task; /* with jobs of their own */
    size_t n_tasks, cap_tasks;
    struct task_ends ends;
    int32_t day_started; /* DAY_NONE = as it is */
};
void batch_init(struct batch *b);
void batch_deinit(struct batch *b);
bool batch_is_empty(const struct batch *b);

/* Takes room, state and agenda over. */
void keeper_init(struct keeper *k, struct room room, struct state state, struct agenda agenda,
                 int64_t last_seq, int32_t day_started);
void keeper_deinit(struct keeper *k);

/* Numbers the entries, applies them (or marks the state stale, when one is late or voids another),
 * and moves them into the batch. *out_first is the number of the first. */
void keeper_tell(struct keeper *k, struct entries *es, struct batch *b, int64_t *out_first);

/* Plans anew if anything was told, or the day is another than when it was planned. What changed
 * goes into the batch. Must not be called while stale. */
void keeper_plan(struct keeper *k, int64_t now_s, struct batch *b);

/* Marks the day's list as made. */
void keeper_start_day(struct keeper *k, int32_t day, struct batch *b);

/* Goes back to what the journal has, after a write that came to nothing. Of the day's start nothing
 * is forgotten: it is written with the next plan. */
void keeper_reloaded(struct keeper *k, struct state state, struct agenda agenda, int64_t last_seq,
                     int32_t day_started);

/* Puts a freshly folded state in, and, if not NULL, a new room (with names of things resolved
 * anew). */
void keeper_refolded(struct keeper *k, struct state fresh, struct room *new_room);

#endif
