/* journal_inside.h - the open journal, as the files of this folder see it. Nobody else includes it.
 *
 * What must stay true; the code that could break one of these names its number:
 *   1. One writer. Whoever has a journal open holds the flock on DIR/lock, and SQLite's exclusive
 *      lock under it.
 *   2. A row of entry or amount is never changed or deleted. Triggers refuse both, but for a
 *      sensor's reading that a row of thinned stands for (thinning.h).
 *   3. Entries are numbered from 1, without a gap but that, in the order of telling.
 *   4. A group is in the file as a whole or not at all.
 *   5. After a write that failed for another reason than a full disk nothing more is written: what
 *      the file holds is not known until it is opened anew.
 *   6. standing says what is committed, never what is hoped for.
 *   7. What is acknowledged is in the journal and in its head record, both synced: head.h. The head
 *      of a group without entries is not synced by itself. So the journal is never behind what its
 *      head is sure of.
 *   8. Nothing is written into a journal before it is known that it is the one that was left: not
 *      even its own log is moved into it.
 *   9. tarn.db has its name only when its tables are whole and synced, so that an empty file, or a
 *      log alone, is always a loss and never a first start. */
#ifndef TARN_STORE_JOURNAL_INSIDE_H
#define TARN_STORE_JOURNAL_INSIDE_H

#include "daemon/store/head.h"
#include "daemon/store/journal.h"
#include "daemon/store/rows.h"
#include "daemon/store/standing.h"

#include <sqlite3.h>
#include <sys/types.h>

/* The statements that are prepared once, each with its SQL: one list, so that none lacks the
 * other. */
/* clang-format off */
#define JOURNAL_STATEMENTS(X)                                                                      \
    X(BEGIN, "BEGIN IMMEDIATE")                                                                    \
    X(COMMIT, "COMMIT")                                                                            \
    X(ENTRY, "INSERT INTO entry (" ROWS_COLUMNS ", hash) VALUES (" ROWS_PLACES ", ?)")             \
    X(AMOUNT, "INSERT INTO amount (entry, place, product, amount) VALUES (?, ?, ?, ?)")            \
    X(AMOUNTS_OF, ROWS_AMOUNTS)                                                                    \
    X(KEY, "INSERT INTO client_key (key, first_seq, last_seq) VALUES (?1, ?2, ?2)"                 \
           " ON CONFLICT (key) DO UPDATE SET last_seq = ?2")                                       \
    X(FIND_KEY, "SELECT first_seq, last_seq FROM client_key WHERE key = ?")                        \
    X(TASK, "INSERT INTO task (id, kind, care, earliest, due, latest, planned, seal)"              \
            " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (id) DO UPDATE SET"              \
            " earliest = ?4, due = ?5, latest = ?6, planned = ?7, seal = ?8, outcome = NULL,"      \
            " reason = NULL")                                                                      \
    X(TASK_SEAL, "SELECT seal FROM task WHERE id = ? AND outcome IS NULL")                         \
    X(TASK_CLEAR, "DELETE FROM task_job WHERE task = ?")                                           \
    X(TASK_JOB, "INSERT INTO task_job (task, subject, cycle) VALUES (?, ?, ?)")                    \
    X(TASK_END, "UPDATE task SET outcome = ?2, reason = ?3 WHERE id = ?1")                         \
    X(DAY, "INSERT INTO day_started (one, day) VALUES (1, ?1)"                                     \
           " ON CONFLICT (one) DO UPDATE SET day = ?1")                                            \
    X(STANDING, "UPDATE standing SET record = ? WHERE one = 1")
/* clang-format on */

#define JOURNAL_STATEMENT_ENUM(name, sql) STMT_##name,
enum statement { JOURNAL_STATEMENTS(JOURNAL_STATEMENT_ENUM) STMT_N };

struct journal {
    sqlite3 *db;
    sqlite3_stmt *stmt[STMT_N]; /* all of them, from open to close */
    int lock_fd;                /* -1 = not held */
    struct head *head;
    struct standing standing; /* as committed, see 6 … */
    struct standing next;     /* … and as the group that is being written makes it */
    dev_t dev;                /* of tarn.db, to see that it is still there … */
    ino_t ino;
    char *path;
    bool broken;          /* see 5 */
    int64_t left_off;     /* the last entry that was on its way when it ended, and is not there */
    bool sealed_now;      /* its contents had no seals before it was opened */
    int64_t checked;      /* entries looked at since it was opened … */
    struct seal check_at; /* … and the seal of the last of them */
};

/* Steps a statement that gives no row, and makes it ready for the next time, also when it failed.
 * `bound` is what its sqlite3_bind_… calls gave, or-ed. 0, or SQLite's failure as ours. */
int journal_run(struct journal *j, enum statement which, int bound, struct err *e);

/* Parts of a group; journal_write has begun the transaction. They fail as journal_run does. */
int journal_write_tasks(struct journal *j, const struct journal_batch *b, struct err *e);
int journal_write_ends(struct journal *j, const struct journal_batch *b, struct err *e);

/* Parts of the check at the start, which takes no longer for a long journal; ERR_STORE says what is
 * wrong and what to do. SQLite's own check of the file, where it is not too long or `whole`; is it
 * as its head record says, or ahead of it; the contents by their seals, of the entries only the
 * last ones where they are many: journal_check_some does the rest. */
int journal_check_file(sqlite3 *db, bool whole, struct err *e);
int journal_check_head(struct journal *j, const struct head_says *head, struct err *e);
int journal_check_contents(struct journal *j, struct err *e);

#endif
