/* However the journal was told, and wherever a fold began: the state is that of all entries folded
 * from the first on, to the last bit. And a snapshot that does not fit is not used. */
#include "daemon/base/text.h"
#include "daemon/core/state/fold.h"
#include "daemon/serve/live/refold.h"
#include "tests/sim/dice.h"
#include "tests/unit/a_journal.h"

#include <dirent.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>

enum { APART = 16, MOST = 24 };

static size_t below(struct dice *d, size_t n)
{
    return (size_t)(dice_even(d) * (double)n);
}

static const char *pick(struct dice *d, const char *const *of, size_t n)
{
    return of[below(d, n)];
}
#define PICK(d, ...)                                                                               \
    pick(d, (const char *const[]){__VA_ARGS__},                                                    \
         sizeof(const char *const[]){__VA_ARGS__} / sizeof(const char *))

/* An entry of any kind with any figures: the fold takes them all. */
static struct entry drawn(struct dice *d, int64_t at_s)
{
    static const double most[FIGURE_N] = {18, 10, 2.5, 8, 30, 102, 20, 500, 900, 2.5};
    struct entry e = entry_of((enum entry_kind)below(d, ENTRY_VOIDED),
                              PICK(d, "A1", "A2", "A3", "L1", "reservoir", "reservoir", "ph-pen",
                                   "ec-pen", "grow-a", "room", "gone"),
                              at_s, at_s);

    name_it(e.what, sizeof e.what,
            PICK(d, "vine", "leaf", "grow", "fruit", "fruiting", "yes", "no", "change", "final",
                 "pale-growth", "burnt-tips", "wilting", ""));
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (dice_even(d) < 0.4) {
            entry_set(&e, (enum figure)f, most[f] * dice_even(d));
        }
    }
    return e;
}

/* The story of a journal as it is told. */
struct teller {
    struct dice dice;
    int64_t now_s;
    int64_t n;
    bool voided[60 * 3 * MOST + 2];
};

/* One in ten happened some time before, one in twenty takes back what was told before. */
static struct entry next_entry(struct teller *t)
{
    double what = dice_even(&t->dice);
    struct entry e;
    int64_t of;

    t->now_s += (int64_t)below(&t->dice, 4) * 3600;
    of = 1 + (int64_t)below(&t->dice, (size_t)t->n + 1);
    if (what < 0.05 && of <= t->n && !t->voided[of]) {
        e = entry_of(ENTRY_VOIDED, "room", t->now_s, t->now_s);
        e.voids = of;
        t->voided[of] = true;
        t->voided[t->n + 1] = true; /* a void is not voided */
    } else {
        e = drawn(&t->dice, t->now_s);
        e.happened_s -= what < 0.15 ? (int64_t)below(&t->dice, 90) * 1800 : 0;
    }
    t->n++;
    return e;
}

static void tell_some(struct fixture *f, struct teller *t)
{
    struct entry e[MOST];
    size_t n = 1 + below(&t->dice, MOST - 1);

    for (size_t i = 0; i < n; i++) {
        e[i] = next_entry(t);
    }
    if (write_entries(f, e, n) < 0) {
        fail_msg("%s", f->e.msg);
    }
}

struct all {
    struct fixture *f;
    struct state s;
};

static bool fold_it(void *ctx, const struct entry *e)
{
    struct all *a = ctx;

    fold_entry(&a->s, &a->f->room, e);
    return true;
}

/* Fails unless it is the state that all entries give. */
static void assert_whole(struct fixture *f, const struct state *got)
{
    struct all a = {.f = f};
    struct text why = {0};

    state_init(&a.s, &f->room);
    assert_int_equal(journal_fold(f->j, fold_it, &a, &f->e), 0);
    if (!state_equal(got, &a.s, &why)) {
        fail_msg("%s", text_str(&why));
    }
    state_deinit(&a.s);
}

/* Folds in parts of `part` entries, with `between` called between two; gives how many entries the
 * snapshot had that it began with. */
static int64_t refold(struct fixture *f, int64_t part, void (*between)(void *), void *ctx)
{
    struct refold r;
    int64_t begun_at;
    bool done = false;

    refold_begin(&r, f->j, &f->room, NULL);
    r.apart = APART;
    begun_at = r.at.folded;
    while (!done) {
        assert_int_equal(refold_some(&r, part, &done, &f->e), 0);
        if (!done && between) {
            between(ctx);
        }
    }
    assert_int_equal(r.not_kept.code, 0);
    assert_whole(f, &r.state);
    refold_end(&r);
    return begun_at;
}

