#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/rows.h"
#include "daemon/store/sql.h"

#include <stdlib.h>

/* The rows of a SELECT … WHERE … AND that stand behind an instant and a number. By one condition,
 * (happened_s, seq) > (…, …), SQLite goes to the instant alone and through all entries of that
 * second, which may be as many as sensors tell; by these two it goes to the first. The ORDER BY
 * behind it merges them. */
#define BEHIND(select, happened_s, seq)                                                            \
    select " happened_s = " happened_s " AND seq > " seq " UNION ALL " select                      \
           " happened_s > " happened_s

/* Stands behind the entry's own columns, at ROWS_N. */
#define VOIDED_COLUMN ", EXISTS (SELECT 1 FROM entry AS v WHERE v.voids = entry.seq)"

int64_t journal_last_seq(const struct journal *j)
{
    return j->standing.entries;
}

int64_t journal_latest_told_s(const struct journal *j)
{
    return j->standing.latest_told_s;
}

int32_t journal_day_started(const struct journal *j)
{
    return (int32_t)j->standing.day_started;
}

int journal_find_key(struct journal *j, const char *key, int64_t *out_first, int64_t *out_last,
                     struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_FIND_KEY];
    int rc = sqlite3_bind_text(stmt, 1, key, -1, SQLITE_STATIC) == SQLITE_OK ? sql_step(stmt, e)
                                                                             : sql_fail(j->db, e);

    if (rc == 1) {
        *out_first = sqlite3_column_int64(stmt, 0);
        *out_last = sqlite3_column_int64(stmt, 1);
    }
    (void)sqlite3_reset(stmt);
    (void)sqlite3_clear_bindings(stmt);
    return rc;
}

static int read_entry(struct journal *j, sqlite3_stmt *stmt, struct entry *out, struct err *e)
{
    int rc = rows_read(stmt, out, e);

    return rc < 0 ? rc : rows_read_amounts(j->stmt[STMT_AMOUNTS_OF], out, e);
}

int journal_fold_after(struct journal *j, int64_t happened_s, int64_t seq,
                       bool (*fn)(void *ctx, const struct entry *e), void *ctx, struct err *e)
{
    /* SQLite would look for the rows whose voids is NULL by that column's index, which are nearly
     * all, and sort them. */
    static const char sql[] =
        BEHIND("SELECT " ROWS_COLUMNS " FROM entry INDEXED BY entry_in_order WHERE +voids IS NULL"
               " AND NOT EXISTS (SELECT 1 FROM entry AS v WHERE v.voids = entry.seq) AND",
               "?1", "?2") " ORDER BY happened_s, seq";
    sqlite3_stmt *stmt = NULL;
    struct entry entry;
    int rc = sql_prepare(j->db, sql, &stmt, e);

    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, happened_s) == SQLITE_OK &&
                     sqlite3_bind_int64(stmt, 2, seq) == SQLITE_OK
                 ? 1
                 : sql_fail(j->db, e);
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad = read_entry(j, stmt, &entry, e);

        if (bad < 0) {
            rc = bad;
        } else if (!fn(ctx, &entry)) {
            rc = 0;
        }
    }
    (void)sqlite3_finalize(stmt);
    return rc < 0 ? rc : 0;
}

int journal_fold(struct journal *j, bool (*fn)(void *ctx, const struct entry *e), void *ctx,
                 struct err *e)
{
    return journal_fold_after(j, INT64_MIN, 0, fn, ctx, e);
}

static int bind_query(sqlite3_stmt *stmt, const struct journal_query *q)
{
    bool goes_on = q->after_seq && q->after_happened_s >= q->since_s;
    int bad = sqlite3_bind_int64(stmt, 2, q->until_s);

    bad |= sqlite3_bind_int64(stmt, 3, goes_on ? q->after_happened_s : q->since_s);
    bad |= sqlite3_bind_int64(stmt, 4, goes_on ? q->after_seq : 0);
    bad |= sqlite3_bind_int64(stmt, 5, (int64_t)q->limit);
    if (q->of) {
        bad |= sqlite3_bind_text(stmt, 6, q->of, -1, SQLITE_STATIC);
    }
    if (q->of && q->or_of) {
        bad |= sqlite3_bind_text(stmt, 7, q->or_of, -1, SQLITE_STATIC);
    }
    return bad;
}

static int read_row(struct journal *j, sqlite3_stmt *stmt, struct journal_row *out, struct err *e)
{
    out->voided = sqlite3_column_int(stmt, ROWS_N) != 0;
    return read_entry(j, stmt, &out->entry, e);
}

/* A SELECT a name: of two in one SQLite sorts all that these have, for each page. */
#define LISTED(of)                                                                                 \
    BEHIND("SELECT " ROWS_COLUMNS VOIDED_COLUMN " FROM entry WHERE" of " happened_s < ?2 AND",     \
           "?3", "?4")
#define LISTED_OF LISTED(" subject = ?6 AND")

int journal_list(struct journal *j, const struct journal_query *q, struct journal_row **out,
                 size_t *out_n, struct err *e)
{
    const char *what = !q->of     ? LISTED("")
                       : q->or_of ? LISTED_OF " UNION ALL " LISTED(" subject = ?7 AND ?7 <> ?6 AND")
                                  : LISTED_OF;
    const char *order = q->newest_first ? "happened_s DESC, seq DESC" : "happened_s, seq";
    struct journal_row *row = NULL;
    sqlite3_stmt *stmt = NULL;
    struct text sql = {0};
    size_t n = 0;
    size_t cap = 0;
    int rc;

    text_add(&sql, "%s ORDER BY %s LIMIT ?5", what, order);
    rc = sql_prepare(j->db, sql.s, &stmt, e);
    text_deinit(&sql);
    if (rc == 0) {
        rc = bind_query(stmt, q) == SQLITE_OK ? 1 : sql_fail(j->db, e);
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad;

        row = mem_grow(row, &cap, n + 1, sizeof *row);
        bad = read_row(j, stmt, &row[n++], e);
        rc = bad < 0 ? bad : 1;
    }
    (void)sqlite3_finalize(stmt);
    if (rc < 0) {
        free(row);
        return rc;
    }
    *out = row;
    *out_n = n;
    return 0;
}

int journal_get(struct journal *j, int64_t seq, struct journal_row *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(j->db, "SELECT " ROWS_COLUMNS VOIDED_COLUMN " FROM entry WHERE seq = ?",
                         &stmt, e);

    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, seq) == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);
    }
    if (rc == 0) {
        rc = err_set(e, ERR_UNKNOWN, "there is no entry %lld", (long long)seq);
    } else if (rc == 1) {
        rc = read_row(j, stmt, out, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}
