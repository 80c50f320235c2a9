#include "daemon/store/head.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"

#include <assert.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define PLACES    2
#define PLACE_GAP 4096 /* a page of the disk, so that no write touches both */

struct head {
    sqlite3_filename name;
    sqlite3_file *file; /* of the VFS's own size */
    uint64_t sure;      /* the place that was synced last */
};

static int failed(int code, const struct head *h, struct err *e)
{
    return (code & 0xFF) == SQLITE_FULL
               ? err_set(e, ERR_FULL, "the disk is full (%s); make room and try again", h->name)
               : err_set(e, ERR_STORE, "the disk failed (%s: %s); see the system's log", h->name,
                         sqlite3_errstr(code));
}

/* SQLite's file of a log: no lock is taken of it, and making it makes its name durable with the
 * first sync. */
static int open_at(const char *path, const char *vfs_name, int more_flags, struct head **out,
                   struct err *e)
{
    sqlite3_vfs *vfs = sqlite3_vfs_find(vfs_name);
    struct head *h = mem_array(1, sizeof *h);
    int rc;

    h->name = sqlite3_create_filename(path, "", "", 0, NULL);
    h->file = mem_array(1, (size_t)vfs->szOsFile);
    rc = vfs->xOpen(vfs, h->name, h->file, SQLITE_OPEN_READWRITE | SQLITE_OPEN_WAL | more_flags,
                    NULL);
    if (rc != SQLITE_OK) {
        rc = err_set(e, ERR_STORE, "cannot open %s: %s; check owner and mode", path,
                     sqlite3_errstr(rc));
        head_close(h);
        return rc;
    }
    *out = h;
    return 0;
}

static int write_place(struct head *h, const struct standing *s, uint64_t place)
{
    unsigned char bytes[STANDING_LEN];

    standing_write(s, bytes);
    return h->file->pMethods->xWrite(h->file, bytes, sizeof bytes,
                                     (sqlite3_int64)place * PLACE_GAP);
}

static int sync_it(struct head *h)
{
    return h->file->pMethods->xSync(h->file, SQLITE_SYNC_NORMAL | SQLITE_SYNC_DATAONLY);
}

/* What a killed daemon wrote last may not be on the disk yet, and nothing else is to be written
 * before it is. */
int head_open(const char *path, const char *vfs, struct head **out, struct err *e)
{
    struct head *h = NULL;
    int rc = open_at(path, vfs, 0, &h, e);

    if (rc < 0) {
        return rc;
    }
    assert(h);
    rc = sync_it(h);
    if (rc != SQLITE_OK) {
        rc = failed(rc, h, e);
        head_close(h);
        return rc;
    }
    *out = h;
    return 0;
}

int head_create(const char *path, const char *vfs, const struct standing *fresh, struct head **out,
                struct err *e)
{
    struct head *h = NULL;
    int rc = open_at(path, vfs, SQLITE_OPEN_CREATE, &h, e);

    if (rc < 0) {
        return rc;
    }
    assert(h);
    for (unsigned i = 0; i < PLACES && rc == SQLITE_OK; i++) {
        rc = write_place(h, fresh, i);
    }
    rc = rc == SQLITE_OK ? sync_it(h) : rc;
    if (rc != SQLITE_OK) {
        rc = failed(rc, h, e);
        head_close(h);
        return rc;
    }
    *out = h;
    return 0;
}

void head_close(struct head *h)
{
    if (!h) {
        return;
    }
    if (h->file->pMethods) {
        (void)h->file->pMethods->xClose(h->file);
    }
    sqlite3_free_filename(h->name);
    free(h->file);
    free(h);
}

/* Are these bytes a record, and younger than what was found? Then it is taken. */
static bool take_younger(const unsigned char bytes[STANDING_LEN], bool found, struct standing *out)
{
    struct standing s;
    bool younger = standing_read(bytes, &s) && (!found || s.written > out->written);

    if (younger) {
        *out = s;
    }
    return younger;
}

bool head_read(struct head *h, struct standing *out)
{
    bool found = false;

    for (unsigned i = 0; i < PLACES; i++) {
        unsigned char bytes[STANDING_LEN] = {0};

        if (h->file->pMethods->xRead(h->file, bytes, sizeof bytes, (sqlite3_int64)i * PLACE_GAP) ==
                SQLITE_OK &&
            take_younger(bytes, found, out)) {
            found = true;
            h->sure = i;
        }
    }
    return found;
}

bool head_look(const char *path, struct standing *out)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    bool found = false;

    for (unsigned i = 0; i < PLACES && fd >= 0; i++) {
        unsigned char bytes[STANDING_LEN] = {0};

        if (pread(fd, bytes, sizeof bytes, (off_t)i * PLACE_GAP) == (ssize_t)sizeof bytes) {
            found = take_younger(bytes, found, out) || found;
        }
    }
    if (fd >= 0) {
        (void)close(fd);
    }
    return found;
}

int head_write(struct head *h, const struct standing *s, bool sync, struct err *e)
{
    uint64_t place = 1 - h->sure;
    int rc = write_place(h, s, place);

    if (rc == SQLITE_OK && sync) {
        rc = sync_it(h);
        h->sure = rc == SQLITE_OK ? place : h->sure;
    }
    return rc == SQLITE_OK ? 0 : failed(rc, h, e);
}
