#include "tests/fault/disk.h"

#include "daemon/base/mem.h"
#include "tests/cmocka_all.h"
#include "tests/sim/dice.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SECTOR    512
#define NAME_MOST 128
#define FILES_MAX 64

enum op_kind { OP_WRITE, OP_TRUNCATE, OP_SYNC, OP_NAME, OP_UNNAME, OP_NAMES_SYNCED };

struct op {
    enum op_kind kind;
    size_t file; /* of no meaning to OP_NAMES_SYNCED */
    size_t at, len;
    unsigned char *bytes; /* owned; of a write */
};

struct bytes {
    unsigned char *at;
    size_t n, cap;
};

/* What has had a name once. A name that is made anew is another file. */
struct remembered {
    char name[NAME_MOST];
    struct bytes before; /* that it held when it was first opened */
    bool was_there;
};

static struct {
    sqlite3_vfs vfs;
    sqlite3_vfs *system;
    sqlite3_io_methods methods;
    int (*open_directory)(const char *, int *);
    struct remembered file[FILES_MAX];
    size_t n_files;
    struct op *op;
    size_t n_ops, cap_ops;
    enum disk_fault fault;
    bool failing, for_ever, failed;
    size_t until_failure;
} disk;

struct open_file {
    sqlite3_file base;
    size_t file;
    sqlite3_file *real; /* behind this one */
};

static sqlite3_file *real_of(sqlite3_file *f)
{
    return ((struct open_file *)(void *)f)->real;
}

