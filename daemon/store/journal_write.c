#include "daemon/base/err.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/rows.h"
#include "daemon/store/sql.h"

int journal_run(struct journal *j, enum statement which, int bound, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[which];
    int rc = bound == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);

    /* Reset repeats the failure of the step, which is told already. Bindings are cleared since they
     * point into entries and tasks of the caller. */
    (void)sqlite3_reset(stmt);
    (void)sqlite3_clear_bindings(stmt);
    return rc < 0 ? rc : 0;
}

static int write_amounts(struct journal *j, const struct entry *e, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_AMOUNT];
    int rc = 0;

    for (size_t i = 0; i < e->n_amounts && rc == 0; i++) {
        int bad = sqlite3_bind_int64(stmt, 1, e->seq);

        bad |= sqlite3_bind_int64(stmt, 2, (int64_t)i);
        bad |= sqlite3_bind_text(stmt, 3, e->amount[i].product, -1, SQLITE_STATIC);
        bad |= sqlite3_bind_double(stmt, 4, e->amount[i].amount);
        rc = journal_run(j, STMT_AMOUNT, bad, err);
    }
    return rc;
}

/* One request of a client may tell several entries: its key stands for the first to the last. */
static int write_key(struct journal *j, const struct entry *e, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_KEY];
    int bad;

    if (!*e->key) {
        return 0;
    }
    bad = sqlite3_bind_text(stmt, 1, e->key, -1, SQLITE_STATIC);
    bad |= sqlite3_bind_int64(stmt, 2, e->seq);
    return journal_run(j, STMT_KEY, bad, err);
}

static int write_entries(struct journal *j, const struct journal_batch *b, struct err *err)
{
    int64_t next = j->last_seq + 1;
    int rc = 0;

    for (size_t i = 0; i < b->n_entries && rc == 0; i++) {
        struct entry *e = &b->entry[i];

        if (e->seq == 0) {
            e->seq = next;
        }
        if (e->seq != next) { /* see 3: the live state has counted differently from the file */
            return err_set(err, ERR_STORE, "entry %lld comes where %lld is due", (long long)e->seq,
                           (long long)next);
        }
        next++;
        rc = journal_run(j, STMT_ENTRY, rows_bind(j->stmt[STMT_ENTRY], e), err);
        if (rc == 0) {
            rc = write_amounts(j, e, err);
        }
        if (rc == 0) {
            rc = write_key(j, e, err);
        }
    }
    return rc;
}

static int write_group(struct journal *j, const struct journal_batch *b, struct err *e)
{
    int rc = journal_run(j, STMT_BEGIN, SQLITE_OK, e);

    if (rc == 0) {
        rc = write_entries(j, b, e);
    }
    if (rc == 0) {
        rc = journal_write_tasks(j, b, e);
    }
    if (rc == 0) {
        rc = journal_write_ends(j, b, e);
    }
    if (rc == 0 && b->day_started != DAY_NONE) {
        rc = journal_run(j, STMT_DAY, sqlite3_bind_int(j->stmt[STMT_DAY], 1, b->day_started), e);
    }
    return rc < 0 ? rc : journal_run(j, STMT_COMMIT, SQLITE_OK, e);
}

/* See 6. */
static void count_committed(struct journal *j, const struct journal_batch *b)
{
    if (b->n_entries) {
        j->last_seq = b->entry[b->n_entries - 1].seq;
    }
    for (size_t i = 0; i < b->n_entries; i++) {
        if (b->entry[i].told_s > j->latest_told_s) {
            j->latest_told_s = b->entry[i].told_s;
        }
    }
    if (b->day_started != DAY_NONE) {
        j->day_started = b->day_started;
    }
}

int journal_write(struct journal *j, struct journal_batch *b, struct err *e)
{
    int rc;

    if (j->broken) {
        return err_set(e, ERR_STORE, "the journal failed before; tarnd has to be started again");
    }
    rc = write_group(j, b, e);
    if (rc < 0) {
        /* A full disk shows before a commit counts, and then SQLite has often rolled back by
         * itself, so that this ROLLBACK fails with nothing lost. What counts is whether a
         * transaction is still open; see 4 and 5. */
        (void)sql_run(j->db, "ROLLBACK", NULL);
        j->broken = rc != ERR_FULL || !sqlite3_get_autocommit(j->db);
        return rc;
    }
    count_committed(j, b);
    return 0;
}
