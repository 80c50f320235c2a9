#include "daemon/store/journal.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal_open.h"
#include "daemon/store/rows.h"
#include "daemon/store/schema.h"
#include "daemon/store/sql.h"

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define PATH_LEN 4096

enum statement {
    STMT_BEGIN,
    STMT_COMMIT,
    STMT_ENTRY,
    STMT_AMOUNT,
    STMT_KEY,
    STMT_FIND_KEY,
    STMT_AMOUNTS_OF,
    STMT_TASK,
    STMT_TASK_CLEAR,
    STMT_TASK_JOB,
    STMT_TASK_END,
    STMT_DAY,
    STMT_N
};

static const char *const statement_sql[STMT_N] = {
    [STMT_BEGIN] = "BEGIN IMMEDIATE",
    [STMT_COMMIT] = "COMMIT",
    [STMT_ENTRY] = "INSERT INTO entry (" ROWS_COLUMNS ") VALUES (" ROWS_PLACES ")",
    [STMT_AMOUNT] = "INSERT INTO amount (entry, place, product, amount) VALUES (?, ?, ?, ?)",
    [STMT_KEY] = "INSERT INTO client_key (key, first_seq, last_seq) VALUES (?1, ?2, ?2)"
                 " ON CONFLICT (key) DO UPDATE SET last_seq = ?2",
    [STMT_FIND_KEY] = "SELECT first_seq, last_seq FROM client_key WHERE key = ?",
    [STMT_AMOUNTS_OF] = "SELECT product, amount FROM amount WHERE entry = ? ORDER BY place",
    [STMT_TASK] = "INSERT INTO task (id, kind, care, earliest, due, latest, planned)"
                  " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) ON CONFLICT (id) DO UPDATE SET"
                  " earliest = ?4, due = ?5, latest = ?6, planned = ?7",
    [STMT_TASK_CLEAR] = "DELETE FROM task_job WHERE task = ?",
    [STMT_TASK_JOB] = "INSERT INTO task_job (task, subject, cycle) VALUES (?, ?, ?)",
    [STMT_TASK_END] = "UPDATE task SET outcome = ?2, reason = ?3 WHERE id = ?1",
    [STMT_DAY] = "INSERT INTO day_started (one, day) VALUES (1, ?1)"
                 " ON CONFLICT (one) DO UPDATE SET day = ?1",
};

struct journal {
    sqlite3 *db;
    sqlite3_stmt *stmt[STMT_N];
    int lock_fd;
    int64_t last_seq;
    int64_t latest_told_s;
    int32_t day_started;
    bool broken; /* a write failed: what the file holds is not known */
};

/* Makes a directory's new name durable. */
static int sync_dir(const char *path, struct err *e)
{
    int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    int rc = 0;

    if (fd < 0 || fsync(fd) < 0) {
        rc = err_set(e, -errno, "cannot sync the folder %s: %s", path, strerror(errno));
    }
    if (fd >= 0) {
        (void)close(fd);
    }
    return rc;
}

static int make_dir(const char *dir, struct err *e)
{
    char parent[PATH_LEN];

    if (mkdir(dir, 0700) < 0) {
        return errno == EEXIST ? 0
                               : err_set(e, -errno, "cannot make the state folder %s: %s", dir,
                                         strerror(errno));
    }
    (void)snprintf(parent, sizeof parent, "%s/..", dir);
    return sync_dir(parent, e);
}

static int take_lock(struct journal *j, const char *dir, struct err *e)
{
    char path[PATH_LEN];

    (void)snprintf(path, sizeof path, "%s/lock", dir);
    j->lock_fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (j->lock_fd < 0) {
        return err_set(e, -errno, "cannot open %s: %s", path, strerror(errno));
    }
    if (flock(j->lock_fd, LOCK_EX | LOCK_NB) < 0) {
        return errno == EWOULDBLOCK
                   ? err_set(e, ERR_BUSY, "another tarnd looks after %s already", dir)
                   : err_set(e, -errno, "cannot lock %s: %s", path, strerror(errno));
    }
    return 0;
}

/* SQLite takes an empty file for a new database, and a log for that of whatever file lies beside it: what
 * lost its contents, or itself, must not pass as new. */
