#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/rows.h"
#include "daemon/store/sql.h"

#include <stdio.h>
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

struct journal_part journal_part_of(const char *name)
{
    struct journal_part part = {
        .from_s = INT64_MIN, .from_seq = 0, .to_s = INT64_MAX, .to_seq = INT64_MAX};

    (void)snprintf(part.name, sizeof part.name, "%s", name);
    return part;
}

#define FIRST_OF_PARTS 6 /* parameters of the first of them … */
#define OF_A_PART      5 /* … and how many each has */

static int bind_part(sqlite3_stmt *stmt, int at, const struct journal_part *part)
{
    int bad = sqlite3_bind_text(stmt, at, part->name, -1, SQLITE_STATIC);

    bad |= sqlite3_bind_int64(stmt, at + 1, part->from_s);
    bad |= sqlite3_bind_int64(stmt, at + 2, part->from_seq);
    bad |= sqlite3_bind_int64(stmt, at + 3, part->to_s);
    return bad | sqlite3_bind_int64(stmt, at + 4, part->to_seq);
}

static int bind_query(sqlite3_stmt *stmt, const struct journal_query *q)
{
    bool goes_on = q->after_seq && q->after_happened_s >= q->since_s;
    int bad = sqlite3_bind_int64(stmt, 2, q->until_s);

    bad |= sqlite3_bind_int64(stmt, 3, goes_on ? q->after_happened_s : q->since_s);
    bad |= sqlite3_bind_int64(stmt, 4, goes_on ? q->after_seq : 0);
    bad |= sqlite3_bind_int64(stmt, 5, (int64_t)q->limit);
    for (size_t i = 0; i < q->n_parts; i++) {
        bad |= bind_part(stmt, FIRST_OF_PARTS + OF_A_PART * (int)i, &q->part[i]);
    }
    return bad;
}

static int read_row(struct journal *j, sqlite3_stmt *stmt, struct journal_row *out, struct err *e)
{
    out->voided = sqlite3_column_int(stmt, ROWS_N) != 0;
    return read_entry(j, stmt, &out->entry, e);
}

/* A SELECT a part: of two in one SQLite sorts all that these have, for each page. */
#define LISTED_WHERE(of)                                                                           \
    "SELECT " ROWS_COLUMNS VOIDED_COLUMN " FROM entry WHERE" of " happened_s < ?2 AND"
#define LISTED(of) BEHIND(LISTED_WHERE(of), "?3", "?4")

static void add_selects(const struct journal_query *q, struct text *sql)
{
    if (q->n_parts == 0) {
        text_add(sql, LISTED(""));
    }
    for (size_t i = 0; i < q->n_parts; i++) {
        int at = FIRST_OF_PARTS + OF_A_PART * (int)i;
        struct text of = {0};

        /* The pluses keep SQLite from going to the first row by these: it goes by the page. */
        text_add(&of,
                 " subject = ?%d AND (+happened_s, +seq) >= (?%d, ?%d) AND"
                 " (+happened_s, +seq) <= (?%d, ?%d) AND",
                 at, at + 1, at + 2, at + 3, at + 4);
        text_add(sql, i ? " UNION ALL " : "");
        text_add(sql, BEHIND(LISTED_WHERE("%s"), "?3", "?4"), text_str(&of), text_str(&of));
        text_deinit(&of);
    }
}

int journal_list(struct journal *j, const struct journal_query *q, struct journal_row **out,
                 size_t *out_n, struct err *e)
{
    const char *order = q->newest_first ? "happened_s DESC, seq DESC" : "happened_s, seq";
    struct journal_row *row = NULL;
    sqlite3_stmt *stmt = NULL;
    struct text sql = {0};
    size_t n = 0;
    size_t cap = 0;
    int rc;

    add_selects(q, &sql);
    text_add(&sql, " ORDER BY %s LIMIT ?5", order);
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
    struct chain_run run;
    int rc = sql_prepare(j->db, "SELECT " ROWS_COLUMNS VOIDED_COLUMN " FROM entry WHERE seq = ?",
                         &stmt, e);

    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, seq) == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);
    }
    if (rc == 0 && chain_thinned(j->db, seq, &run, NULL) == 1) {
        rc = err_set(e, ERR_UNKNOWN,
                     "entry %lld was a sensor's reading, and is thinned: the first of its hour "
                     "stands for it",
                     (long long)seq);
    } else if (rc == 0) {
        rc = err_set(e, ERR_UNKNOWN, "there is no entry %lld", (long long)seq);
    } else if (rc == 1) {
        rc = read_row(j, stmt, out, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}
