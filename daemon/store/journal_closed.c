/* What belongs together: the entries of one telling, and of one task. */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

#include <stdlib.h>
#include <string.h>

static int find_outcome(const char *word)
{
    for (int o = 0; outcome_words[o]; o++) {
        if (strcmp(outcome_words[o], word) == 0) {
            return o;
        }
    }
    return -1;
}

/* 1 = there is such a task. */
static int read_end(struct journal *j, struct journal_task *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    char word[16] = "";
    int rc = sql_prepare(
        j->db, "SELECT coalesce(outcome, ''), coalesce(reason, '') FROM task WHERE id = ?", &stmt,
        e);

    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, out->end.id) == SQLITE_OK ? sql_step(stmt, e)
                                                                   : sql_fail(j->db, e);
    }
    if (rc == 1) {
        sql_copy_text(stmt, 0, word, sizeof word);
        sql_copy_text(stmt, 1, out->end.reason, sizeof out->end.reason);
        out->open = find_outcome(word) < 0;
        out->end.outcome = out->open ? OUTCOME_N : (enum outcome)find_outcome(word);
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

int journal_task(struct journal *j, int64_t id, struct journal_task *out, struct journal_row **rows,
                 size_t *n_rows, struct err *e)
{
    struct journal_row *row = NULL;
    sqlite3_stmt *stmt = NULL;
    size_t cap = 0;
    size_t n = 0;
    int there;
    int rc;

    *out = (struct journal_task){.end.id = id};
    there = read_end(j, out, e);
    rc = there < 0
             ? there
             : sql_prepare(j->db, "SELECT seq FROM entry WHERE task = ? ORDER BY seq", &stmt, e);
    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, id) == SQLITE_OK ? 1 : sql_fail(j->db, e);
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad;

        row = mem_grow(row, &cap, n + 1, sizeof *row);
        bad = journal_get(j, sqlite3_column_int64(stmt, 0), &row[n++], e);
        rc = bad < 0 ? bad : 1;
    }
    (void)sqlite3_finalize(stmt);
    if (rc < 0) {
        free(row);
        return rc;
    }
    *rows = row;
    *n_rows = n;
    return there;
}

int journal_told_with(struct journal *j, int64_t seq, int64_t *out_first, int64_t *out_last,
                      struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(j->db,
                         "SELECT first_seq, last_seq FROM client_key WHERE first_seq <= ?1"
                         " ORDER BY first_seq DESC LIMIT 1",
                         &stmt, e);

    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, seq) == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);
    }
    if (rc == 1) {
        *out_first = sqlite3_column_int64(stmt, 0);
        *out_last = sqlite3_column_int64(stmt, 1);
        rc = *out_last >= seq; /* those of two keys never lie among each other */
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}
