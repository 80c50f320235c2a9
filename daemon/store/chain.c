#include "daemon/store/chain.h"

#include "daemon/base/err.h"
#include "daemon/core/room/entry.h"
#include "daemon/core/units/day.h"
#include "daemon/store/rows.h"
#include "daemon/store/sql.h"

#include <errno.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/random.h>

#define HASH_COLUMN ROWS_N /* behind the entry's own columns */

/* ---- entries */

struct walk {
    sqlite3 *db;
    sqlite3_stmt *rows, *amounts;
};

static int walk_begin(struct walk *w, sqlite3 *db, int64_t first, int64_t last, struct err *e)
{
    int rc;

    *w = (struct walk){.db = db};
    rc = sql_prepare(db,
                     "SELECT " ROWS_COLUMNS ", hash FROM entry WHERE seq BETWEEN ?1 AND ?2"
                     " ORDER BY seq",
                     &w->rows, e);
    if (rc == 0) {
        rc = sql_prepare(db, ROWS_AMOUNTS, &w->amounts, e);
    }
    if (rc == 0 && (sqlite3_bind_int64(w->rows, 1, first) != SQLITE_OK ||
                    sqlite3_bind_int64(w->rows, 2, last) != SQLITE_OK)) {
        rc = sql_fail(db, e);
    }
    return rc;
}

static void walk_end(struct walk *w)
{
    (void)sqlite3_finalize(w->rows);
    (void)sqlite3_finalize(w->amounts);
}

/* 1 = an entry, 0 = there is none left. */
static int walk_next(struct walk *w, struct entry *out, struct err *e)
{
    int rc = sql_step(w->rows, e);

    if (rc == 1) {
        rc = rows_read(w->rows, out, e);
        rc = rc < 0 ? rc : rows_read_amounts(w->amounts, out, e);
        rc = rc < 0 ? rc : 1;
    }
    return rc;
}

static bool has_seal(sqlite3_stmt *stmt, int column, const struct seal *want)
{
    return sqlite3_column_type(stmt, column) == SQLITE_BLOB &&
           sqlite3_column_bytes(stmt, column) == SEAL_LEN &&
           memcmp(sqlite3_column_blob(stmt, column), want->byte, SEAL_LEN) == 0;
}