static const char *name_in(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

static void remember(enum op_kind kind, size_t file, size_t at, const void *bytes, size_t len)
{
    struct op op = {.kind = kind, .file = file, .at = at, .len = len};

    if (bytes) {
        op.bytes = mem_array(len, 1);
        memcpy(op.bytes, bytes, len);
    }
    disk.op = mem_grow(disk.op, &disk.cap_ops, disk.n_ops + 1, sizeof *disk.op);
    disk.op[disk.n_ops++] = op;
}

/* Is this the operation that fails? */
static bool fails(bool writes)
{
    if (!disk.failing || (disk.fault == DISK_IS_FULL && !writes)) {
        return false;
    }
    if (disk.until_failure > 0) {
        disk.until_failure--;
        return false;
    }
    disk.failing = disk.for_ever;
    disk.failed = true;
    return true;
}

static int close_file(sqlite3_file *f)
{
    return real_of(f)->pMethods->xClose(real_of(f));
}

static int read_file(sqlite3_file *f, void *to, int len, sqlite3_int64 at)
{
    return fails(false) ? SQLITE_IOERR_READ : real_of(f)->pMethods->xRead(real_of(f), to, len, at);
}

static int write_file(sqlite3_file *f, const void *bytes, int len, sqlite3_int64 at)
{
    int rc;

    if (fails(true)) {
        return disk.fault == DISK_IS_FULL ? SQLITE_FULL : SQLITE_IOERR_WRITE;
    }
    rc = real_of(f)->pMethods->xWrite(real_of(f), bytes, len, at);
    if (rc == SQLITE_OK) {
        remember(OP_WRITE, ((struct open_file *)(void *)f)->file, (size_t)at, bytes, (size_t)len);
    }
    return rc;
}

static int truncate_file(sqlite3_file *f, sqlite3_int64 size)
{
    int rc =
        fails(false) ? SQLITE_IOERR_TRUNCATE : real_of(f)->pMethods->xTruncate(real_of(f), size);

    if (rc == SQLITE_OK) {
        remember(OP_TRUNCATE, ((struct open_file *)(void *)f)->file, (size_t)size, NULL, 0);
    }
    return rc;
}

static int sync_file(sqlite3_file *f, int flags)
{
    int rc = fails(false) ? SQLITE_IOERR_FSYNC : real_of(f)->pMethods->xSync(real_of(f), flags);

    if (rc == SQLITE_OK) {
        remember(OP_SYNC, ((struct open_file *)(void *)f)->file, 0, NULL, 0);
    }
    return rc;
}

static int size_of_file(sqlite3_file *f, sqlite3_int64 *out)
{
    return fails(false) ? SQLITE_IOERR_FSTAT : real_of(f)->pMethods->xFileSize(real_of(f), out);
}

static int lock_file(sqlite3_file *f, int level)
{
    return real_of(f)->pMethods->xLock(real_of(f), level);
}

static int unlock_file(sqlite3_file *f, int level)
{
    return real_of(f)->pMethods->xUnlock(real_of(f), level);
}

static int check_lock(sqlite3_file *f, int *out)
{
    return real_of(f)->pMethods->xCheckReservedLock(real_of(f), out);
}

static int control_file(sqlite3_file *f, int what, void *arg)
{
    return real_of(f)->pMethods->xFileControl(real_of(f), what, arg);
}

static int sector_of(sqlite3_file *f)
{
    return real_of(f)->pMethods->xSectorSize(real_of(f));
}

static int traits_of(sqlite3_file *f)
{
    return real_of(f)->pMethods->xDeviceCharacteristics(real_of(f));
}

static struct bytes read_whole(sqlite3_file *real)
{
    struct bytes all = {0};
    sqlite3_int64 size = 0;

    assert_int_equal(real->pMethods->xFileSize(real, &size), SQLITE_OK);
    all.n = all.cap = (size_t)size;
    all.at = mem_array(all.n + 1, 1);
    if (size > 0) {
        assert_int_equal(real->pMethods->xRead(real, all.at, (int)size, 0), SQLITE_OK);
    }
    return all;
}

/* The file that has the name at the end of what is remembered; FILES_MAX: none. */
static size_t named(const char *name)
{
    size_t found = FILES_MAX;

    for (size_t i = 0; i < disk.n_files; i++) {
        found = strcmp(disk.file[i].name, name) == 0 ? i : found;
    }
    return found;
}

static size_t meet(const char *name, bool was_there, sqlite3_file *real)
{
    size_t i = named(name);

    if (was_there && i < FILES_MAX) {
        return i;
    }
    assert_true(disk.n_files < FILES_MAX);
    i = disk.n_files++;
    (void)snprintf(disk.file[i].name, NAME_MOST, "%s", name);
    disk.file[i].was_there = was_there;
    if (was_there) {
        disk.file[i].before = read_whole(real);
    } else {
        remember(OP_NAME, i, 0, NULL, 0);
    }
    return i;
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *f, int flags, int *out)
{
    struct open_file *o = (struct open_file *)(void *)f;
    int was_there = 0;
    int rc;

    (void)vfs;
    f->pMethods = NULL;
    o->real = (sqlite3_file *)(void *)(o + 1);
    if (fails(false)) {
        return SQLITE_CANTOPEN;
    }
    assert_non_null(name); /* nothing here is so large that SQLite wants a file for itself */
    (void)disk.system->xAccess(disk.system, name, SQLITE_ACCESS_EXISTS, &was_there);
    rc = disk.system->xOpen(disk.system, name, o->real, flags, out);
    if (rc == SQLITE_OK) {
        o->file = meet(name_in(name), was_there, o->real);
        f->pMethods = &disk.methods;
    }
    return rc;
}

static int delete_file(sqlite3_vfs *vfs, const char *name, int sync_names)
{
    size_t i = named(name_in(name));
    int rc =
        fails(false) ? SQLITE_IOERR_DELETE : disk.system->xDelete(disk.system, name, sync_names);

    (void)vfs;
    if (rc == SQLITE_OK && i < FILES_MAX) {
        remember(OP_UNNAME, i, 0, NULL, 0);
    }
    return rc;
}

/* The system's VFS opens a folder for nothing but to sync it. */
static int open_directory(const char *name, int *out)
{
    int rc = disk.open_directory(name, out);

    if (rc == SQLITE_OK) {
        remember(OP_NAMES_SYNCED, 0, 0, NULL, 0);
    }
    return rc;
}

void disk_init(void)
{
    memset(&disk, 0, sizeof disk);
    disk.system = sqlite3_vfs_find(NULL);
    disk.vfs = *disk.system;
    disk.vfs.zName = DISK_VFS;
    disk.vfs.szOsFile = (int)sizeof(struct open_file) + disk.system->szOsFile;
    disk.vfs.xOpen = open_file;
    disk.vfs.xDelete = delete_file;
    disk.methods = (sqlite3_io_methods){.iVersion = 1,
                                        .xClose = close_file,
                                        .xRead = read_file,
                                        .xWrite = write_file,
                                        .xTruncate = truncate_file,
                                        .xSync = sync_file,
                                        .xFileSize = size_of_file,
                                        .xLock = lock_file,
                                        .xUnlock = unlock_file,
                                        .xCheckReservedLock = check_lock,
                                        .xFileControl = control_file,
                                        .xSectorSize = sector_of,
                                        .xDeviceCharacteristics = traits_of};
    disk.open_directory = (int (*)(const char *, int *))(void *)disk.system->xGetSystemCall(
        disk.system, "openDirectory");
    assert_int_equal(disk.system->xSetSystemCall(disk.system, "openDirectory",
                                                 (sqlite3_syscall_ptr)(void *)open_directory),
                     SQLITE_OK);
    assert_int_equal(sqlite3_vfs_register(&disk.vfs, 0), SQLITE_OK);
}

void disk_deinit(void)
{
    (void)sqlite3_vfs_unregister(&disk.vfs);
    (void)disk.system->xSetSystemCall(disk.system, "openDirectory", NULL);
    for (size_t i = 0; i < disk.n_ops; i++) {
        free(disk.op[i].bytes);
    }
    for (size_t i = 0; i < disk.n_files; i++) {
        free(disk.file[i].before.at);
    }
    free(disk.op);
    memset(&disk, 0, sizeof disk);
}

size_t disk_now(void)
{
    return disk.n_ops;
}

static void grow(struct bytes *b, size_t n)
{
    b->at = mem_grow(b->at, &b->cap, n, 1);
    if (n > b->n) {
        memset(b->at + b->n, 0, n - b->n);
        b->n = n;
    }
}

static void put(struct bytes *b, const struct op *op, size_t from, size_t to)
{
    grow(b, op->at + to);
    memcpy(b->at + op->at + from, op->bytes + from, to - from);
}

static void apply(struct bytes *b, const struct op *op)
{
    if (op->kind == OP_WRITE) {
        put(b, op, 0, op->len);
    } else {
        grow(b, op->at);
        b->n = op->at;
    }
}

static void tear(struct bytes *b, const struct op *op, struct dice *dice)
{
    size_t from = 0;

    while (from < op->len) {
        size_t to = from + SECTOR - (op->at + from) % SECTOR;

        to = to < op->len ? to : op->len;
        if (dice_even(dice) < 0.5) {
            put(b, op, from, to);
        }
        from = to;
    }
}

/* Is an operation that nobody waited for there after the cut? It is the one `after`
 * so many others. */
static bool survives(enum disk_damage how, size_t after, size_t stop, struct dice *dice)
{
    switch (how) {
    case DISK_FORGETS:
        return false;
    case DISK_STOPS:
        return after < stop;
    case DISK_PICKS:
    case DISK_TEARS:
        return dice_even(dice) < 0.5;
    default:
        return true;
    }
}

/* The operations of one kind of thing, and how many of the first n are sure. */
struct history {
    const struct op **op;
    size_t n, n_sure;
};

static struct history history_of(size_t n, bool (*concerns)(const struct op *op, size_t file),
                                 enum op_kind sync, size_t file)
{
    struct history h = {.op = mem_array(n + 1, sizeof(const struct op *))};

    for (size_t i = 0; i < n; i++) {
        const struct op *op = &disk.op[i];

        if (op->kind == sync && (sync == OP_NAMES_SYNCED || op->file == file)) {
            h.n_sure = h.n;
        } else if (concerns(op, file)) {
            h.op[h.n++] = op;
        }
    }
    return h;
}

static bool is_content(const struct op *op, size_t file)
{
    return op->file == file && (op->kind == OP_WRITE || op->kind == OP_TRUNCATE);
}

static bool is_name(const struct op *op, size_t file)
{
    (void)file;
    return op->kind == OP_NAME || op->kind == OP_UNNAME;
}

static size_t stop_of(const struct history *h, struct dice *dice)
{
    return (size_t)(dice_even(dice) * (double)(h->n - h->n_sure + 1));
}

static struct bytes content_after(size_t file, size_t n, enum disk_damage how, struct dice *dice)
{
    struct history h = history_of(n, is_content, OP_SYNC, file);
    const struct bytes *before = &disk.file[file].before;
    struct bytes b = {0};
    size_t stop = stop_of(&h, dice);

    grow(&b, before->n);
    if (before->n) {
        memcpy(b.at, before->at, before->n);
    }
    for (size_t i = 0; i < h.n; i++) {
        if (i < h.n_sure) {
            apply(&b, h.op[i]);
        } else if (how == DISK_TEARS && h.op[i]->kind == OP_WRITE) {
            tear(&b, h.op[i], dice);
        } else if (survives(how, i - h.n_sure, stop, dice)) {
            apply(&b, h.op[i]);
        }
    }
    free(h.op);
    return b;
}

static void lay_down(const char *dir, const char *name, const struct bytes *b)
{
    char path[512];
    FILE *f;

    (void)snprintf(path, sizeof path, "%s/%s", dir, name);
    f = fopen(path, "we");
    assert_non_null(f);
    assert_true(b->n == 0 || fwrite(b->at, 1, b->n, f) == b->n);
    assert_int_equal(fclose(f), 0);
}

void disk_cut(size_t n, enum disk_damage how, uint64_t seed, const char *dir)
{
    struct dice dice = dice_of(seed, n, how, 0);
    struct history names = history_of(n, is_name, OP_NAMES_SYNCED, 0);
    bool there[FILES_MAX] = {false};
    size_t stop = stop_of(&names, &dice);

    for (size_t i = 0; i < disk.n_files; i++) {
        there[i] = disk.file[i].was_there;
    }
    for (size_t i = 0; i < names.n; i++) {
        if (i < names.n_sure || survives(how, i - names.n_sure, stop, &dice)) {
            there[names.op[i]->file] = names.op[i]->kind == OP_NAME;
        }
    }
    free(names.op);
    for (size_t i = 0; i < disk.n_files; i++) { /* of two that want a name the younger has it */
        if (there[i]) {
            struct bytes b = content_after(i, n, how, &dice);

            lay_down(dir, disk.file[i].name, &b);
            free(b.at);
        }
    }
}

void disk_fail(enum disk_fault how, size_t nth, bool for_ever)
{
    disk.fault = how;
    disk.failing = true;
    disk.failed = false;
    disk.for_ever = for_ever;
    disk.until_failure = nth;
}

void disk_heal(void)
{
    disk.failing = false;
}

bool disk_has_failed(void)
{
    return disk.failed;
}
