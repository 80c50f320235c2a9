#include "daemon/store/thinning.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

#include <stdlib.h>
#include <string.h>

/* The hour's first instant; also before 1970. */
static int64_t whole_hour(int64_t at_s)
{
    int64_t over_s = at_s % SENSOR_HOUR_S;

    return at_s - (over_s < 0 ? over_s + SENSOR_HOUR_S : over_s);
}

int thinning_begin(struct thinning *t, struct journal *j, int64_t since_s, int64_t until_s,
                   struct err *e)
{
    int64_t latest_s = 0;
    int rc = sql_int(j->db, "SELECT coalesce(max(happened_s), 0) FROM entry", &latest_s, e);

    *t = (struct thinning){.until_s = whole_hour(until_s < latest_s ? until_s : latest_s),
                           .happened_s = since_s == INT64_MIN ? since_s : whole_hour(since_s)};
    return rc;
}

void thinning_deinit(struct thinning *t)
{
    free(t->subject);
    *t = (struct thinning){0};
}

static struct sensor_hour *hour_of(struct thinning *t, const char *name)
{
    struct thinned_subject *s;

    for (size_t i = 0; i < t->n_subjects; i++) {
        if (strcmp(t->subject[i].name, name) == 0) {
            return &t->subject[i].hour;
        }
    }
    t->subject = mem_grow(t->subject, &t->cap_subjects, t->n_subjects + 1, sizeof *t->subject);
    s = &t->subject[t->n_subjects++];
    *s = (struct thinned_subject){0};
    memcpy(s->name, name, strlen(name) + 1);
    return &s->hour;
}

/* ---- one that goes */

struct gone {
    int64_t seq;
    struct seal seal;
};

/* The three rows at most that become one: the run that ends before it, itself, and the run that
 * begins behind it. */
static int add_to_runs(struct journal *j, const struct gone *g, struct err *e)
{
    struct chain_run before;
    struct chain_run behind;
    struct chain_run run = {.last = g->seq, .seal = g->seal};
    int64_t first = g->seq;
    sqlite3_stmt *stmt = NULL;
    int rc = chain_thinned(j->db, g->seq + 1, &behind, e);

    if (rc == 1) {
        run = behind;
    }
    rc = rc < 0 ? rc : chain_thinned(j->db, g->seq - 1, &before, e);
    if (rc == 1) {
        rc = sql_prepare(j->db,
                         "SELECT first_seq FROM thinned WHERE first_seq < ?"
                         " ORDER BY first_seq DESC LIMIT 1",
                         &stmt, e);
        if (rc == 0) {
            (void)sqlite3_bind_int64(stmt, 1, g->seq);
            rc = sql_step(stmt, e);
            first = rc == 1 ? sqlite3_column_int64(stmt, 0) : first;
        }
        (void)sqlite3_finalize(stmt);
        stmt = NULL;
    }
    rc = rc < 0 ? rc
                : sql_prepare(j->db, "DELETE FROM thinned WHERE first_seq BETWEEN ?1 AND ?2", &stmt,
                              e);
    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, first);
        (void)sqlite3_bind_int64(stmt, 2, run.last);
        rc = sql_step(stmt, e);
    }
    (void)sqlite3_finalize(stmt);
    stmt = NULL;
    rc = rc < 0 ? rc : sql_prepare(j->db, "INSERT INTO thinned VALUES (?, ?, ?)", &stmt, e);
    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, first);
        (void)sqlite3_bind_int64(stmt, 2, run.last);
        (void)sqlite3_bind_blob(stmt, 3, run.seal.byte, SEAL_LEN, SQLITE_STATIC);
        rc = sql_step(stmt, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

static int let_go(struct journal *j, const struct gone *g, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = add_to_runs(j, g, e);

    rc = rc < 0 ? rc : sql_prepare(j->db, "DELETE FROM entry WHERE seq = ?", &stmt, e);
    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, g->seq);
        rc = sql_step(stmt, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

/* A client's key goes on to name what it told, so that it is told once; and SQLite would look
 * through all keys for each that goes. */
static int let_all_go(struct journal *j, const struct gone *gone, size_t n, struct err *e)
{
    int rc = n ? sql_run(j->db, "PRAGMA foreign_keys=OFF; BEGIN IMMEDIATE", e) : 0;

    for (size_t i = 0; i < n && rc == 0; i++) {
        rc = let_go(j, &gone[i], e);
    }
    rc = rc == 0 && n ? sql_run(j->db, "COMMIT", e) : rc;
    if (rc < 0) {
        (void)sql_run(j->db, "ROLLBACK", NULL);
        j->broken = j->broken || !sqlite3_get_autocommit(j->db);
    }
    if (n && sql_run(j->db, "PRAGMA foreign_keys=ON", rc < 0 ? NULL : e) < 0) {
        rc = rc < 0 ? rc : ERR_STORE;
    }
    return rc;
}

/* ---- which ones */

/* Rows in the order of the fold, by the sensors' own index. */
static const char sensed[] =
    "SELECT " ROWS_COLUMNS ", hash FROM entry INDEXED BY entry_of_sensor"
    " WHERE source IS NOT NULL AND (happened_s, seq) > (?1, ?2) AND happened_s < ?3"
    " AND NOT EXISTS (SELECT 1 FROM entry AS v WHERE v.voids = entry.seq)"
    " ORDER BY happened_s, seq LIMIT ?4";

/* The last number stays, whatever it is: the journal's end is known by it. */
static bool may_go(const struct thinning *t, const struct journal *j, const struct entry *e,
                   sqlite3_stmt *row)
{
    return e->kind == ENTRY_READING && e->told_s < t->until_s && !*e->note && e->n_amounts == 0 &&
           e->seq < j->standing.entries && sqlite3_column_bytes(row, ROWS_N) == SEAL_LEN;
}

static int look_at(struct thinning *t, const struct journal *j, sqlite3_stmt *row,
                   struct gone *gone, size_t *n_gone, struct err *e)
{
    struct entry entry;
    int rc = rows_read(row, &entry, e);

    if (rc < 0) {
        return rc;
    }
    t->happened_s = entry.happened_s;
    t->seq = entry.seq;
    if (!sensor_hour_counts(hour_of(t, entry.subject), &entry) && may_go(t, j, &entry, row)) {
        gone[*n_gone].seq = entry.seq;
        memcpy(gone[(*n_gone)++].seal.byte, sqlite3_column_blob(row, ROWS_N), SEAL_LEN);
    }
    return 0;
}

int thinning_some(struct thinning *t, struct journal *j, size_t n, bool *out_done, struct err *e)
{
    struct gone *gone = mem_array(n, sizeof *gone);
    sqlite3_stmt *stmt = NULL;
    size_t n_gone = 0;
    size_t seen = 0;
    int rc = sql_prepare(j->db, sensed, &stmt, e);

    if (rc == 0) {
        (void)sqlite3_bind_int64(stmt, 1, t->happened_s);
        (void)sqlite3_bind_int64(stmt, 2, t->seq);
        (void)sqlite3_bind_int64(stmt, 3, t->until_s);
        (void)sqlite3_bind_int64(stmt, 4, (int64_t)n);
        rc = 1;
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad = look_at(t, j, stmt, gone, &n_gone, e);

        seen++;
        rc = bad < 0 ? bad : 1;
    }
    (void)sqlite3_finalize(stmt);
    rc = rc < 0 ? rc : let_all_go(j, gone, n_gone, e);
    t->n_gone += rc < 0 ? 0 : (int64_t)n_gone;
    *out_done = rc < 0 || seen < n;
    free(gone);
    return rc;
}