struct meanwhile {
    struct fixture *f;
    struct teller *t;
    int left; /* so often more */
};

static void told_meanwhile(void *ctx)
{
    struct meanwhile *m = ctx;

    if (m->left > 0 && dice_even(&m->t->dice) < 0.2) {
        m->left--;
        tell_some(m->f, m->t);
    }
}

static void a_fold_from_a_snapshot_is_the_fold_of_all(void **ctx)
{
    struct fixture *f = *ctx;
    struct teller t = {.n = 0};
    struct meanwhile m = {f, &t, 0};
    int64_t n_from_one = 0;

    f->room.made_of = 1;
    for (uint64_t seed = 1; seed <= 4; seed++) {
        t.dice = dice_of(seed, 0, 0, 0);
        t.now_s = at((int)seed * 100, 8);
        for (int round = 0; round < 15; round++) {
            tell_some(f, &t);
            m.left = 2;
            n_from_one += refold(f, 1 + (int64_t)below(&t.dice, 40), told_meanwhile, &m) > 0;
            if (round % 5 == 4) {
                reopen(f);
            }
        }
    }
    assert_true(n_from_one > 35); /* of 60: else it was not looked at what is held here */
}

/* So many entries, in time. */
static void a_journal(struct fixture *f, int64_t n)
{
    for (int64_t i = 0; i < n; i++) {
        struct entry e =
            with(told_at(ENTRY_READING, "A1", "", at(0, 9) + i * 60), FIGURE_EC_MS_CM, 0.7);

        assert_int_equal(write_entries(f, &e, 1), 0);
    }
    f->room.made_of = 1;
    assert_int_equal(refold(f, 1000, NULL, NULL), 0);
    assert_int_equal(refold(f, 1000, NULL, NULL), n);
}

/* The void's own place is behind it: what counts is the place of what it voids. */
static void a_snapshot_whose_last_entry_is_voided_is_not_used(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = entry_of(ENTRY_VOIDED, "room", at(9, 9), at(9, 9));

    a_journal(f, 24);
    e.voids = 24;
    assert_int_equal(write_entries(f, &e, 1), 0);
    assert_int_equal(refold(f, 1000, NULL, NULL), 0);
}

static void another_room_or_program_begins_anew(void **ctx)
{
    struct fixture *f = *ctx;
    struct snapshot_maker maker = snapshot_maker_of(1);
    struct snapshot_at at_end;
    void *bytes = NULL;
    size_t len;

    a_journal(f, 40);
    f->room.made_of = 2;
    assert_int_equal(refold(f, 1000, NULL, NULL), 0);
    assert_int_equal(refold(f, 1000, NULL, NULL), 40); /* made anew, and the other's is gone */
    assert_false(snapshot_find(f->j, &maker, NULL, &at_end, &bytes, &len));
    maker.room = 2;
    maker.program.byte[31] ^= 1;
    assert_false(snapshot_find(f->j, &maker, NULL, &at_end, &bytes, &len));
    maker.program.byte[31] ^= 1;
    assert_true(snapshot_find(f->j, &maker, NULL, &at_end, &bytes, &len));
    free(bytes);
}

/* Two snapshots of the program that runs: its id is there, and always the same. */
static void a_program_knows_itself(void **ctx)
{
    struct snapshot_maker a = snapshot_maker_of(7);
    struct snapshot_maker b = snapshot_maker_of(7);
    struct seal nobody = {{0}};

    (void)ctx;
    assert_memory_equal(&a.program, &b.program, sizeof a.program);
    assert_memory_not_equal(&a.program, &nobody, sizeof nobody);
}

static void change_a_byte(int dir, const char *name, off_t where)
{
    int fd = openat(dir, name, O_RDWR);
    unsigned char byte;

    assert_int_equal(pread(fd, &byte, 1, where), 1);
    byte ^= 16;
    assert_int_equal(pwrite(fd, &byte, 1, where), 1);
    assert_int_equal(close(fd), 0);
}