static int refuse_what_was_lost(const char *path, struct err *e)
{
    char log[PATH_LEN + 8];
    struct stat st;

    if (stat(path, &st) == 0) {
        return st.st_size > 0
                   ? 0
                   : err_set(e, ERR_STORE, "%s is empty, and a journal never is; restore a backup",
                             path);
    }
    (void)snprintf(log, sizeof log, "%s-wal", path);
    if (errno == ENOENT && stat(log, &st) == 0) {
        return err_set(e, ERR_STORE,
                       "%s: its log is there, and the journal itself is gone; put it back, or "
                       "move %s away to begin a new one",
                       path, log);
    }
    return 0;
}

struct setting {
    const char *set;
    const char *ask;
    const char *want;
};

/* Exclusive before WAL: then no second connection can ever write or checkpoint, which keeps clear
 * of the WAL-reset fault of SQLite before 3.51.3. Every setting is read back. */
static const struct setting settings[] = {
    {"PRAGMA locking_mode=EXCLUSIVE", "PRAGMA locking_mode",       "exclusive"},
    {"PRAGMA journal_mode=WAL",       "PRAGMA journal_mode",       "wal"      },
    {"PRAGMA synchronous=FULL",       "PRAGMA synchronous",        "2"        },
    {"PRAGMA foreign_keys=ON",        "PRAGMA foreign_keys",       "1"        },
    {"PRAGMA trusted_schema=OFF",     "PRAGMA trusted_schema",     "0"        },
    {"PRAGMA cell_size_check=ON",     "PRAGMA cell_size_check",    "1"        },
    {"PRAGMA wal_autocheckpoint=256", "PRAGMA wal_autocheckpoint", "256"      },
};

static int apply_settings(sqlite3 *db, struct err *e)
{
    char got[32];

    for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
        int rc = sql_run(db, settings[i].set, e);

        got[0] = '\0';
        if (rc == 0) {
            rc = sql_text(db, settings[i].ask, got, sizeof got, e);
        }
        if (rc < 0) {
            return rc;
        }
        if (strcmp(got, settings[i].want) != 0) {
            return err_set(e, ERR_STORE, "'%s' was not taken: it is %s", settings[i].set, got);
        }
    }
    return 0;
}

static int check_sound(sqlite3 *db, struct err *e)
{
    char said[160] = "";
    int rc = sql_text(db, "PRAGMA quick_check(1)", said, sizeof said, e);

    if (rc == 0 && strcmp(said, "ok") != 0) {
        rc = err_set(e, ERR_STORE, "the journal is damaged (%s); restore a backup", said);
    }
    return rc;
}

static int read_counters(struct journal *j, struct err *e)
{
    int64_t day = DAY_NONE;
    int rc = sql_int(j->db, "SELECT coalesce(max(seq), 0) FROM entry", &j->last_seq, e);

    if (rc == 0) {
        rc = sql_int(j->db, "SELECT coalesce(max(told_s), 0) FROM entry", &j->latest_told_s, e);
    }
    if (rc == 0) {
        rc = sql_int(j->db, "SELECT coalesce(max(day), -2147483648) FROM day_started", &day, e);
    }
    j->day_started = (int32_t)day;
    return rc;
}

/* Nothing tells that a disk takes writes but a write. */
int journal_probe(struct journal *j, struct err *e)
{
    int64_t version = 0;
    char sql[64];
    int rc = sql_int(j->db, "PRAGMA user_version", &version, e);

    (void)snprintf(sql, sizeof sql, "PRAGMA user_version=%lld", (long long)version);
    return rc < 0 ? rc : sql_run(j->db, sql, e);
}

static int prepare_all(struct journal *j, struct err *e)
{
    int rc = 0;

    for (int i = 0; i < STMT_N && rc == 0; i++) {
        rc = sql_prepare(j->db, statement_sql[i], &j->stmt[i], e);
    }
    return rc;
}

static int open_file(const char *path, const char *vfs, sqlite3 **out, struct err *e)
{
    int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOFOLLOW |
                SQLITE_OPEN_URI | SQLITE_OPEN_PRIVATECACHE;
    char uri[PATH_LEN + 32];

    (void)snprintf(uri, sizeof uri, "file:%s?psow=0", path);
    if (sqlite3_open_v2(uri, out, flags, vfs) != SQLITE_OK) {
        return sql_fail(*out, e);
    }
    (void)sqlite3_extended_result_codes(*out, 1);
    return sqlite3_db_config(*out, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL) == SQLITE_OK
               ? 0
               : sql_fail(*out, e);
}

