/* Is the journal the one that was left, and all that was acknowledged in it? */
#include "daemon/base/err.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

#include <stdio.h>
#include <string.h>

/* Chosen by us: what a year of a small room brings is looked at whole at each start (about 20 ms
 * and 0.1 s), and a longer journal's end only; the rest of it while nothing else is to do. */
#define TAIL_ENTRIES 4096
#define WHOLE_BYTES  (32LL << 20)

#define REMEDY "; restore a backup, or see tarnd --recover"

static int damaged(struct err *e, const char *what)
{
    return err_set(e, ERR_STORE, "the journal is damaged (%s)" REMEDY, what);
}

int journal_check_file(sqlite3 *db, bool whole, struct err *e)
{
    char said[160] = "";
    int64_t bytes = 0;
    int rc = sql_int(db, "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size",
                     &bytes, e);

    if (rc == 0 && (whole || bytes <= WHOLE_BYTES)) {
        rc = sql_text(db, "PRAGMA integrity_check(1)", said, sizeof said, e);
        rc = rc == 0 && strcmp(said, "ok") != 0 ? damaged(e, said) : rc;
    }
    return rc;
}

static bool same_journal(const struct standing *a, const struct standing *b)
{
    return memcmp(a->id, b->id, sizeof a->id) == 0;
}

static bool same_place(const struct standing *a, const struct standing *b)
{
    return a->entries == b->entries && memcmp(&a->last, &b->last, sizeof a->last) == 0 &&
           a->tasks == b->tasks && a->keys == b->keys && a->last_task == b->last_task &&
           a->day_started == b->day_started;
}

/* What was acknowledged last, and is not there. */
static int behind(const struct standing *now, const struct standing *head, struct err *e)
{
    if (now->entries < head->entries) {
        return err_set(e, ERR_STORE,
                       "%lld entries that were told are not there: the journal ends at entry %lld, "
                       "and %lld was the last. It is an older copy, or its log (-wal) was lost, "
                       "cut or damaged" REMEDY,
                       (long long)(head->entries - now->entries), (long long)now->entries,
                       (long long)head->entries);
    }
    return err_set(e, ERR_STORE,
                   "the last changes of its tasks are not there: it is an older copy, or its log "
                   "(-wal) was lost, cut or damaged" REMEDY);
}

/* The journal has come at least as far as the head says there: is it the same up to it? */
static int check_place(struct journal *j, const struct standing *head, struct err *e)
{
    const struct standing *now = &j->standing;
    struct chain_run run;
    struct seal at;
    int rc;

    if (now->written == head->written) {
        return same_place(now, head) ? 0
                                     : damaged(e, "it is not what its head record (-head) says");
    }
    rc = chain_thinned(j->db, head->entries, &run, e);
    if (rc != 0) { /* an old head: its last entry was thinned since */
        return rc < 0 ? rc : 0;
    }
    rc = chain_seal_at(j->db, head->entries, &at, e);
    if (rc == 0 && memcmp(&at, &head->last, sizeof at) != 0) {
        rc = damaged(e, "it is not what its head record (-head) says");
    }
    return rc;
}

int journal_check_head(struct journal *j, const struct head_says *head, struct err *e)
{
    const struct standing *now = &j->standing;

    if (!same_journal(now, &head->sure) || !same_journal(now, &head->meant)) {
        return err_set(e, ERR_STORE,
                       "the journal, its log (-wal) or its head record (-head) is that of another "
                       "room, or from before a recovery: put back the files that belong "
                       "together" REMEDY);
    }
    if (now->written < head->sure.written || now->entries < head->sure.entries) {
        return behind(now, &head->sure, e);
    }
    if (now->written >= head->meant.written) {
        return check_place(j, &head->meant, e);
    }
    j->left_off = head->meant.entries > now->entries ? head->meant.entries : 0;
    return check_place(j, &head->sure, e);
}

struct expected {
    const char *sql;
    int64_t want;
    const char *what;
};

/* What stands in the tables beside what the standing says of them. */
static int check_counters(struct journal *j, struct err *e)
{
    const struct standing *s = &j->standing;
    /* clang-format off */
    const struct expected all[] = {
        {"PRAGMA user_version", s->version, "it says that it is of another version than it is"},
        {"SELECT coalesce(max(seq), 0) FROM entry", s->entries, "its last entry is another"},
        {"SELECT coalesce(max(id), 0) FROM task", s->last_task, "its last task is another"},
        {"SELECT coalesce(max(day), -2147483648) FROM day_started", s->day_started,
         "the day whose list was made is another"},
    };
    /* clang-format on */
    int rc = 0;

    for (size_t i = 0; i < sizeof all / sizeof *all && rc == 0; i++) {
        int64_t got = 0;

        rc = sql_int(j->db, all[i].sql, &got, e);
        if (rc == 0 && got != all[i].want) {
            rc = damaged(e, all[i].what);
        }
    }
    return rc;
}

