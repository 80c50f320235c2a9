#include "daemon/store/snapshot.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/program_id.h"
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
#define TAIL     ".state"
#define FILE_MAX (1LL << 30) /* far above the largest room's; what is longer is none of ours */

/* What stands before the bytes, as it lies in memory: a program of other sizes or another order of
 * bytes is another maker. */
struct file_head {
    char mark[8];
    unsigned char id[STANDING_ID_LEN]; /* the journal's */
    struct seal program;
    uint64_t room;
    struct snapshot_at at;
    struct seal last; /* of entry at.entries */
    uint64_t len;     /* of the bytes behind it */
    struct seal own;  /* of all of that, and of the bytes */
};
static_assert(sizeof(struct file_head) == 8 + STANDING_ID_LEN + 3 * SEAL_LEN + 6 * 8,
              "there are gaps in it");

static const char mark[8] = "tarnfold";

struct snapshot_maker snapshot_maker_of(uint64_t room)
{
    return (struct snapshot_maker){.program = program_id(), .room = room};
}

static bool is_somebody(const struct snapshot_maker *maker)
{
    static const struct seal nobody;

    return memcmp(&maker->program, &nobody, sizeof nobody) != 0;
}

static bool is_before(const struct snapshot_at *a, const struct snapshot_at *b)
{
    return a->happened_s < b->happened_s || (a->happened_s == b->happened_s && a->seq < b->seq);
}

/* ---- the files */

struct file {
    char name[64];
    struct file_head head;
    bool gone;
};

struct files {
    int dir; /* -1 = there is none */
    struct file *file;
    size_t n, cap;
};

static void files_deinit(struct files *all)
{
    free(all->file);
    if (all->dir >= 0) {
        (void)close(all->dir);
    }
}

static void let_go(struct files *all, struct file *f)
{
    (void)unlinkat(all->dir, f->name, 0);
    f->gone = true;
}

/* The head of a file. False: it is no snapshot, or cut off. */
static bool read_head(int dir, const char *name, struct file_head *out)
{
    int fd = openat(dir, name, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    struct stat st;
    bool ok = fd >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) &&
              read(fd, out, sizeof *out) == (ssize_t)sizeof *out &&
              memcmp(out->mark, mark, sizeof mark) == 0 && out->len < FILE_MAX &&
              st.st_size == (off_t)(sizeof *out + out->len);

    if (fd >= 0) {
        (void)close(fd);
    }
    return ok;
}

static bool is_ours(const struct file_head *h, const struct journal *j,
                    const struct snapshot_maker *maker)
{
    return memcmp(h->id, j->standing.id, sizeof h->id) == 0 &&
           memcmp(&h->program, &maker->program, sizeof h->program) == 0 && h->room == maker->room;
}

static int latest_first(const void *pa, const void *pb)
{
    const struct file *a = pa;
    const struct file *b = pb;

    return is_before(&b->head.at, &a->head.at) ? -1 : is_before(&a->head.at, &b->head.at);
}

static void folder_of(const struct journal *j, char out[PATH_LEN])
{
    const char *slash = strrchr(j->path, '/');

    (void)snprintf(out, PATH_LEN, "%.*s/" SNAPSHOT_FOLDER, (int)(slash - j->path), j->path);
}

/* Those of the maker, the latest first. Where `clean`, what is of no use to it goes. */
static struct files look(const struct journal *j, const struct snapshot_maker *maker, bool clean)
{
    char folder[PATH_LEN];
    struct files all = {.dir = -1};
    const struct dirent *entry;
    DIR *d;

    folder_of(j, folder);
    d = opendir(folder);
    if (!d) {
        return all;
    }
    all.dir = fcntl(dirfd(d), F_DUPFD_CLOEXEC, 0);
    while (all.dir >= 0 && (entry = readdir(d)) != NULL) {
        size_t n = strlen(entry->d_name);
        struct file *f;

        if (n < sizeof TAIL || n >= sizeof f->name ||
            strcmp(entry->d_name + n - strlen(TAIL), TAIL) != 0) {
            continue;
        }
        all.file = mem_grow(all.file, &all.cap, all.n + 1, sizeof *all.file);
        f = &all.file[all.n];
        *f = (struct file){0};
        (void)snprintf(f->name, sizeof f->name, "%s", entry->d_name);
        if (read_head(all.dir, f->name, &f->head) && is_ours(&f->head, j, maker)) {
            all.n++;
        } else if (clean) {
            let_go(&all, f);
        }
    }
    (void)closedir(d);
    if (all.n) {
        qsort(all.file, all.n, sizeof *all.file, latest_first);
    }
    return all;
}

/* ---- does it hold? */

/* Rows behind a number are few where a snapshot is young; the '+' and the CROSS keep SQLite from
 * going through all others by their time instead. */
static const char told_before[] =
    "SELECT EXISTS (SELECT 1 FROM entry WHERE seq > ?1 AND voids IS NULL AND +happened_s < ?2)"
    " OR EXISTS (SELECT 1 FROM entry AS v CROSS JOIN entry AS t ON t.seq = v.voids"
    " WHERE v.seq > ?1 AND (t.happened_s, t.seq) <= (?2, ?3))";

bool snapshot_holds(struct journal *j, const struct snapshot_at *at, int64_t *out_entries)
{
    sqlite3_stmt *stmt = NULL;
    bool holds = false;

    if (sql_prepare(j->db, told_before, &stmt, NULL) == 0 &&
        sqlite3_bind_int64(stmt, 1, at->entries) == SQLITE_OK &&
        sqlite3_bind_int64(stmt, 2, at->happened_s) == SQLITE_OK &&
        sqlite3_bind_int64(stmt, 3, at->seq) == SQLITE_OK && sql_step(stmt, NULL) == 1) {
        holds = sqlite3_column_int(stmt, 0) == 0;
        *out_entries = j->standing.entries;
    }
    (void)sqlite3_finalize(stmt);
    return holds;
}