/* A journal gets its name when it is whole: a first start that fails half-way leaves none behind, which
 * would look like one that was lost. */
static int create_database(const char *dir, const char *path, const char *vfs, struct err *e)
{
    static const char *const left_over[] = {".new", ".new-journal"};
    char unnamed[PATH_LEN + 16];
    sqlite3 *db = NULL;
    int rc;

    for (size_t i = 0; i < sizeof left_over / sizeof *left_over; i++) {
        (void)snprintf(unnamed, sizeof unnamed, "%s%s", path, left_over[i]);
        if (unlink(unnamed) < 0 && errno != ENOENT) {
            return err_set(e, -errno, "cannot remove %s: %s", unnamed, strerror(errno));
        }
    }
    (void)snprintf(unnamed, sizeof unnamed, "%s.new", path);
    rc = open_file(unnamed, vfs, &db, e);
    if (rc == 0) {
        rc = schema_migrate(db, e);
    }
    (void)sqlite3_close(db);
    if (rc == 0 && rename(unnamed, path) < 0) {
        rc = err_set(e, -errno, "cannot rename %s: %s", unnamed, strerror(errno));
    }
    return rc < 0 ? rc : sync_dir(dir, e);
}

static int open_database(struct journal *j, const char *dir, const char *path, const char *vfs,
                         struct err *e)
{
    int rc = access(path, F_OK) < 0 && errno == ENOENT ? create_database(dir, path, vfs, e) : 0;

    if (rc == 0) {
        rc = open_file(path, vfs, &j->db, e);
    }
    if (rc == 0) {
        rc = apply_settings(j->db, e);
    }
    if (rc == 0) {
        rc = check_sound(j->db, e);
    }
    if (rc == 0) {
        rc = schema_migrate(j->db, e);
    }
    if (rc == 0) {
        rc = prepare_all(j, e);
    }
    if (rc == 0) {
        rc = journal_probe(j, e);
        rc = rc == ERR_FULL ? 0 : rc; /* what is there can be read */
    }
    return rc < 0 ? rc : read_counters(j, e);
}

int journal_open_with(const char *dir, const char *vfs, struct journal **out, struct err *e)
{
    struct journal *j = mem_array(1, sizeof *j);
    char path[PATH_LEN];
    int rc = 0;

    j->lock_fd = -1;
    if (strlen(dir) + sizeof "/tarn.db" > PATH_LEN - 16 || strpbrk(dir, "?#%")) {
        rc = err_set(e, ERR_RANGE,
                     "'%.60s…' does not serve as a state folder: too long, or with "
                     "one of ? # %% in it",
                     dir);
    }
    if (rc == 0) {
        rc = make_dir(dir, e);
    }
    if (rc == 0) {
        rc = take_lock(j, dir, e);
    }
    (void)snprintf(path, sizeof path, "%s/tarn.db", dir);
    if (rc == 0) {
        rc = refuse_what_was_lost(path, e);
    }
    if (rc == 0) {
        rc = open_database(j, dir, path, vfs, e);
        if (rc < 0) {
            (void)err_prefix(e, "%.200s: ", path);
        }
    }
    if (rc < 0) {
        journal_close(j);
        return rc;
    }
    *out = j;
    return 0;
}

int journal_open(const char *dir, struct journal **out, struct err *e)
{
    return journal_open_with(dir, NULL, out, e);
}

void journal_close(struct journal *j)
{
    if (!j) {
        return;
    }
    for (int i = 0; i < STMT_N; i++) {
        (void)sqlite3_finalize(j->stmt[i]);
    }
    (void)sqlite3_close(j->db);
    if (j->lock_fd >= 0) {
        (void)close(j->lock_fd);
    }
    free(j);
}

/* Steps a statement that gives no row, and makes it ready again. */
static int run(struct journal *j, enum statement which, int bound, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[which];
    int rc = bound == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);

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
        rc = run(j, STMT_AMOUNT, bad, err);
    }
    return rc;
}

