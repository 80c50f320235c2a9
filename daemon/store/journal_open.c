#include "daemon/store/journal_open.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/schema.h"
#include "daemon/store/sql.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define PATH_LEN     4096 /* PATH_MAX of Linux */
#define PATH_RESERVE 16   /* of it, for what SQLite and we put behind: "-head", ".new-journal" */

#define STATEMENT_SQL(name, sql) [STMT_##name] = (sql),
static const char *const statement_sql[STMT_N] = {JOURNAL_STATEMENTS(STATEMENT_SQL)};

/* Makes a new name in a folder durable: after a power cut a file may be there and its name not. */
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

/* 0700: who waters what, and who told it, is nobody else's business. */
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

/* A lock of the whole file by the kernel, which ends with the process however it ends; see 1. */
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

/* SQLite takes an empty file for a new database, and a log for that of whatever file lies beside
 * it: what lost its contents, or itself, must not pass as new; see 7. */
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
    if (stat(log, &st) == 0) {
        return err_set(e, ERR_STORE,
                       "%s: its log is there, and the journal itself is gone; put it back, or "
                       "move %s away to begin a new one",
                       path, log);
    }
    (void)snprintf(log, sizeof log, "%s" HEAD_NAME_TAIL, path);
    if (stat(log, &st) == 0) {
        return err_set(e, ERR_STORE,
                       "%s: its head record is there, and the journal itself is gone; put it back, "
                       "restore a backup, or move %s away to begin a new one",
                       path, log);
    }
    return 0;
}

struct setting {
    const char *set;
    const char *ask;
    const char *want;
};

/* Each is read back, since a pragma that SQLite does not take is no error to it (SQLite manual,
 * "Pragma statements"). Exclusive stands before WAL: then no second connection can ever write or
 * checkpoint, which keeps clear of the WAL-reset fault of SQLite before 3.51.3. FULL syncs the log
 * at each commit; NORMAL would lose the last ones in a power cut, as tests/fault shows. 256 pages
 * are 1 MiB: a longer log makes the next start slower and loses more to one bad sector. */
/* clang-format off */
static const struct setting settings[] = {
    {"PRAGMA locking_mode=EXCLUSIVE", "PRAGMA locking_mode",       "exclusive"},
    {"PRAGMA journal_mode=WAL",       "PRAGMA journal_mode",       "wal"},
    {"PRAGMA synchronous=FULL",       "PRAGMA synchronous",        "2"},
    {"PRAGMA foreign_keys=ON",        "PRAGMA foreign_keys",       "1"},
    {"PRAGMA trusted_schema=OFF",     "PRAGMA trusted_schema",     "0"},
    {"PRAGMA cell_size_check=ON",     "PRAGMA cell_size_check",    "1"},
    {"PRAGMA wal_autocheckpoint=256", "PRAGMA wal_autocheckpoint", "256"},
};
/* clang-format on */

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

