#include "daemon/store/backup.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

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

static int copy_pages(struct journal *j, sqlite3 *to, struct err *e)
{
    sqlite3_backup *b = sqlite3_backup_init(to, "main", j->db, "main");

    if (!b) {
        return sql_fail(to, e);
    }
    (void)sqlite3_backup_step(b, -1);
    return sqlite3_backup_finish(b) == SQLITE_OK ? 0 : sql_fail(to, e);
}

/* The copy's own account, against that of the journal, and every entry against its seal. */
static int check_copy(struct journal *j, sqlite3 *db, struct err *e)
{
    struct standing s;
    struct seal at = {{0}};
    int rc = journal_check_file(db, true, e);

    rc = rc < 0 ? rc : chain_standing(db, &s, e);
    if (rc == 0 && s.written != j->standing.written) {
        rc = err_set(e, ERR_STORE, "it is not what the journal is");
    }
    return rc < 0 ? rc : chain_check(db, 1, s.entries, &at, e);
}

/* In a log of its own a copy would be two files. */
static int write_copy(struct journal *j, const char *path, struct err *e)
{
    sqlite3 *db = NULL;
    int rc = sqlite3_open_v2(path, &db,
                             SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOFOLLOW,
                             NULL) == SQLITE_OK
                 ? 0
                 : sql_fail(db, e);

    rc = rc < 0 ? rc : copy_pages(j, db, e);
    rc = rc < 0 ? rc : sql_run(db, "PRAGMA journal_mode=DELETE", e);
    rc = rc < 0 ? rc : check_copy(j, db, e);
    (void)sqlite3_close(db);
    return rc;
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

int journal_backup(struct journal *j, const char *path, struct err *e)
{
    char part[PATH_LEN];
    mode_t before;
    int rc;

    if (strlen(path) > PATH_LEN - 16) {
        return err_set(e, ERR_RANGE, "the path of the copy is too long");
    }
    (void)snprintf(part, sizeof part, "%s.part", path);
    if (access(path, F_OK) == 0) {
        return err_set(e, ERR_REFUSED, "%.200s is there already; name another", path);
    }
    (void)unlink(part); /* of a copy that was cut off */
    before = umask(0077);
    rc = write_copy(j, part, e);
    (void)umask(before);
    if (rc == 0 && renameat2(AT_FDCWD, part, AT_FDCWD, path, RENAME_NOREPLACE) < 0) {
        rc = err_set(e, -errno, "cannot name %.200s: %s", path, strerror(errno));
    }
    if (rc < 0) {
        (void)unlink(part);
        return err_prefix(e, "no copy was made: ");
    }
    return sync_names(path, e);
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

char *journal_backup_folder(const struct journal *j)
{
    const char *slash = strrchr(j->path, '/');
    char folder[PATH_LEN];

    (void)snprintf(folder, sizeof folder, "%.*s/" BACKUP_FOLDER, (int)(slash - j->path), j->path);
    return mem_strdup(folder);
}

int journal_backup_day(struct journal *j, const char *in, const char *day, int keep, struct err *e)
{
    char *own = journal_backup_folder(j);
    char folder[PATH_LEN];
    char path[PATH_LEN];
    int rc = 0;

    (void)snprintf(folder, sizeof folder, "%.4000s", *in ? in : own);
    free(own);
    (void)snprintf(path, sizeof path, "%.4000s/%s.db", folder, day);
    if (mkdir(folder, 0700) < 0 && errno != EEXIST) {
        return err_set(e, -errno, "cannot make %.200s: %s", folder, strerror(errno));
    }
    if (access(path, F_OK) < 0) {
        rc = journal_backup(j, path, e);
    }
    if (rc == 0) {
        let_go_of_older(folder, keep);
    }
    return rc;
}
