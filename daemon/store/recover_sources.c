#include "daemon/store/recover_sources.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/head.h"
#include "daemon/store/rows.h"
#include "daemon/store/schema.h"
#include "daemon/store/sql.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#define PATH_LEN 4096

static int copy_bytes(int from, int to)
{
    static char buf[65536];
    ssize_t n;

    while ((n = read(from, buf, sizeof buf)) > 0) {
        if (write(to, buf, (size_t)n) != n) {
            return -1;
        }
    }
    return n < 0 ? -1 : 0; /* a sector that cannot be read ends it: what came before is there */
}

static bool copy_file(const char *from, const char *to)
{
    int in = open(from, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    int out = in < 0 ? -1 : open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    bool done = out >= 0;

    if (done) {
        (void)copy_bytes(in, out);
    }
    if (in >= 0) {
        (void)close(in);
    }
    if (out >= 0) {
        (void)close(out);
    }
    return done;
}

static bool prepare(struct source *s)
{
    bool sealed;

    (void)schema_migrate(s->db, &sealed,
                         NULL); /* one from before seals gets them where it is sound */
    s->has_standing = chain_standing(s->db, &s->standing, NULL) == 0;
    return sql_prepare(s->db, "SELECT " ROWS_COLUMNS ", hash FROM entry WHERE seq = ?", &s->row,
                       NULL) == 0 &&
           sql_prepare(s->db, ROWS_AMOUNTS, &s->amounts, NULL) == 0 &&
           sql_prepare(s->db, "SELECT hash FROM entry WHERE seq = ?", &s->seal, NULL) == 0;
}

static void close_source(struct source *s)
{
    (void)sqlite3_finalize(s->row);
    (void)sqlite3_finalize(s->amounts);
    (void)sqlite3_finalize(s->seal);
    (void)sqlite3_close(s->db);
    *s = (struct source){0};
}

static bool add(struct sources *all, const char *path, bool with_log, bool is_journal)
{
    struct source *s = &all->source[all->n];
    char log[PATH_LEN];
    char log_copy[PATH_LEN + 8];
    char copy[sizeof s->path];

    if (all->n == SOURCES_MAX) {
        return true;
    }
    *s = (struct source){.is_journal = is_journal};
    (void)snprintf(copy, sizeof copy, "%.3900s/%zu.db", all->folder, all->n);
    memcpy(s->path, copy, sizeof copy);
    (void)snprintf(log, sizeof log, "%.4000s-wal", path);
    (void)snprintf(log_copy, sizeof log_copy, "%s-wal", s->path);
    (void)unlink(log_copy);
    if (!copy_file(path, s->path)) {
        return false;
    }
    if (with_log && !copy_file(log, log_copy)) {
        return true; /* it is the same without */
    }
    if (sqlite3_open_v2(s->path, &s->db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK || !prepare(s)) {
        close_source(s);
        return false;
    }
    all->n++;
    return true;
}

/* With its log, where it has one, and without: either may be what is damaged. */
static bool add_both(struct sources *all, const char *path, bool is_journal)
{
    size_t before = all->n;

    (void)add(all, path, true, is_journal);
    (void)add(all, path, false, is_journal);
    return all->n > before;
}

static int newest_first(const void *a, const void *b)
{
    return strcmp(*(char *const *)b, *(char *const *)a);
}

static void add_copies(struct sources *all, const char *dir)
{
    char folder[PATH_LEN];
    char path[PATH_LEN];
    char **name = NULL;
    size_t n = 0;
    size_t cap = 0;
    DIR *d;
    const struct dirent *entry;

    (void)snprintf(folder, sizeof folder, "%.3900s/backups", dir);
    d = opendir(folder);
    while (d && (entry = readdir(d)) != NULL) {
        size_t len = strlen(entry->d_name);

        if (len > 3 && strcmp(entry->d_name + len - 3, ".db") == 0) {
            name = mem_grow(name, &cap, n + 1, sizeof *name);
            name[n++] = mem_strdup(entry->d_name);
        }
    }
    if (d) {
        (void)closedir(d);
    }
    if (n) {
        qsort(name, n, sizeof *name, newest_first);
    }
    for (size_t i = 0; i < n; i++) {
        (void)snprintf(path, sizeof path, "%.3900s/%.180s", folder, name[i]);
        (void)add(all, path, false, false);
        free(name[i]);
    }
    free(name);
}

static int take_lock(struct sources *all, const char *dir, struct err *e)
{
    char path[PATH_LEN];

    (void)snprintf(path, sizeof path, "%.3900s/lock", dir);
    all->lock_fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (all->lock_fd < 0) {
        return err_set(e, -errno, "cannot open %.200s: %s", path, strerror(errno));
    }
    return flock(all->lock_fd, LOCK_EX | LOCK_NB) < 0
               ? err_set(e, ERR_BUSY, "a tarnd looks after %.200s; stop it before", dir)
               : 0;
}

int sources_open(struct sources *all, const char *dir, const char *from, struct err *e)
{
    struct head_says says = {0};
    char path[PATH_LEN];
    int rc;

    *all = (struct sources){.lock_fd = -1};
    rc = take_lock(all, dir, e);
    if (rc < 0) {
        return rc;
    }
    (void)snprintf(all->folder, sizeof all->folder, "%.3900s/recovering-XXXXXX", dir);
    if (!mkdtemp(all->folder)) {
        all->folder[0] = '\0';
        return err_set(e, -errno, "cannot make a folder in %.200s: %s", dir, strerror(errno));
    }
    if (from && !add_both(all, from, false)) {
        return err_set(e, ERR_STORE, "%.200s is not there, or is no journal", from);
    }
    (void)snprintf(path, sizeof path, "%.3900s/tarn.db", dir);
    (void)add_both(all, path, true);
    add_copies(all, dir);
    (void)snprintf(path, sizeof path, "%.3900s/tarn.db" HEAD_NAME_TAIL, dir);
    all->has_head = head_look(path, &says);
    all->head = says.sure;
    return 0;
}

static void remove_folder(const char *path)
{
    DIR *d = opendir(path);
    const struct dirent *entry;

    while (d && (entry = readdir(d)) != NULL) {
        (void)unlinkat(dirfd(d), entry->d_name, 0);
    }
    if (d) {
        (void)closedir(d);
    }
    (void)rmdir(path);
}

void sources_close(struct sources *all)
{
    for (size_t i = 0; i < all->n; i++) {
        close_source(&all->source[i]);
    }
    if (*all->folder) {
        remove_folder(all->folder);
    }
    if (all->lock_fd >= 0) {
        (void)close(all->lock_fd);
    }
}

static bool read_seal(sqlite3_stmt *stmt, int column, struct seal *out)
{
    bool there = sqlite3_column_bytes(stmt, column) == SEAL_LEN;

    if (there) {
        memcpy(out->byte, sqlite3_column_blob(stmt, column), SEAL_LEN);
    }
    return there;
}

bool source_thinned(const struct source *s, int64_t seq, struct chain_run *out)
{
    char sql[96];
    int64_t there = 1;

    if (chain_thinned(s->db, seq, out, NULL) == 1) {
        (void)snprintf(sql, sizeof sql,
                       "SELECT count(*) FROM entry WHERE seq BETWEEN %lld AND %lld", (long long)seq,
                       (long long)out->last);
        (void)sql_int(s->db, sql, &there, NULL);
    }
    return there == 0;
}

bool source_find(struct source *s, int64_t seq, struct found *out)
{
    struct chain_run run;
    bool found = false;

    *out = (struct found){0};
    (void)sqlite3_bind_int64(s->row, 1, seq);
    if (sql_step(s->row, NULL) == 1 && rows_read(s->row, &out->entry, NULL) == 0 &&
        out->entry.seq == seq) {
        found = read_seal(s->row, ROWS_N, &out->seal) &&
                rows_read_amounts(s->amounts, &out->entry, NULL) == 0;
    }
    (void)sqlite3_reset(s->row);
    (void)sqlite3_bind_int64(s->seal, 1, seq - 1);
    if (found && seq > 1 && sql_step(s->seal, NULL) == 1) {
        (void)read_seal(s->seal, 0, &out->before);
    } else if (found && seq > 1 && source_thinned(s, seq - 1, &run)) {
        out->before = run.seal;
    }
    (void)sqlite3_reset(s->seal);
    return found;
}

int64_t source_last(const struct source *s)
{
    int64_t last = 0;

    return sql_int(s->db, "SELECT max(seq) FROM entry", &last, NULL) < 0 ? 0 : last;
}
