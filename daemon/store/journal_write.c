#include "daemon/base/err.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/rows.h"
#include "daemon/store/sql.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

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
    int64_t first = e->seq;
    int64_t last = 0;
    int bad;
    int rc;

    if (!*e->key) {
        return 0;
    }
    rc = journal_find_key(j, e->key, &first, &last, err);
    if (rc < 0) {
        return rc;
    }
    if (rc == 1) {
        j->next.keys -= seal_of_key(e->key, first, last);
    }
    j->next.keys += seal_of_key(e->key, first, e->seq);
    bad = sqlite3_bind_text(stmt, 1, e->key, -1, SQLITE_STATIC);
    bad |= sqlite3_bind_int64(stmt, 2, e->seq);
    return journal_run(j, STMT_KEY, bad, err);
}

static int write_entry(struct journal *j, const struct entry *e, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_ENTRY];
    int bad = rows_bind(stmt, e);

    j->next.last = seal_of_entry(&j->next.last, e);
    j->next.entries = e->seq;
    if (e->told_s > j->next.latest_told_s) {
        j->next.latest_told_s = e->told_s;
    }
    bad |= sqlite3_bind_blob(stmt, ROWS_N + 1, j->next.last.byte, SEAL_LEN, SQLITE_STATIC);
    return journal_run(j, STMT_ENTRY, bad, err);
}

static int write_entries(struct journal *j, const struct journal_batch *b, struct err *err)
{
    int64_t next = j->standing.entries + 1;
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
        rc = write_entry(j, e, err);
        if (rc == 0) {
            rc = write_amounts(j, e, err);
        }
        if (rc == 0) {
            rc = write_key(j, e, err);
        }
    }
    return rc;
}

static int write_day(struct journal *j, int32_t day, struct err *e)
{
    if (day == DAY_NONE) {
        return 0;
    }
    j->next.day_started = day;
    return journal_run(j, STMT_DAY, sqlite3_bind_int(j->stmt[STMT_DAY], 1, day), e);
}

static int write_standing(struct journal *j, struct err *e)
{
    unsigned char bytes[STANDING_LEN];

    standing_write(&j->next, bytes);
    return journal_run(
        j, STMT_STANDING,
        sqlite3_bind_blob(j->stmt[STMT_STANDING], 1, bytes, sizeof bytes, SQLITE_STATIC), e);
}

static int write_group(struct journal *j, const struct journal_batch *b, struct err *e)
{
    int rc = journal_run(j, STMT_BEGIN, SQLITE_OK, e);

    rc = rc < 0 ? rc : write_entries(j, b, e);
    rc = rc < 0 ? rc : journal_write_tasks(j, b, e);
    rc = rc < 0 ? rc : journal_write_ends(j, b, e);
    rc = rc < 0 ? rc : write_day(j, b->day_started, e);
    return rc < 0 ? rc : write_standing(j, e);
}

/* What is written into a file that was moved or removed would be gone with it. */
static int still_there(const struct journal *j, struct err *e)
{
    struct stat st;

    if (stat(j->path, &st) == 0 && st.st_dev == j->dev && st.st_ino == j->ino) {
        return 0;
    }
    return err_set(e, ERR_STORE,
                   "%s was moved, removed or replaced while tarnd runs; put it back with its -wal "
                   "and -head, and start tarnd again",
                   j->path);
}

/* See 7. What holds no entry, as a plan that was made anew, was told by nobody: that the head has
 * it on the disk can wait for the next one. */
static int commit(struct journal *j, bool told, bool *out_meant, struct err *e)
{
    int rc = told ? head_mean(j->head, &j->next, e) : 0;

    *out_meant = told && rc == 0;
    return rc < 0 ? rc : journal_run(j, STMT_COMMIT, SQLITE_OK, e);
}

/* It is committed; whether it may be acknowledged is another matter. */
static int seal_off(struct journal *j, bool told, struct err *e)
{
    int rc = told ? head_done(j->head, &j->standing, e) : head_write(j->head, &j->standing, e);

    rc = rc < 0 ? rc : still_there(j, e);
    j->broken = rc < 0;
    return rc == ERR_FULL
               ? err_set(e, ERR_STORE, "the disk is full: the head record was not written")
               : rc;
}

/* A full disk shows before a commit counts, and then SQLite has often rolled back by itself, so
 * that this ROLLBACK fails with nothing lost. What counts is whether a transaction is still open,
 * and whether the head is what it was; see 4 and 5. */
static void take_back(struct journal *j, int rc, bool meant)
{
    (void)sql_run(j->db, "ROLLBACK", NULL);
    j->broken = rc != ERR_FULL || !sqlite3_get_autocommit(j->db) ||
                (meant && head_undo(j->head, &j->standing, NULL) < 0);
}

int journal_write(struct journal *j, struct journal_batch *b, struct err *e)
{
    bool told = b->n_entries > 0;
    bool meant = false;
    int rc;

    if (j->broken) {
        return err_set(e, ERR_STORE, "the journal failed before; tarnd has to be started again");
    }
    j->next = j->standing;
    j->next.written++;
    rc = write_group(j, b, e);
    rc = rc < 0 ? rc : commit(j, told, &meant, e);
    if (rc < 0) {
        take_back(j, rc, meant);
        return rc;
    }
    j->standing = j->next; /* see 6 */
    return seal_off(j, told, e);
}

int journal_claim(struct journal *j, const char *room, bool simulated, struct err *e)
{
    enum standing_clock clock = simulated ? STANDING_SIMULATED : STANDING_REAL;
    struct journal_batch nothing = {.day_started = DAY_NONE};
    struct standing before = j->standing;
    int rc;

    if (before.clock != STANDING_NOT_SAID && before.clock != clock && before.entries > 0) {
        return err_set(e, ERR_REFUSED,
                       simulated ? "%s was kept by the real clock: what is tried out with "
                                   "--simulate wants a --state of its own"
                                 : "%s was tried out with --simulate: a room that is real wants a "
                                   "--state of its own",
                       j->path);
    }
    if (before.clock == clock && strcmp(before.room, room) == 0) {
        return 0;
    }
    j->standing.clock = clock;
    (void)snprintf(j->standing.room, sizeof j->standing.room, "%s", room);
    rc = journal_write(j, &nothing, e);
    if (rc == ERR_FULL) { /* another time: it can be read */
        j->standing = before;
        rc = 0;
    }
    return rc;
}