int chain_thinned(sqlite3 *db, int64_t seq, struct chain_run *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(db,
                         "SELECT last_seq, hash FROM thinned WHERE first_seq <= ?"
                         " ORDER BY first_seq DESC LIMIT 1",
                         &stmt, e);

    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, seq);
        rc = sql_step(stmt, e);
    }
    if (rc == 1 &&
        (sqlite3_column_int64(stmt, 0) < seq || sqlite3_column_bytes(stmt, 1) != SEAL_LEN)) {
        rc = 0;
    } else if (rc == 1) {
        out->last = sqlite3_column_int64(stmt, 0);
        memcpy(out->seal.byte, sqlite3_column_blob(stmt, 1), SEAL_LEN);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

/* Goes on behind what was thinned from *due on; else *due is gone. */
static int pass_thinned(sqlite3 *db, int64_t *due, struct seal *at, struct err *e)
{
    struct chain_run run;
    int rc = chain_thinned(db, *due, &run, e);

    if (rc == 1) {
        *due = run.last + 1;
        *at = run.seal;
        return 0;
    }
    return rc < 0 ? rc : err_set(e, ERR_STORE, "entry %lld is gone", (long long)*due);
}

int chain_check(sqlite3 *db, int64_t first, int64_t *last, struct seal *at, struct err *e)
{
    int64_t due = first;
    struct walk w;
    struct entry entry;
    int rc = walk_begin(&w, db, first, *last, e);

    rc = rc < 0 ? rc : 1;
    while (rc == 1 && (rc = walk_next(&w, &entry, e)) == 1) {
        int passed = entry.seq == due ? 0 : pass_thinned(db, &due, at, e);

        if (passed == 0 && entry.seq != due) {
            passed = err_set(e, ERR_STORE, "entry %lld is gone", (long long)due);
        }
        *at = seal_of_entry(at, &entry);
        if (passed < 0) {
            rc = passed;
        } else if (!has_seal(w.rows, HASH_COLUMN, at)) {
            rc = err_set(e, ERR_STORE, "entry %lld is not what was told", (long long)due);
        } else {
            due++;
        }
    }
    walk_end(&w);
    if (rc == 0 && due <= *last) {
        rc = pass_thinned(db, &due, at, e);
    }
    if (rc == 0 && due <= *last) {
        rc = err_set(e, ERR_STORE, "entry %lld is gone", (long long)due);
    }
    *last = due - 1;
    return rc;
}

int chain_seal_at(sqlite3 *db, int64_t seq, struct seal *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    struct chain_run run;
    int rc;

    *out = (struct seal){0};
    if (seq == 0) {
        return 0;
    }
    rc = sql_prepare(db, "SELECT hash FROM entry WHERE seq = ?", &stmt, e);
    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, seq);
        rc = sql_step(stmt, e);
    }
    if (rc == 1 && sqlite3_column_bytes(stmt, 0) == SEAL_LEN) {
        memcpy(out->byte, sqlite3_column_blob(stmt, 0), SEAL_LEN);
        rc = 0;
    } else if (rc == 0 && chain_thinned(db, seq, &run, NULL) == 1 && run.last == seq) {
        *out = run.seal;
    } else if (rc >= 0) {
        rc = err_set(e, ERR_STORE, "entry %lld is gone, or has lost its seal", (long long)seq);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

static int seal_entries(sqlite3 *db, struct standing *s, struct err *e)
{
    sqlite3_stmt *set = NULL;
    struct walk w;
    struct entry entry;
    int rc = walk_begin(&w, db, 1, INT64_MAX, e);

    if (rc == 0) {
        rc = sql_prepare(db, "UPDATE entry SET hash = ?2 WHERE seq = ?1", &set, e);
    }
    rc = rc < 0 ? rc : 1;
    while (rc == 1 && (rc = walk_next(&w, &entry, e)) == 1) {
        int64_t due = s->entries + 1;
        int passed = entry.seq == due ? 0 : pass_thinned(db, &due, &s->last, e);

        if (passed < 0 || entry.seq != due) {
            rc = passed < 0 ? passed : err_set(e, ERR_STORE, "entry %lld is gone", (long long)due);
            break;
        }
        s->last = seal_of_entry(&s->last, &entry);
        s->entries = due;
        (void)sqlite3_bind_int64(set, 1, entry.seq);
        (void)sqlite3_bind_blob(set, 2, s->last.byte, SEAL_LEN, SQLITE_STATIC);
        rc = sql_step(set, e);
        (void)sqlite3_reset(set);
        rc = rc < 0 ? rc : 1;
    }
    (void)sqlite3_finalize(set);
    walk_end(&w);
    return rc;
}

/* ---- what is added up */

/* Adds up what `of` gives for each row. */
static int sum(sqlite3 *db, const char *sql, uint64_t (*of)(sqlite3_stmt *row), uint64_t *io_sum,
               struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(db, sql, &stmt, e);

    rc = rc < 0 ? rc : 1;
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        *io_sum += of(stmt);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

static const char *text_of(sqlite3_stmt *row, int column)
{
    const char *text = (const char *)sqlite3_column_text(row, column);

    return text ? text : "";
}

static uint64_t table_of(sqlite3_stmt *row)
{
    return seal_of_table(text_of(row, 0), text_of(row, 1));
}

static uint64_t task_of(sqlite3_stmt *row)
{
    return seal_of_task(&(struct task_figures){.id = sqlite3_column_int64(row, 0),
                                               .kind = text_of(row, 1),
                                               .care = sqlite3_column_int64(row, 2),
                                               .earliest = sqlite3_column_int64(row, 3),
                                               .due = sqlite3_column_int64(row, 4),
                                               .latest = sqlite3_column_int64(row, 5),
                                               .planned = sqlite3_column_int64(row, 6)});
}

static uint64_t job_of(sqlite3_stmt *row)
{
    return seal_of_job(sqlite3_column_int64(row, 0), text_of(row, 1), sqlite3_column_int64(row, 2));
}

static uint64_t key_of(sqlite3_stmt *row)
{
    return seal_of_key(text_of(row, 0), sqlite3_column_int64(row, 1), sqlite3_column_int64(row, 2));
}

int chain_sum_tables(sqlite3 *db, uint64_t *out, struct err *e)
{
    *out = 0;
    return sum(db, "SELECT name, coalesce(sql, '') FROM sqlite_schema", table_of, out, e);
}

int chain_sum_tasks(sqlite3 *db, uint64_t *out, struct err *e)
{
    int rc;

    *out = 0;
    rc = sum(db,
             "SELECT id, kind, care, earliest, due, latest, planned FROM task"
             " WHERE outcome IS NULL",
             task_of, out, e);
    return rc < 0 ? rc
                  : sum(db,
                        "SELECT task, subject, cycle FROM task_job WHERE task IN"
                        " (SELECT id FROM task WHERE outcome IS NULL)",
                        job_of, out, e);
}

int chain_sum_keys(sqlite3 *db, uint64_t *out, struct err *e)
{
    *out = 0;
    return sum(db, "SELECT key, first_seq, last_seq FROM client_key", key_of, out, e);
}

/* A task's own seal stands in its row, so that a later change need not look at its jobs. */
static int seal_tasks(sqlite3 *db, struct err *e)
{
    sqlite3_stmt *tasks = NULL;
    sqlite3_stmt *jobs = NULL;
    sqlite3_stmt *set = NULL;
    int rc = sql_prepare(db,
                         "SELECT id, kind, care, earliest, due, latest, planned FROM task"
                         " WHERE outcome IS NULL",
                         &tasks, e);

    rc = rc < 0 ? rc
                : sql_prepare(db, "SELECT task, subject, cycle FROM task_job WHERE task = ?", &jobs,
                              e);
    rc = rc < 0 ? rc : sql_prepare(db, "UPDATE task SET seal = ?2 WHERE id = ?1", &set, e);
    rc = rc < 0 ? rc : 1;
    while (rc == 1 && (rc = sql_step(tasks, e)) == 1) {
        uint64_t seal = task_of(tasks);

        (void)sqlite3_bind_int64(jobs, 1, sqlite3_column_int64(tasks, 0));
        while ((rc = sql_step(jobs, e)) == 1) {
            seal += job_of(jobs);
        }
        (void)sqlite3_reset(jobs);
        (void)sqlite3_bind_int64(set, 1, sqlite3_column_int64(tasks, 0));
        (void)sqlite3_bind_int64(set, 2, (int64_t)seal);
        rc = rc < 0 ? rc : sql_step(set, e);
        (void)sqlite3_reset(set);
        rc = rc < 0 ? rc : 1;
    }
    (void)sqlite3_finalize(tasks);
    (void)sqlite3_finalize(jobs);
    (void)sqlite3_finalize(set);
    return rc;
}

/* ---- standing */

int chain_standing(sqlite3 *db, struct standing *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(db, "SELECT record FROM standing WHERE one = 1", &stmt, e);

    rc = rc < 0 ? rc : sql_step(stmt, e);
    if (rc >= 0) {
        bool sound = rc == 1 && sqlite3_column_bytes(stmt, 0) == STANDING_LEN &&
                     standing_read(sqlite3_column_blob(stmt, 0), out);

        rc = sound ? 0 : err_set(e, ERR_STORE, "its own account of itself is damaged or gone");
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

static int put_standing(sqlite3 *db, const struct standing *s, struct err *e)
{
    unsigned char bytes[STANDING_LEN];
    sqlite3_stmt *stmt = NULL;
    int rc =
        sql_prepare(db, "INSERT OR REPLACE INTO standing (one, record) VALUES (1, ?)", &stmt, e);

    standing_write(s, bytes);
    if (rc == 0) {
        rc = sqlite3_bind_blob(stmt, 1, bytes, sizeof bytes, SQLITE_STATIC) == SQLITE_OK
                 ? sql_step(stmt, e)
                 : sql_fail(db, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

int chain_make(sqlite3 *db, int64_t version, struct err *e)
{
    struct standing s = {.version = version, .day_started = DAY_NONE};
    int rc = seal_entries(db, &s, e);

    if (getrandom(s.id, sizeof s.id, 0) != (ssize_t)sizeof s.id) {
        return err_set(e, ERR_STORE, "the system gives no random bytes: %s", strerror(errno));
    }
    rc = rc < 0 ? rc : seal_tasks(db, e);
    rc = rc < 0 ? rc : chain_sum_tasks(db, &s.tasks, e);
    rc = rc < 0 ? rc : chain_sum_keys(db, &s.keys, e);
    rc = rc < 0 ? rc : chain_sum_tables(db, &s.tables, e);
    rc = rc < 0 ? rc : sql_int(db, "SELECT coalesce(max(id), 0) FROM task", &s.last_task, e);
    rc = rc < 0 ? rc
                : sql_int(db, "SELECT coalesce(max(day), -2147483648) FROM day_started",
                          &s.day_started, e);
    return rc < 0 ? rc : put_standing(db, &s, e);
}

int chain_new_tables(sqlite3 *db, int64_t version, struct err *e)
{
    struct standing s;
    int rc = chain_standing(db, &s, e);

    if (rc == 0) {
        s.version = version;
        rc = chain_sum_tables(db, &s.tables, e);
    }
    return rc < 0 ? rc : put_standing(db, &s, e);
}
