#include "tests/season/small_disk.h"

#include <sqlite3.h>
#include <stdatomic.h>
#include <stdio.h>
#include <sys/mman.h>

/* SQLite knows no owner of a VFS: what it calls back finds its things here. */
static atomic_bool *is_full;
static sqlite3_vfs *system_vfs;
static sqlite3_vfs vfs;
/* Of a database, and of what lies beside it, which has no locks. */
static sqlite3_io_methods methods[2];
static int (*system_write)(sqlite3_file *, const void *, int, sqlite3_int64);

bool small_disk_init(void)
{
    void *shared = is_full;

    if (!shared) {
        shared =
            mmap(NULL, sizeof *is_full, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    }
    is_full = shared == MAP_FAILED ? NULL : shared;
    return is_full != NULL;
}

void small_disk_fill(bool full)
{
    atomic_store(is_full, full);
}

static int write_if_room(sqlite3_file *file, const void *p, int len, sqlite3_int64 at)
{
    return atomic_load(is_full) ? SQLITE_FULL : system_write(file, p, len, at);
}

static int open_file(sqlite3_vfs *self, const char *name, sqlite3_file *file, int flags, int *out)
{
    int rc = system_vfs->xOpen(system_vfs, name, file, flags, out);

    (void)self;
    if (rc == SQLITE_OK && (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL))) {
        sqlite3_io_methods *own = &methods[(flags & SQLITE_OPEN_WAL) != 0];

        *own = *file->pMethods;
        system_write = own->xWrite;
        own->xWrite = write_if_room;
        file->pMethods = own;
    }
    return rc;
}

int small_disk_run(const struct serve_options *o)
{
    struct err e = {0};
    int rc;

    system_vfs = sqlite3_vfs_find(NULL);
    vfs = *system_vfs;
    vfs.zName = "small";
    vfs.xOpen = open_file;
    (void)sqlite3_vfs_register(&vfs, 1);
    rc = serve_run(o, &e);
    (void)fprintf(stderr, "%s\n", rc < 0 ? e.msg : "");
    return rc < 0;
}