/* Where tarn.db is, so that its being taken away shows; and what its standing does not say. */
static int read_counters(struct journal *j, struct err *e)
{
    struct stat st;

    if (stat(j->path, &st) < 0) {
        return err_set(e, -errno, "cannot look at %s: %s", j->path, strerror(errno));
    }
    j->dev = st.st_dev;
    j->ino = st.st_ino;
    /* A journal of a tarn that did not write it down; from the next entry on it is. */
    return j->standing.latest_told_s ? 0
                                     : sql_int(j->db, "SELECT coalesce(max(told_s), 0) FROM entry",
                                               &j->standing.latest_told_s, e);
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

/* psow=0: a power cut may also harm the bytes beside those that were being written, in their
 * sector. NOFOLLOW: a link put in place of the journal is refused. DEFENSIVE: SQL cannot write into
 * the file behind the tables' back. */
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

/* A first start that fails half-way leaves no tarn.db behind, which would look like one that was
 * lost; what it does leave has another name and goes at the next try. See 7. */
static int create_database(const char *dir, const char *path, const char *vfs, struct err *e)
{
    static const char *const left_over[] = {".new", ".new-journal"};
    char unnamed[PATH_LEN + 16];
    sqlite3 *db = NULL;
    mode_t before;
    bool sealed;
    int rc;

    for (size_t i = 0; i < sizeof left_over / sizeof *left_over; i++) {
        (void)snprintf(unnamed, sizeof unnamed, "%s%s", path, left_over[i]);
        if (unlink(unnamed) < 0 && errno != ENOENT) {
            return err_set(e, -errno, "cannot remove %s: %s", unnamed, strerror(errno));
        }
    }
    (void)snprintf(unnamed, sizeof unnamed, "%s.new", path);
    before = umask(0077); /* its log and its head record get its mode */
    rc = open_file(unnamed, vfs, &db, e);
    if (rc == 0) {
        rc = schema_migrate(db, &sealed, e);
    }
    (void)sqlite3_close(db);
    (void)umask(before);
    if (rc == 0 && rename(unnamed, path) < 0) {
        rc = err_set(e, -errno, "cannot rename %s: %s", unnamed, strerror(errno));
    }
    return rc < 0 ? rc : sync_dir(dir, e);
}

static bool is_there(const char *path, const char *tail, bool with_contents)
{
    char name[PATH_LEN + 16];
    struct stat st;

    (void)snprintf(name, sizeof name, "%s%s", path, tail);
    return stat(name, &st) == 0 && (!with_contents || st.st_size > 0);
}

/* The head record that is there. Without one only a journal that nothing was told yet is taken, or
 * one from before there were seals. */
static int open_head(struct journal *j, const char *vfs, struct head_says *out, bool *out_there,
                     struct err *e)
{
    char name[PATH_LEN + 16];
    int rc;

    *out_there = is_there(j->path, HEAD_NAME_TAIL, true);
    if (!*out_there) {
        return 0;
    }
    (void)snprintf(name, sizeof name, "%s" HEAD_NAME_TAIL, j->path);
    rc = head_open(name, vfs, &j->head, e);
    if (rc == 0 && !head_read(j->head, out)) {
        rc = err_set(e, ERR_STORE,
                     "its head record (-head) is damaged; restore a backup, or see tarnd "
                     "--recover");
    }
    return rc;
}

static int make_head(struct journal *j, const char *vfs, struct err *e)
{
    char name[PATH_LEN + 16];

    if (j->standing.written > 0) {
        return err_set(e, ERR_STORE,
                       "its head record (-head) is gone, which says what was told last; put it "
                       "back, restore a backup, or see tarnd --recover");
    }
    (void)snprintf(name, sizeof name, "%s" HEAD_NAME_TAIL, j->path);
    return head_create(name, vfs, &j->standing, &j->head, e);
}

/* From here on it is known to be ours, and may be written. */
static int check_and_seal(struct journal *j, const char *vfs, struct err *e)
{
    struct head_says head;
    bool has_head = false;
    int64_t version = 0;
    int rc = schema_check(j->db, &version, e);

    rc = rc < 0 ? rc : open_head(j, vfs, &head, &has_head, e);
    if (rc == 0 && has_head && version < SCHEMA_SEALED_SINCE) {
        rc = err_set(e, ERR_STORE,
                     "it is a copy from before its head record (-head) was made, or damaged; "
                     "restore a backup, or see tarnd --recover");
    }
    rc = rc < 0 ? rc : schema_migrate(j->db, &j->sealed_now, e);
    rc = rc < 0 ? rc : chain_standing(j->db, &j->standing, e);
    if (rc == 0) {
        rc = has_head ? journal_check_head(j, &head, e) : 0;
    }
    rc = rc < 0 ? rc : journal_check_contents(j, e);
    if (rc == 0 && !has_head) {
        rc = make_head(j, vfs, e);
    }
    return rc;
}

/* The journal may be ahead of its head, or behind what was meant, or one of the head's places be
 * spoilt by a power cut: both are written anew, the one that is sure last. */
static int bring_head_up(struct journal *j, struct err *e)
{
    int rc = journal_probe(j, e);

    for (int i = 0; i < 2 && rc == 0; i++) {
        rc = head_write(j->head, &j->standing, e);
        rc = rc < 0 ? rc : head_rest(j->head, e);
    }
    return rc == ERR_FULL ? 0 : rc; /* what is there can be read, and is worth showing */
}

/* See 8: until it is known whose log it is, closing leaves it where it lies. */
static int keep_log(sqlite3 *db, int keep, struct err *e)
{
    return sqlite3_db_config(db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, keep, NULL) == SQLITE_OK
               ? 0
               : sql_fail(db, e);
}

static int open_database(struct journal *j, const char *dir, const char *vfs, struct err *e)
{
    int rc = is_there(j->path, "", false) ? 0 : create_database(dir, j->path, vfs, e);

    rc = rc < 0 ? rc : open_file(j->path, vfs, &j->db, e);
    rc = rc < 0 ? rc : keep_log(j->db, 1, e);
    rc = rc < 0 ? rc : apply_settings(j->db, e);
    rc = rc < 0 ? rc : journal_check_file(j->db, false, e);
    rc = rc < 0 ? rc : check_and_seal(j, vfs, e);
    rc = rc < 0 ? rc : keep_log(j->db, 0, e);
    rc = rc < 0 ? rc : prepare_all(j, e);
    rc = rc < 0 ? rc : bring_head_up(j, e);
    return rc < 0 ? rc : read_counters(j, e);
}

int journal_open_with(const char *dir, const char *vfs, struct journal **out, struct err *e)
{
    struct journal *j = mem_array(1, sizeof *j);
    char path[PATH_LEN];
    int rc = 0;

    j->lock_fd = -1;
    if (strlen(dir) + sizeof "/tarn.db" > PATH_LEN - PATH_RESERVE || strpbrk(dir, "?#%")) {
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
    j->path = mem_strdup(path);
    if (rc == 0) {
        rc = refuse_what_was_lost(path, e);
    }
    if (rc == 0) {
        rc = open_database(j, dir, vfs, e);
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
    if (j->head && !j->broken) {
        (void)head_rest(j->head, NULL); /* what was told is on the disk without */
    }
    (void)sqlite3_close(j->db);
    head_close(j->head);
    free(j->path);
    if (j->lock_fd >= 0) {
        (void)close(j->lock_fd);
    }
    free(j);
}

/* The head first: a log that is gone tells nothing of what was on its way. */
int journal_checkpoint(struct journal *j, struct err *e)
{
    int rc = j->broken ? 0 : head_rest(j->head, e);

    return rc < 0 ? rc : sql_run(j->db, "PRAGMA wal_checkpoint(TRUNCATE)", e);
}

int64_t journal_left_off(const struct journal *j)
{
    return j->left_off;
}

bool journal_was_sealed_now(const struct journal *j)
{
    return j->sealed_now;
}