static int write_key(struct journal *j, const struct entry *e, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_KEY];
    int bad;

    if (!*e->key) {
        return 0;
    }
    bad = sqlite3_bind_text(stmt, 1, e->key, -1, SQLITE_STATIC);
    bad |= sqlite3_bind_int64(stmt, 2, e->seq);
    return run(j, STMT_KEY, bad, err);
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
        if (e->seq != next) {
            return err_set(err, ERR_STORE, "entry %lld comes where %lld is due", (long long)e->seq,
                           (long long)next);
        }
        next++;
        rc = run(j, STMT_ENTRY, rows_bind(j->stmt[STMT_ENTRY], e), err);
        if (rc == 0) {
            rc = write_amounts(j, e, err);
        }
        if (rc == 0) {
            rc = write_key(j, e, err);
        }
    }
    return rc;
}

static int write_task_jobs(struct journal *j, const struct room *room, const struct task *t,
                           struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK_JOB];
    int rc = run(j, STMT_TASK_CLEAR, sqlite3_bind_int64(j->stmt[STMT_TASK_CLEAR], 1, t->id), err);

    for (size_t i = 0; i < t->n_jobs && rc == 0; i++) {
        int bad = sqlite3_bind_int64(stmt, 1, t->id);

        bad |= sqlite3_bind_text(stmt, 2, room_subject_name(room, t->job[i].subject), -1,
                                 SQLITE_STATIC);
        bad |= sqlite3_bind_int(stmt, 3, t->job[i].cycle);
        rc = run(j, STMT_TASK_JOB, bad, err);
    }
    return rc;
}

static int write_tasks(struct journal *j, const struct journal_batch *b, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK];
    int rc = 0;

    for (size_t i = 0; i < b->n_tasks && rc == 0; i++) {
        const struct task *t = &b->task[i];
        int bad = sqlite3_bind_int64(stmt, 1, t->id);

        bad |= sqlite3_bind_text(stmt, 2, task_words[t->kind], -1, SQLITE_STATIC);
        bad |= sqlite3_bind_int(stmt, 3, (int)t->care);
        bad |= sqlite3_bind_int(stmt, 4, t->earliest);
        bad |= sqlite3_bind_int(stmt, 5, t->due);
        bad |= sqlite3_bind_int(stmt, 6, t->latest);
        bad |= sqlite3_bind_int(stmt, 7, t->on);
        rc = run(j, STMT_TASK, bad, err);
        if (rc == 0) {
            rc = write_task_jobs(j, b->room, t, err);
        }
    }
    return rc;
}

static int write_ends(struct journal *j, const struct journal_batch *b, struct err *err)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK_END];
    int rc = 0;

    for (size_t i = 0; i < b->n_ends && rc == 0; i++) {
        const struct task_end *end = &b->end[i];
        int bad = sqlite3_bind_int64(stmt, 1, end->id);

        bad |= sqlite3_bind_text(stmt, 2, outcome_words[end->outcome], -1, SQLITE_STATIC);
        bad |= sqlite3_bind_text(stmt, 3, end->reason, -1, SQLITE_STATIC);
        rc = run(j, STMT_TASK_END, bad, err);
    }
    return rc;
}

int journal_write(struct journal *j, struct journal_batch *b, struct err *e)
{
    int rc;

    if (j->broken) {
        return err_set(e, ERR_STORE, "the journal failed before; tarnd has to be started again");
    }
    rc = run(j, STMT_BEGIN, SQLITE_OK, e);
    if (rc == 0) {
        rc = write_entries(j, b, e);
    }
    if (rc == 0) {
        rc = write_tasks(j, b, e);
    }
    if (rc == 0) {
        rc = write_ends(j, b, e);
    }
    if (rc == 0 && b->day_started != DAY_NONE) {
        rc = run(j, STMT_DAY, sqlite3_bind_int(j->stmt[STMT_DAY], 1, b->day_started), e);
    }
    if (rc == 0) {
        rc = run(j, STMT_COMMIT, SQLITE_OK, e);
    }
    if (rc < 0) {
        /* A full disk shows before a commit counts; SQLite has often rolled back by then. */
        (void)sql_run(j->db, "ROLLBACK", NULL);
        j->broken = rc != ERR_FULL || !sqlite3_get_autocommit(j->db);
        return rc;
    }
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
    return 0;
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

static int read_amounts(struct journal *j, struct entry *out, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_AMOUNTS_OF];
    size_t n = 0;
    int rc;

    if (out->n_amounts == 0) {
        return 0;
    }
    rc = sqlite3_bind_int64(stmt, 1, out->seq) == SQLITE_OK ? 1 : sql_fail(j->db, e);
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1 && n < ROOM_DOSES_MAX) {
        sql_copy_text(stmt, 0, out->amount[n].product, sizeof out->amount[n].product);
        out->amount[n++].amount = sqlite3_column_double(stmt, 1);
    }
    out->n_amounts = n;
    (void)sqlite3_reset(stmt);
    return rc < 0 ? rc : 0;
}

