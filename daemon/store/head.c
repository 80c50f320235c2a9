#include "daemon/store/head.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define PLACES    2
#define PLACE_GAP 4096 /* a page of the disk, so that no write touches both */

struct head {
    sqlite3_filename name;
    sqlite3_file *file; /* of the VFS's own size */
    uint64_t synced;    /* the place that was synced last */
    bool unsynced;      /* something was written since into the other */
    bool beside;        /* there is a thread … */
    pthread_t thread;
    pthread_mutex_t mutex;
    pthread_cond_t turn;
    bool wanted, ending; /* … and what it is asked for; under the mutex */
    int said;            /* what came of it: SQLite's code */
    bool late;           /* without a thread: this time it is synced after the commit */
};

/* ---- the disk */

static int failed(int code, const struct head *h, struct err *e)
{
    return (code & 0xFF) == SQLITE_FULL || (code == SQLITE_IOERR_WRITE && errno == EDQUOT)
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

/* ---- the thread that syncs */

static void *sync_when_asked(void *arg)
{
    struct head *h = arg;

    (void)pthread_mutex_lock(&h->mutex);
    while (!h->ending) {
        if (h->wanted) {
            (void)pthread_mutex_unlock(&h->mutex);
            h->said = sync_it(h);
            (void)pthread_mutex_lock(&h->mutex);
            h->wanted = false;
            (void)pthread_cond_signal(&h->turn);
        } else {
            (void)pthread_cond_wait(&h->turn, &h->mutex);
        }
    }
    (void)pthread_mutex_unlock(&h->mutex);
    return NULL;
}

/* Without one all is as safe, and slower. */
static void start_thread(struct head *h)
{
    (void)pthread_mutex_init(&h->mutex, NULL);
    (void)pthread_cond_init(&h->turn, NULL);
    h->beside = pthread_create(&h->thread, NULL, sync_when_asked, h) == 0;
}

static void stop_thread(struct head *h)
{
    (void)pthread_mutex_lock(&h->mutex);
    h->ending = true;
    (void)pthread_cond_signal(&h->turn);
    (void)pthread_mutex_unlock(&h->mutex);
    (void)pthread_join(h->thread, NULL);
    (void)pthread_cond_destroy(&h->turn);
    (void)pthread_mutex_destroy(&h->mutex);
}

/* Without a thread it is now before the commit and now after it, as with one it may be either: so
 * tests of the disk see both. */
static void begin_sync(struct head *h)
{
    if (!h->beside) {
        h->late = !h->late;
        h->said = h->late ? SQLITE_OK : sync_it(h);
        return;
    }
    (void)pthread_mutex_lock(&h->mutex);
    h->wanted = true;
    (void)pthread_cond_signal(&h->turn);
    (void)pthread_mutex_unlock(&h->mutex);
}

static int end_sync(struct head *h)
{
    if (h->beside) {
        (void)pthread_mutex_lock(&h->mutex);
        while (h->wanted) {
            (void)pthread_cond_wait(&h->turn, &h->mutex);
        }
        (void)pthread_mutex_unlock(&h->mutex);
    } else if (h->late) {
        h->said = sync_it(h);
    }
    return h->said;
}

/* ---- the file */

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
    if (!vfs) {
        start_thread(h);
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
    if (!vfs) {
        start_thread(h);
    }
    *out = h;
    return 0;
}

void head_close(struct head *h)
{
    if (!h) {
        return;
    }
    if (h->beside) {
        stop_thread(h);
    }
    if (h->file->pMethods) {
        (void)h->file->pMethods->xClose(h->file);
    }
    sqlite3_free_filename(h->name);
    free(h->file);
    free(h);
}

/* ---- what it says */

struct places {
    struct standing of[PLACES];
    bool there[PLACES];
};

/* Which place was written last, of two that can be read. */
static unsigned younger(const struct places *p)
{
    const struct standing *a = &p->of[0];
    const struct standing *b = &p->of[1];

    if (a->written != b->written) {
        return b->written > a->written;
    }
    return a->meant && !b->meant;
}

/* See 2: beside a record that is meant the other one is sure. Where that cannot be read it was
 * being written, as done or for the group behind. */
static bool understand(struct places *p, struct head_says *out, uint64_t *out_place)
{
    bool two = p->there[0] && p->there[1];
    unsigned last = two ? younger(p) : p->there[1];
    unsigned sure = two && p->of[last].meant ? 1 - last : last;

    if (!p->there[last]) {
        return false;
    }
    out->meant = p->of[last];
    out->sure = p->of[sure];
    *out_place = sure; /* the next record takes the place of what was meant */
    return true;
}

bool head_read(struct head *h, struct head_says *out)
{
    struct places p = {0};

    for (unsigned i = 0; i < PLACES; i++) {
        unsigned char bytes[STANDING_LEN] = {0};

        p.there[i] = h->file->pMethods->xRead(h->file, bytes, sizeof bytes,
                                              (sqlite3_int64)i * PLACE_GAP) == SQLITE_OK &&
                     standing_read(bytes, &p.of[i]);
    }
    return understand(&p, out, &h->synced);
}

bool head_look(const char *path, struct head_says *out)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    struct places p = {0};
    uint64_t place;

    for (unsigned i = 0; i < PLACES && fd >= 0; i++) {
        unsigned char bytes[STANDING_LEN] = {0};

        p.there[i] =
            pread(fd, bytes, sizeof bytes, (off_t)i * PLACE_GAP) == (ssize_t)sizeof bytes &&
            standing_read(bytes, &p.of[i]);
    }
    if (fd >= 0) {
        (void)close(fd);
    }
    return understand(&p, out, &place);
}

/* ---- a group */

static int write_other(struct head *h, const struct standing *s, bool meant)
{
    struct standing record = *s;

    record.meant = meant;
    h->unsynced = true;
    return write_place(h, &record, 1 - h->synced);
}

int head_mean(struct head *h, const struct standing *s, struct err *e)
{
    int rc = write_other(h, s, true);

    if (rc != SQLITE_OK) {
        return failed(rc, h, e);
    }
    begin_sync(h);
    return 0;
}

int head_done(struct head *h, const struct standing *s, struct err *e)
{
    int rc = end_sync(h);

    if (rc == SQLITE_OK) {
        h->synced = 1 - h->synced;
        rc = write_other(h, s, false);
    }
    return rc == SQLITE_OK ? 0 : failed(rc, h, e);
}

int head_undo(struct head *h, const struct standing *s, struct err *e)
{
    int rc;

    (void)end_sync(h); /* what it gave is over with the group */
    rc = write_other(h, s, false);
    return rc == SQLITE_OK ? head_rest(h, e) : failed(rc, h, e);
}

int head_write(struct head *h, const struct standing *s, struct err *e)
{
    int rc = write_other(h, s, false);

    return rc == SQLITE_OK ? 0 : failed(rc, h, e);
}

int head_rest(struct head *h, struct err *e)
{
    int rc = h->unsynced ? sync_it(h) : SQLITE_OK;

    if (rc != SQLITE_OK) {
        return failed(rc, h, e);
    }
    h->synced = h->unsynced ? 1 - h->synced : h->synced;
    h->unsynced = false;
    return 0;
}
