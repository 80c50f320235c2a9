#include "daemon/store/backup.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

#include <assert.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define PATH_LEN 4096
#define DAY_LEN  10 /* "2026-03-01", the name of a day's copy */

struct backup {
    struct journal *journal;
    char path[PATH_LEN]; /* with its name; while it is made it has another */
    char part[PATH_LEN];
    char folder[PATH_LEN]; /* of copies of days; "" = it is none */
    int keep;
    sqlite3 *db;
    sqlite3_backup *copying; /* NULL once all is copied */
    struct standing of;      /* the journal's, then */
};

static int begin_copying(struct backup *b, struct err *e)
{
    mode_t before = umask(0077);
    int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOFOLLOW;
    int rc = sqlite3_open_v2(b->part, &b->db, flags, NULL) == SQLITE_OK ? 0 : sql_fail(b->db, e);

    (void)umask(before);
    if (rc == 0) {
        b->copying = sqlite3_backup_init(b->db, "main", b->journal->db, "main");
        rc = b->copying ? 0 : sql_fail(b->db, e);
    }
    return rc;
}

int backup_begin(struct journal *j, const char *path, struct backup **out, struct err *e)
{
    struct backup *b;
    int rc;

    if (strlen(path) > PATH_LEN - 16) {
        return err_set(e, ERR_RANGE, "the path of the copy is too long");
    }
    if (access(path, F_OK) == 0) {
        return err_set(e, ERR_REFUSED, "%.200s is there already; name another", path);
    }
    b = mem_array(1, sizeof *b);
    b->journal = j;
    (void)snprintf(b->path, sizeof b->path, "%s", path);
    (void)snprintf(b->part, sizeof b->part, "%.4000s.part", path);
    (void)unlink(b->part); /* of a copy that was cut off */
    rc = begin_copying(b, e);
    if (rc < 0) {
        return backup_end(b, rc, e);
    }
    *out = b;
    return 0;
}

int backup_some(struct backup *b, int pages, bool *out_all, struct err *e)
{
    int rc = sqlite3_backup_step(b->copying, pages);

    *out_all = rc == SQLITE_DONE;
    if (rc == SQLITE_OK) {
        return 0;
    }
    rc = sqlite3_backup_finish(b->copying);
    b->copying = NULL;
    b->of = b->journal->standing;
    return rc == SQLITE_OK ? 0 : sql_fail(b->db, e);
}

/* In a log of its own a copy would be two files. The copy's own account is held against that of the
 * journal, and every entry against its seal. */
int backup_check(struct backup *b, struct err *e)
{
    struct standing s;
    struct seal at = {{0}};
    int64_t last;
    int rc = sql_run(b->db, "PRAGMA journal_mode=DELETE", e);

    rc = rc < 0 ? rc : journal_check_file(b->db, true, e);
    rc = rc < 0 ? rc : chain_standing(b->db, &s, e);
    if (rc == 0 && s.written != b->of.written) {
        rc = err_set(e, ERR_STORE, "it is not what the journal is");
    }
    last = rc == 0 ? s.entries : 0;
    return rc < 0 ? rc : chain_check(b->db, 1, &last, &at, e);
}

int64_t backup_entries(const struct backup *b)
{
    return b->of.entries;
}

/* What was written is on the disk, and so is its name. */
static int sync_names(const char *path, struct err *e)
{
    char *dir = mem_strdup(path);
    char *slash = strrchr(dir, '/');
    int fd;
    int rc = 0;

    if (slash) {
        slash[slash == dir] = '\0';
    }
    fd = open(slash ? dir : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0 || fsync(fd) < 0) {
        rc = err_set(e, -errno, "cannot sync the folder %.200s: %s", dir, strerror(errno));
    }
    if (fd >= 0) {
        (void)close(fd);
    }
    free(dir);
    return rc;
}

static bool is_day(const char *name)
{
    return strlen(name) == DAY_LEN + 3 && strspn(name, "0123456789-") == DAY_LEN &&
           strcmp(name + DAY_LEN, ".db") == 0;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void let_go_of_older(const char *folder, int keep)
{
    char **name = NULL;
    size_t n = 0;
    size_t cap = 0;
    DIR *d = opendir(folder);
    const struct dirent *entry;

    while (d && (entry = readdir(d)) != NULL) {
        if (is_day(entry->d_name)) {
            name = mem_grow(name, &cap, n + 1, sizeof *name);
            name[n++] = mem_strdup(entry->d_name);
        }
    }
    if (n) {
        qsort(name, n, sizeof *name, by_name);
    }
    for (size_t i = 0; i < n; i++) {
        if (i + (size_t)keep < n) {
            (void)unlinkat(dirfd(d), name[i], 0);
        }
        free(name[i]);
    }
    free(name);
    if (d) {
        (void)closedir(d);
    }
}

static int name_it(const struct backup *b, struct err *e)
{
    if (renameat2(AT_FDCWD, b->part, AT_FDCWD, b->path, RENAME_NOREPLACE) < 0) {
        return err_set(e, -errno, "cannot name %.200s: %s", b->path, strerror(errno));
    }
    return sync_names(b->path, e);
}

int backup_end(struct backup *b, int rc, struct err *e)
{
    if (b->copying) {
        (void)sqlite3_backup_finish(b->copying);
    }
    (void)sqlite3_close(b->db);
    rc = rc < 0 ? rc : name_it(b, e);
    if (rc < 0) {
        (void)unlink(b->part);
        (void)err_prefix(e, "no copy was made: ");
    } else if (*b->folder) {
        let_go_of_older(b->folder, b->keep);
    }
    free(b);
    return rc;
}

char *journal_backup_folder(const struct journal *j)
{
    const char *slash = strrchr(j->path, '/');
    char folder[PATH_LEN];

    (void)snprintf(folder, sizeof folder, "%.*s/" BACKUP_FOLDER, (int)(slash - j->path), j->path);
    return mem_strdup(folder);
}

int backup_begin_day(struct journal *j, const char *in, const char *day, int keep,
                     struct backup **out, struct err *e)
{
    char *own = journal_backup_folder(j);
    char folder[PATH_LEN];
    char path[PATH_LEN];
    int rc;

    (void)snprintf(folder, sizeof folder, "%.4000s", *in ? in : own);
    free(own);
    (void)snprintf(path, sizeof path, "%.4000s/%s.db", folder, day);
    if (mkdir(folder, 0700) < 0 && errno != EEXIST) {
        return err_set(e, -errno, "cannot make %.200s: %s", folder, strerror(errno));
    }
    *out = NULL;
    if (access(path, F_OK) == 0) {
        let_go_of_older(folder, keep);
        return 0;
    }
    rc = backup_begin(j, path, out, e);
    if (rc == 0) {
        assert(*out);
        (void)snprintf((*out)->folder, sizeof(*out)->folder, "%s", folder);
        (*out)->keep = keep;
    }
    return rc;
}

static int make_whole(struct backup *b, struct err *e)
{
    bool all;
    int rc;

    assert(b);
    rc = backup_some(b, -1, &all, e);

    rc = rc < 0 ? rc : backup_check(b, e);
    return backup_end(b, rc, e);
}

int journal_backup(struct journal *j, const char *path, struct err *e)
{
    struct backup *b = NULL;
    int rc = backup_begin(j, path, &b, e);

    return rc < 0 ? rc : make_whole(b, e);
}

int journal_backup_day(struct journal *j, const char *in, const char *day, int keep, struct err *e)
{
    struct backup *b = NULL;
    int rc = backup_begin_day(j, in, day, keep, &b, e);

    return rc < 0 || !b ? rc : make_whole(b, e);
}
