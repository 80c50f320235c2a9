/* live_room.h - the room in memory: the state, the tasks, and the numbers that come next.
 *
 * No loop, no socket, no journal: what has to be written is handed to the caller as a batch, which
 * owns its parts. What is told is applied at once and answered after the commit: see server.h. Used
 * by the loop's thread alone. */
#ifndef TARN_SERVE_LIVE_LIVE_ROOM_H
#define TARN_SERVE_LIVE_LIVE_ROOM_H

#include "daemon/core/state/state.h"
#include "daemon/core/tasks/task_numbers.h"
#include "daemon/core/tell/deed.h"
#include "daemon/serve/live/restored.h"

/* Tasks have numbers this far ahead. Chosen by us: four weeks are longer than any
 * solution serves, so the next change of each container has its number. */
#define LIVE_ROOM_PLAN_DAYS 28

/* Work that was told as done and was taken back: if it is wanted again, then under its number. */
struct reopened {
    int64_t id;                    /* of the task; 0 = it was told again since */
    char what[ENTRY_WORD_MAX + 1]; /* job_word */
    char subject[NAME_LEN_MAX + 1];
};

struct live_room {
    struct room room;
    struct state state;
    struct agenda agenda;
    int64_t next_seq;
    int64_t planned_s;         /* instant of the last plan */
    int32_t day_started;       /* last day whose list was made; DAY_NONE = never … */
    int32_t day_written;       /* … and what was handed out of it to be written */
    uint64_t n_changes;        /* times that something was told, or put back … */
    uint64_t n_planned;        /* … and how many of them the tasks know of */
    uint64_t n_agendas;        /* times that the tasks were made others */
    bool stale;                /* the state has to be folded anew from the journal */
    struct reopened *reopened; /* until the next plan */
    size_t n_reopened, cap_reopened;
};

/* What one turn wants written; every array is owned. */
struct unwritten {
    struct entries entries;
    struct task *task; /* with jobs of their own */
    size_t n_tasks, cap_tasks;
    struct task_ends ends;
    int32_t day_started; /* DAY_NONE = as it is */
};
/* Nothing is to be written; day_started is DAY_NONE. */
void unwritten_init(struct unwritten *b);
void unwritten_deinit(struct unwritten *b);

/* Need nothing be written? */
bool unwritten_is_empty(const struct unwritten *b);

/* Takes the room over, and what the journal has of it. */
void live_room_init(struct live_room *live, struct room room, const struct restored *from);
void live_room_deinit(struct live_room *live);

/* Numbers the entries, applies them (or marks the state stale, when one is late or voids another),
 * and moves them into the batch. *out_first is the number of the first. */
void live_room_tell(struct live_room *live, struct entries *es, struct unwritten *b,
                    int64_t *out_first);

/* The next plan gives work of this word on this subject, if there is any, the number again that its
 * task had. */
void live_room_reopen(struct live_room *live, int64_t id, const char *what, const char *subject);

/* Do the tasks know of all that was told, and are they of this day? */
bool live_room_is_planned(const struct live_room *live, int64_t now_s);

/* Plans anew if it is not planned. What changed goes into the batch. Must not be called while
 * stale. */
void live_room_plan(struct live_room *live, int64_t now_s, struct unwritten *b);

/* A copy to plan on, for another thread: state and tasks are its own, the room's are borrowed.
 * Ends with live_room_drop_copy. */
void live_room_copy(struct live_room *to, const struct live_room *from);
void live_room_drop_copy(struct live_room *copy);

/* Takes the tasks of a copy that was planned; what was told meanwhile they do not know of. False,
 * and nothing is changed, where the tasks were made others since it was copied, or the day was
 * started. */
bool live_room_take_plan(struct live_room *live, struct live_room *copy);

/* What is open yet of the task of that number: a copy (*out is owned, see live_room_drop_task) with
 * the jobs that were neither done nor dropped since the last plan. False: nothing is open of it, as
 * far as was planned. */
bool live_room_open_task(const struct live_room *live, int64_t id, int64_t now_s, struct task *out);
void live_room_drop_task(struct task *t);

/* Marks the day's list as made. */
void live_room_start_day(struct live_room *live, int32_t day, struct unwritten *b);

/* Goes back to what the journal has (taken), after a write that came to nothing. Of the day's start
 * nothing is forgotten: it is written with the next plan. */
void live_room_restored(struct live_room *live, const struct restored *from);

/* Puts a freshly folded state in, and, if not NULL, a new room (its parts are taken): the jobs of
 * open tasks find their things in it by name, or go. */
void live_room_refolded(struct live_room *live, struct state fresh, struct room *new_room);

#endif