static void cut_a_byte(int dir, const char *name, off_t size)
{
    int fd = openat(dir, name, O_WRONLY);

    assert_int_equal(ftruncate(fd, size - 1), 0);
    assert_int_equal(close(fd), 0);
}

static const char *folder(const struct fixture *f, char out[128])
{
    (void)snprintf(out, 128, "%s/" SNAPSHOT_FOLDER, f->dir);
    return out;
}

/* How many there are, and the name of one. */
static int n_snapshots(const struct fixture *f, char name[64])
{
    char path[128];
    DIR *d = opendir(folder(f, path));
    const struct dirent *entry;
    int n = 0;

    assert_non_null(d);
    while ((entry = readdir(d)) != NULL) {
        if (entry->d_name[0] != '.') {
            name_it(name, 64, entry->d_name);
            n++;
        }
    }
    assert_int_equal(closedir(d), 0);
    return n;
}

/* The only snapshot there is; its size. */
static off_t only_snapshot(struct fixture *f, char name[64], int dir)
{
    struct stat st;

    assert_int_equal(n_snapshots(f, name), 1);
    assert_int_equal(fstatat(dir, name, &st, 0), 0);
    return st.st_size;
}

static void a_snapshot_that_rots_or_is_cut_is_not_used(void **ctx)
{
    struct fixture *f = *ctx;
    char path[128];
    char name[64];
    off_t size;
    int dir;

    a_journal(f, 24);
    dir = open(folder(f, path), O_RDONLY | O_DIRECTORY);
    size = only_snapshot(f, name, dir);
    for (off_t where = 0; where < size; where += 1 + size / 40) {
        change_a_byte(dir, name, where);
        assert_int_equal(refold(f, 1000, NULL, NULL), 0);
        (void)only_snapshot(f, name, dir); /* made anew */
    }
    assert_int_equal(refold(f, 1000, NULL, NULL), 24);
    cut_a_byte(dir, name, size);
    assert_int_equal(refold(f, 1000, NULL, NULL), 0);
    assert_int_equal(close(dir), 0);
}

/* Its own number says nothing of an entry: another journal has the same ones. */
static void a_snapshot_of_another_journal_is_not_used(void **ctx)
{
    struct fixture *f = *ctx;
    char command[256];

    a_journal(f, 24);
    close_it(f);
    (void)snprintf(command, sizeof command, "rm '%s'*", f->file);
    assert_int_equal(system(command), 0); /* NOLINT(cert-env33-c): a folder of ours */
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 0);
    assert_int_equal(refold(f, 1000, NULL, NULL), 0);
}

static void long_journals_have_few_snapshots_and_a_late_entry_finds_one_near(void **ctx)
{
    struct fixture *f = *ctx;
    struct snapshot_maker maker = snapshot_maker_of(1);
    struct snapshot_at found;
    void *bytes = NULL;
    char name[64];
    size_t len;

    f->room.made_of = 1;
    for (int64_t n = 0; n < 2000; n += 20) {
        struct entry e[20];

        for (int i = 0; i < 20; i++) {
            e[i] = with(told_at(ENTRY_READING, "A1", "", at(0, 9) + (n + i) * 60), FIGURE_EC_MS_CM,
                        0.7);
        }
        assert_int_equal(write_entries(f, e, 20), 0);
        assert_int_equal(refold(f, 1000, NULL, NULL), n);
    }
    for (int64_t late = 20; late < 1900; late += 20) {
        struct snapshot_at before = {.happened_s = at(0, 9) + (2000 - late) * 60};

        assert_true(snapshot_find(f->j, &maker, &before, &found, &bytes, &len));
        assert_true(2000 - found.folded >= late);
        assert_true(2000 - found.folded <= 2 * late + 2 * APART + 40);
        free(bytes);
    }
    assert_in_range(n_snapshots(f, name), 5, 14); /* of the 100 that were made */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_fold_from_a_snapshot_is_the_fold_of_all),
        TEST(a_snapshot_whose_last_entry_is_voided_is_not_used),
        TEST(another_room_or_program_begins_anew),
        TEST(a_program_knows_itself),
        TEST(a_snapshot_that_rots_or_is_cut_is_not_used),
        TEST(a_snapshot_of_another_journal_is_not_used),
        TEST(long_journals_have_few_snapshots_and_a_late_entry_finds_one_near),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