int journal_fold(struct journal *j, bool (*fn)(void *ctx, const struct entry *e), void *ctx,
                 struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    struct entry entry = {0};
    int rc = sql_prepare(j->db,
                         "SELECT " ROWS_COLUMNS " FROM entry WHERE voids IS NULL AND seq NOT IN"
                         " (SELECT voids FROM entry WHERE voids IS NOT NULL)"
                         " ORDER BY happened_s, seq",
                         &stmt, e);

    if (rc == 0) {
        rc = 1;
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad = rows_read(stmt, &entry, e);

        if (bad == 0) {
            bad = read_amounts(j, &entry, e);
        }
        if (bad < 0) {
            rc = bad;
        } else if (!fn(ctx, &entry)) {
            rc = 0;
        }
    }
    (void)sqlite3_finalize(stmt);
    return rc < 0 ? rc : 0;
}

static int bind_query(sqlite3_stmt *stmt, const struct journal_query *q)
{
    int bad = sqlite3_bind_int64(stmt, 1, q->since_s);

    bad |= sqlite3_bind_int64(stmt, 2, q->until_s);
    bad |= sqlite3_bind_int64(stmt, 3, q->after_seq ? q->after_happened_s : INT64_MIN);
    bad |= sqlite3_bind_int64(stmt, 4, q->after_seq);
    bad |= sqlite3_bind_int64(stmt, 5, (int64_t)q->limit);
    if (q->of) {
        bad |= sqlite3_bind_text(stmt, 6, q->of, -1, SQLITE_STATIC);
    }
    return bad;
}

#define VOIDED_COLUMN ", EXISTS (SELECT 1 FROM entry AS v WHERE v.voids = entry.seq)"