static bool is_of_this_journal(struct journal *j, const struct file_head *h)
{
    struct seal at;
    int64_t entries;

    return h->at.entries <= j->standing.entries &&
           chain_seal_at(j->db, h->at.entries, &at, NULL) == 0 &&
           memcmp(&at, &h->last, sizeof at) == 0 && snapshot_holds(j, &h->at, &entries);
}

static struct seal seal_of_file(const struct file_head *head, const void *bytes)
{
    struct file_head h = *head;
    struct text all = {0};
    struct seal s;

    h.own = (struct seal){{0}};
    text_add_bytes(&all, &h, sizeof h);
    text_add_bytes(&all, bytes, (size_t)h.len);
    s = seal_of(all.s, all.len);
    text_deinit(&all);
    return s;
}

/* The bytes, malloc'd; NULL where they are not what was written. */
static void *read_bytes(const struct files *all, const struct file *f)
{
    int fd = openat(all->dir, f->name, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    size_t len = (size_t)f->head.len;
    unsigned char *bytes = mem_array(len, 1);
    struct seal own;
    size_t got = 0;
    ssize_t n = 1;

    while (fd >= 0 && got < len && n > 0) {
        n = pread(fd, bytes + got, len - got, (off_t)(sizeof f->head + got));
        got += n > 0 ? (size_t)n : 0;
    }
    if (fd >= 0) {
        (void)close(fd);
    }
    own = seal_of_file(&f->head, bytes);
    if (got == len && memcmp(&own, &f->head.own, sizeof own) == 0) {
        return bytes;
    }
    free(bytes);
    return NULL;
}

bool snapshot_find(struct journal *j, const struct snapshot_maker *maker,
                   const struct snapshot_at *before, struct snapshot_at *out, void **out_bytes,
                   size_t *out_len)
{
    struct files all = {.dir = -1};
    void *bytes = NULL;

    if (is_somebody(maker)) {
        all = look(j, maker, false);
    }
    for (size_t i = 0; i < all.n && !bytes; i++) {
        struct file *f = &all.file[i];

        if (before && !is_before(&f->head.at, before)) {
            continue;
        }
        bytes = is_of_this_journal(j, &f->head) ? read_bytes(&all, f) : NULL;
        if (bytes) {
            *out = f->head.at;
            *out_bytes = bytes;
            *out_len = (size_t)f->head.len;
        } else {
            let_go(&all, f);
        }
    }
    files_deinit(&all);
    return bytes != NULL;
}

/* ---- keeping */

/* From the latest back: one between two others goes where the older of them is not much further
 * from the end than the younger. */
static void thin(struct files *all, int64_t apart)
{
    size_t kept = 0;

    for (size_t i = 1; i + 1 < all->n; i++) {
        int64_t end = all->file[0].head.at.folded;
        int64_t younger = end - all->file[kept].head.at.folded;
        int64_t older = end - all->file[i + 1].head.at.folded;

        if (older <= 2 * younger + apart) {
            let_go(all, &all->file[i]);
        } else {
            kept = i;
        }
    }
}

static int failed(const char *what, const char *path, struct err *e)
{
    int code = errno == ENOSPC || errno == EDQUOT ? ERR_FULL : ERR_STORE;

    return err_set(e, code, "cannot %s %.200s: %s", what, path, strerror(errno));
}

static int write_all(int fd, const void *bytes, size_t len)
{
    const unsigned char *at = bytes;

    while (len) {
        ssize_t n = write(fd, at, len);

        if (n < 0 && errno != EINTR) {
            return -1;
        }
        at += n > 0 ? n : 0;
        len -= n > 0 ? (size_t)n : 0;
    }
    return 0;
}

static int write_file(const char *folder, const struct file_head *h, const void *bytes,
                      struct err *e)
{
    char part[PATH_LEN + 80];
    char path[PATH_LEN + 80];
    int fd;
    int rc = 0;

    (void)snprintf(part, sizeof part, "%s/part", folder);
    (void)snprintf(path, sizeof path, "%s/%lld-%lld" TAIL, folder, (long long)h->at.folded,
                   (long long)h->at.seq);
    fd = open(part, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd < 0) {
        return failed("make", part, e);
    }
    if (write_all(fd, h, sizeof *h) < 0 || write_all(fd, bytes, (size_t)h->len) < 0) {
        rc = failed("write", part, e);
    }
    (void)close(fd);
    if (rc == 0 && rename(part, path) < 0) {
        rc = failed("name", path, e);
    }
    if (rc < 0) {
        (void)unlink(part);
    }
    return rc;
}

int snapshot_keep(struct journal *j, const struct snapshot_maker *maker,
                  const struct snapshot_at *at, const void *bytes, size_t len, int64_t apart,
                  struct err *e)
{
    struct file_head h = {.program = maker->program, .room = maker->room, .at = *at, .len = len};
    char folder[PATH_LEN];
    struct files all;
    int rc = chain_seal_at(j->db, at->entries, &h.last, e);

    if (rc < 0 || !is_somebody(maker)) {
        return rc;
    }
    memcpy(h.mark, mark, sizeof mark);
    memcpy(h.id, j->standing.id, sizeof h.id);
    h.own = seal_of_file(&h, bytes);
    folder_of(j, folder);
    if (mkdir(folder, 0700) < 0 && errno != EEXIST) {
        return failed("make", folder, e);
    }
    rc = write_file(folder, &h, bytes, e);
    if (rc == 0) {
        all = look(j, maker, true);
        thin(&all, apart);
        files_deinit(&all);
    }
    return rc;
}
