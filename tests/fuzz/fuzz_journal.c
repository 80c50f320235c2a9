/* Any bytes as the journal's file: it is refused with a reason, or it opens, and then it is folded,
 * listed and written to. */
#include "tests/fuzz/fuzz_target.h"

#include "daemon/base/err.h"
#include "daemon/core/state/fold.h"
#include "daemon/store/journal.h"
#include "tests/unit/a_room.h"

#include <unistd.h>

struct folder {
    char dir[64];
    struct room room;
};

/* In memory where the system has a place for that. */
static void make(struct folder *f)
{
    (void)snprintf(f->dir, sizeof f->dir, "%s/tarn-fuzz-XXXXXX",
                   access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    FUZZ_HOLDS(mkdtemp(f->dir) != NULL);
    f->room = a_room();
}

static void clear(const struct folder *f)
{
    static const char *const tails[] = {"tarn.db", "tarn.db-wal", "tarn.db-head", "tarn.db-journal",
                                        "lock"};
    char path[128];

    for (size_t i = 0; i < sizeof tails / sizeof *tails; i++) {
        (void)snprintf(path, sizeof path, "%s/%s", f->dir, tails[i]);
        (void)unlink(path);
    }
    (void)rmdir(f->dir);
}

struct folding {
    struct folder *f;
    struct state s;
};

static bool fold_it(void *ctx, const struct entry *e)
{
    struct folding *g = ctx;

    fold_entry(&g->s, &g->f->room, e);
    return true;
}

static void use(struct folder *f, struct journal *j)
{
    struct entry e = entry_of(ENTRY_NOTE, "room", 5, 5);
    struct journal_batch b = {.entry = &e, .n_entries = 1, .day_started = DAY_NONE};
    struct journal_query q = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 100};
    struct folding g = {.f = f};
    struct journal_row *row = NULL;
    struct agenda a = {0};
    struct err err;
    size_t n = 0;

    state_init(&g.s, &f->room);
    (void)journal_fold(j, fold_it, &g, &err);
    state_deinit(&g.s);
    if (journal_list(j, &q, &row, &n, &err) == 0) {
        free(row);
    }
    if (journal_load_agenda(j, &f->room, &a, &err) == 0) {
        agenda_deinit(&a);
    }
    (void)journal_write(j, &b, &err);
    (void)journal_checkpoint(j, &err);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct folder f;
    struct journal *j = NULL;
    struct err e = {0};
    char path[128];
    FILE *file;

    make(&f);
    (void)snprintf(path, sizeof path, "%s/tarn.db", f.dir);
    file = fopen(path, "we");
    FUZZ_HOLDS(file && fwrite(data, 1, size, file) == size);
    FUZZ_HOLDS(fclose(file) == 0);
    if (journal_open(f.dir, &j, &e) < 0) {
        FUZZ_HOLDS(*e.msg);
    } else {
        use(&f, j);
        journal_close(j);
    }
    clear(&f);
    room_deinit(&f.room);
    return 0;
}
