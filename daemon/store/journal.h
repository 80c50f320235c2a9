/* journal.h - the append-only record of what happened, and the open tasks, in one SQLite file.
 *
 * The only code that knows SQL. One connection, used by one thread at a time: open on the main
 * thread, then hand it to the thread that writes. Durable: WAL with synchronous=FULL, exclusive
 * lock; an append that returned 0 survives a power cut on a device that honours flush. What a
 * device loses or changes nevertheless is noticed: entries are chained by their seals (seal.h), and
 * how far they go stands in a file beside it too (head.h).
 *
 * Tables (STRICT): entry (a column for each field of struct entry and each figure), amount (product
 * amounts of an entry), task (number, kind, window, how it ended) and task_job (the keys of its
 * jobs), thinned (which sensors' readings are gone). Triggers refuse UPDATE and DELETE on entry and
 * amount, but of what is in thinned. application_id names the file as
 * ours; user_version counts migrations, which run inside one transaction at open.
 *
 * After ERR_STORE from a write its outcome is unknown: the connection refuses all further writes,
 * and the caller has to open anew. After ERR_FULL nothing was written; reading goes on, and a write
 * may be tried again. */
#ifndef TARN_STORE_JOURNAL_H
#define TARN_STORE_JOURNAL_H

#include "daemon/core/room/entry.h"
#include "daemon/core/tasks/task_numbers.h"

struct journal;

/* Opens or creates DIR/tarn.db (DIR is created, 0700, if missing; its parent must exist); a new one
 * gets its name when it is whole. Holds an flock on DIR/lock: a second daemon fails with ERR_BUSY.
 * ERR_STORE for a file that is not ours, is damaged, lacks what was acknowledged, is not the one
 * that was left there, or was written by a newer tarn. Never repairs and never deletes, and changes
 * nothing in what it refuses. It is checked whole, or, where that would take long, its end:
 * journal_check_some does the rest. A full disk is no failure where
 * the journal can be read: journal_probe tells. */
int journal_open(const char *dir, struct journal **out, struct err *e);
void journal_close(struct journal *j);

/* Says whose journal it is, at the start, and that it goes by the real clock or a simulated one;
 * ERR_REFUSED where it holds entries told by the other. */
int journal_claim(struct journal *j, const char *room, bool simulated, struct err *e);

/* Was it written by a tarn that made no seals, and got them when it was opened? */
bool journal_was_sealed_now(const struct journal *j);

/* The last entry that was on its way to the disk when the journal was left, and is not there: the
 * entries from journal_last_seq + 1 on. Nobody was told of them, unless the power failed and the
 * disk lost what it had said it kept. 0 = none was. */
int64_t journal_left_off(const struct journal *j);

/* Looks at n entries more. ERR_STORE says what is wrong; *out_done, that all were looked at. */
int journal_check_some(struct journal *j, int64_t n, bool *out_done, struct err *e);
bool journal_is_checked(const struct journal *j); /* all of it, since it was opened */

/* Everything that one turn of the loop wants written, in one transaction. */
struct journal_batch {
    const struct room *room; /* names the subjects of tasks; may be NULL when there are none */
    struct entry *entry;     /* seq is filled in on success, rising in order */
    size_t n_entries;
    const struct task *task; /* written as open: anew, moved, or open again where it was over */
    size_t n_tasks;
    const struct task_end *end;
    size_t n_ends;
    int32_t day_started; /* the day whose list was made; DAY_NONE = leave as it is */
};

/* All or nothing. Entries carry their seq already when the caller numbers them (seq > 0, must be
 * the next numbers). */
int journal_write(struct journal *j, struct journal_batch *b, struct err *e);

/* Has an entry with this client key been told? 1 = yes, 0 = no. Its entries' numbers go to
 * *out_first .. *out_last. */
int journal_find_key(struct journal *j, const char *key, int64_t *out_first, int64_t *out_last,
                     struct err *e);

/* The entries that were told with this one under a client's key; 0 = it was told without. */
int journal_told_with(struct journal *j, int64_t seq, int64_t *out_first, int64_t *out_last,
                      struct err *e);

/* Steps over the entries that count (not voided, no voids), by (happened_s, seq), and calls fn for
 * each; fn returns false to stop. The entry is valid during the call. */
int journal_fold(struct journal *j, bool (*fn)(void *ctx, const struct entry *e), void *ctx,
                 struct err *e);

/* The same behind the place of one entry, which need not count or be there. */
int journal_fold_after(struct journal *j, int64_t happened_s, int64_t seq,
                       bool (*fn)(void *ctx, const struct entry *e), void *ctx, struct err *e);

/* What was told of one name between two entries, both included. */
struct journal_part {
    char name[NAME_LEN_MAX + 1];
    int64_t from_s, from_seq;
    int64_t to_s, to_seq;
};

/* All that was told of a name. */
struct journal_part journal_part_of(const char *name);

/* For listings: every entry, voided ones included, by (happened_s, seq). */
#define JOURNAL_PARTS_MAX 64
struct journal_query {
    const struct journal_part *part; /* no entry may be in two of them … */
    size_t n_parts;                  /* … which are at most JOURNAL_PARTS_MAX; 0 = all entries */
    int64_t since_s, until_s;        /* since <= happened < until */
    int64_t after_happened_s,
        after_seq; /* start behind this one; after_seq 0 = from the beginning */
    size_t limit;
    bool newest_first;
};
struct journal_row {
    struct entry entry;
    bool voided;
};
/* *out is malloc'd, *out_n of them; free() it. */
int journal_list(struct journal *j, const struct journal_query *q, struct journal_row **out,
                 size_t *out_n, struct err *e);

/* One entry by number; ERR_UNKNOWN when there is none, or it was thinned. */
int journal_get(struct journal *j, int64_t seq, struct journal_row *out, struct err *e);

/* Open tasks with their jobs' keys (kind, care, subject, cycle, window); next_id is set. */
int journal_load_agenda(struct journal *j, const struct room *room, struct agenda *out,
                        struct err *e);

/* The same of one task, open or over, as it was written last; without a task where there is none,
 * or where the room has none of its things any more. */
int journal_load_task(struct journal *j, const struct room *room, int64_t id, struct agenda *out,
                      struct err *e);

/* A task by its number, open or over. */
struct journal_task {
    struct task_end end; /* its outcome is OUTCOME_N while it is open */
    bool open;
};
/* 1 = there is or was such a task, 0 = never. *rows is malloc'd: the entries that were told of it,
 * by number, the voided ones included; free() it. */
int journal_task(struct journal *j, int64_t id, struct journal_task *out, struct journal_row **rows,
                 size_t *n_rows, struct err *e);

/* The number of the last entry (0 = empty), when the latest was told, and the last day that was
 * started. */
int64_t journal_last_seq(const struct journal *j);
int64_t journal_latest_told_s(const struct journal *j); /* 0 = empty */
int32_t journal_day_started(const struct journal *j);   /* DAY_NONE = never */

/* Does the disk take a commit? One that changes nothing is made: 0, ERR_FULL or ERR_STORE. */
int journal_probe(struct journal *j, struct err *e);

/* Moves what is committed from the write-ahead log into the file: a short log loses less to a bad
 * sector. For when nothing waits. */
int journal_checkpoint(struct journal *j, struct err *e);

#endif