static int check_sum(struct journal *j, int (*sum)(sqlite3 *db, uint64_t *out, struct err *e),
                     uint64_t want, const char *what, struct err *e)
{
    uint64_t got = 0;
    int rc = sum(j->db, &got, e);

    return rc == 0 && got != want ? damaged(e, what) : rc;
}

/* Rows of a range that are not to be found by an index: the fold and the listings go by them. Rows
 * are read from the table, and looked for in nothing but that index. */
#define MISSED(where, by)                                                                          \
    "SELECT count(*) FROM entry AS a NOT INDEXED WHERE a.seq BETWEEN ?1 AND ?2 AND " where         \
    " NOT EXISTS (SELECT 1 FROM entry AS b INDEXED BY " by ")"
static const char *const missed[] = {
    MISSED("", "entry_in_order WHERE b.happened_s = a.happened_s AND b.seq = a.seq"),
    MISSED("", "entry_of_subject WHERE b.subject = a.subject AND b.happened_s = a.happened_s AND"
               " b.seq = a.seq"),
    MISSED("a.voids IS NOT NULL AND", "sqlite_autoindex_entry_1 WHERE b.voids = a.voids"),
    MISSED("a.task IS NOT NULL AND",
           "entry_of_task WHERE b.task IS NOT NULL AND b.task = a.task AND b.seq = a.seq"),
};

static int check_indexes(struct journal *j, int64_t first, int64_t last, struct err *e)
{
    int rc = 0;

    for (size_t i = 0; i < sizeof missed / sizeof *missed && rc == 0; i++) {
        sqlite3_stmt *stmt = NULL;

        rc = sql_prepare(j->db, missed[i], &stmt, e);
        if (rc == 0) {
            (void)sqlite3_bind_int64(stmt, 1, first);
            (void)sqlite3_bind_int64(stmt, 2, last);
            rc = sql_step(stmt, e);
            rc = rc == 1 && sqlite3_column_int64(stmt, 0) > 0
                     ? damaged(e, "an entry is not found by its index")
                     : (rc < 0 ? rc : 0);
        }
        (void)sqlite3_finalize(stmt);
    }
    return rc;
}

/* *last moves as chain_check says. */
static int check_entries(struct journal *j, int64_t first, int64_t *last, struct seal *at,
                         struct err *e)
{
    int rc = chain_check(j->db, first, last, at, e);

    if (rc == ERR_STORE) {
        char what[160];

        (void)snprintf(what, sizeof what, "%.150s", e->msg);
        rc = damaged(e, what);
    }
    return rc < 0 ? rc : check_indexes(j, first, *last, e);
}

/* The last of the chain has to be what the standing says. */
static int check_end(struct journal *j, const struct seal *at, struct err *e)
{
    return memcmp(at, &j->standing.last, sizeof *at) == 0
               ? 0
               : damaged(e, "its last entry is not what was told");
}

int journal_check_contents(struct journal *j, struct err *e)
{
    const struct standing *s = &j->standing;
    int64_t first = s->entries <= TAIL_ENTRIES ? 1 : s->entries - TAIL_ENTRIES + 1;
    int64_t last = s->entries;
    struct chain_run run;
    struct seal at;
    int rc = check_counters(j, e);

    rc = rc < 0 ? rc : check_sum(j, chain_sum_tables, s->tables, "its tables are others", e);
    rc = rc < 0 ? rc : check_sum(j, chain_sum_tasks, s->tasks, "an open task is another", e);
    if (rc == 0 && first == 1) {
        rc = check_sum(j, chain_sum_keys, s->keys, "a client's key is another", e);
    }
    rc = rc < 0 ? rc : chain_thinned(j->db, first - 1, &run, e);
    if (rc == 1) {
        first = run.last + 1;
        rc = 0;
    }
    rc = rc < 0 ? rc : chain_seal_at(j->db, first - 1, &at, e);
    rc = rc < 0 ? rc : check_entries(j, first, &last, &at, e);
    rc = rc < 0 ? rc : check_end(j, &at, e);
    if (rc == 0 && first == 1) {
        j->checked = s->entries;
        j->check_at = at;
    }
    return rc;
}

int journal_check_some(struct journal *j, int64_t n, bool *out_done, struct err *e)
{
    int64_t last = j->checked + n;
    int rc;

    last = last < j->standing.entries ? last : j->standing.entries;
    rc = check_entries(j, j->checked + 1, &last, &j->check_at, e);
    *out_done = rc < 0;
    if (rc == 0 && last >= j->standing.entries) {
        *out_done = true;
        rc = check_end(j, &j->check_at, e);
        rc = rc < 0
                 ? rc
                 : check_sum(j, chain_sum_keys, j->standing.keys, "a client's key is another", e);
    }
    j->checked = last;
    return rc;
}

bool journal_is_checked(const struct journal *j)
{
    return j->checked >= j->standing.entries;
}