int journal_list(struct journal *j, const struct journal_query *q, struct journal_row **out,
                 size_t *out_n, struct err *e)
{
    const char *of = q->of ? " AND subject = ?6" : "";
    const char *order = q->newest_first ? "happened_s DESC, seq DESC" : "happened_s, seq";
    struct journal_row *row = NULL;
    sqlite3_stmt *stmt = NULL;
    char sql[1024];
    size_t n = 0;
    size_t cap = 0;
    int rc;

    (void)snprintf(sql, sizeof sql,
                   "SELECT " ROWS_COLUMNS VOIDED_COLUMN " FROM entry WHERE happened_s >= ?1 AND"
                   " happened_s < ?2 AND (happened_s, seq) > (?3, ?4)%s ORDER BY %s LIMIT ?5",
                   of, order);
    rc = sql_prepare(j->db, sql, &stmt, e);
    if (rc == 0) {
        rc = bind_query(stmt, q) == SQLITE_OK ? 1 : sql_fail(j->db, e);
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        int bad;

        row = mem_grow(row, &cap, n + 1, sizeof *row);
        memset(&row[n], 0, sizeof row[n]);
        bad = rows_read(stmt, &row[n].entry, e);
        row[n].voided = sqlite3_column_int(stmt, ROWS_N_COLUMNS) != 0;
        if (bad == 0) {
            bad = read_amounts(j, &row[n].entry, e);
        }
        rc = bad < 0 ? bad : 1;
        n++;
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

    memset(out, 0, sizeof *out);
    if (rc == 0) {
        rc = sqlite3_bind_int64(stmt, 1, seq) == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);
    }
    if (rc == 0) {
        rc = err_set(e, ERR_UNKNOWN, "there is no entry %lld", (long long)seq);
    } else if (rc == 1) {
        rc = rows_read(stmt, &out->entry, e);
        out->voided = sqlite3_column_int(stmt, ROWS_N_COLUMNS) != 0;
        if (rc == 0) {
            rc = read_amounts(j, &out->entry, e);
        }
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

static int find_task_kind(const char *word)
{
    for (int k = 0; k < TASK_KIND_N; k++) {
        if (strcmp(task_words[k], word) == 0) {
            return k;
        }
    }
    return -1;
}

/* A row of task joined with one of its jobs. Jobs of things that the room no longer has are left
 * out. */
static void take_task_row(sqlite3_stmt *stmt, const struct room *room, struct agenda *a)
{
    int64_t id = sqlite3_column_int64(stmt, 0);
    struct task *t = a->n ? &a->task[a->n - 1] : NULL;
    char word[32];
    char subject[NAME_LEN_MAX + 1];
    struct job j = {0};
    int kind;

    sql_copy_text(stmt, 1, word, sizeof word);
    kind = find_task_kind(word);
    if (kind < 0) {
        return;
    }
    if (!t || t->id != id) {
        a->task = mem_grow(a->task, &a->cap, a->n + 1, sizeof *a->task);
        t = &a->task[a->n++];
        *t = (struct task){.id = id,
                           .kind = (enum task_kind)kind,
                           .care = (enum care_kind)sqlite3_column_int(stmt, 2),
                           .earliest = sqlite3_column_int(stmt, 3),
                           .due = sqlite3_column_int(stmt, 4),
                           .latest = sqlite3_column_int(stmt, 5),
                           .on = sqlite3_column_int(stmt, 6)};
    }
    sql_copy_text(stmt, 7, subject, sizeof subject);
    j = (struct job){.kind = t->kind,
                     .care = t->care,
                     .subject = room_find(room, subject),
                     .cycle = sqlite3_column_int(stmt, 8),
                     .earliest = t->earliest,
                     .due = t->due,
                     .latest = t->latest};
    if (j.subject.kind == SUBJECT_NONE) {
        return;
    }
    task_add_job(t, &j);
}

int journal_load_agenda(struct journal *j, const struct room *room, struct agenda *out,
                        struct err *e)
{
    struct agenda a = {.next_id = 1};
    sqlite3_stmt *stmt = NULL;
    int64_t newest = 0;
    int rc = sql_int(j->db, "SELECT coalesce(max(id), 0) FROM task", &newest, e);

    if (rc == 0) {
        rc = sql_prepare(j->db,
                         "SELECT id, kind, care, earliest, due, latest, planned, subject, cycle"
                         " FROM task JOIN task_job ON task_job.task = task.id"
                         " WHERE outcome IS NULL ORDER BY id, subject",
                         &stmt, e);
    }
    if (rc == 0) {
        rc = 1;
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        take_task_row(stmt, room, &a);
    }
    (void)sqlite3_finalize(stmt);
    if (rc < 0) {
        agenda_deinit(&a);
        return rc;
    }
    a.next_id = newest + 1;
    *out = a;
    return 0;
}

int64_t journal_last_seq(const struct journal *j)
{
    return j->last_seq;
}

int64_t journal_latest_told_s(const struct journal *j)
{
    return j->latest_told_s;
}

int32_t journal_day_started(const struct journal *j)
{
    return j->day_started;
}

int journal_backup(struct journal *j, const char *path, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc;

    if (access(path, F_OK) == 0) {
        return err_set(e, ERR_REFUSED, "%s is there already; a backup never overwrites", path);
    }
    rc = sql_prepare(j->db, "VACUUM INTO ?", &stmt, e);
    if (rc == 0) {
        rc = sqlite3_bind_text(stmt, 1, path, -1, SQLITE_STATIC) == SQLITE_OK ? sql_step(stmt, e)
                                                                              : sql_fail(j->db, e);
    }
    (void)sqlite3_finalize(stmt);
    return rc < 0 ? rc : 0;
}

int journal_checkpoint(struct journal *j, struct err *e)
{
    return sql_run(j->db, "PRAGMA wal_checkpoint(TRUNCATE)", e);
}
