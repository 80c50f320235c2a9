/* The files of the journal rot, are cut, lost, swapped or put back from an older copy: what was
 * told is there as it was told, or the journal is not opened and says so. fault_rot [FLIPS]
 * of each file; 600 where nothing else is said */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal.h"
#include "tests/cmocka_all.h"
#include "tests/fault/folder.h"
#include "tests/fault/story.h"
#include "tests/sim/dice.h"
#include "tests/unit/a_room.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TOLD      12
#define TOLD_MORE 8
#define FILES     3

static int64_t flips = 600;

static const char *const names[FILES] = {"tarn.db", "tarn.db-wal", "tarn.db-head"};

struct bytes {
    unsigned char *at;
    size_t n;
    bool there;
};

/* What lies in a state folder. */
struct files {
    struct bytes of[FILES];
};

struct fixture {
    struct room room;
    struct files early;   /* closed, after TOLD */
    struct files closed;  /* closed, after TOLD + TOLD_MORE */
    struct files killed;  /* the daemon was killed then: the last are in the log alone */
    struct files another; /* of another room, killed */
    char dir[FOLDER_MOST];
};

static void path_of(const char *dir, int i, char path[FOLDER_MOST + 32])
{
    (void)snprintf(path, FOLDER_MOST + 32, "%s/%s", dir, names[i]);
}

static struct files pick_up(const char *dir)
{
    struct files all = {0};

    for (int i = 0; i < FILES; i++) {
        struct bytes *b = &all.of[i];
        char path[FOLDER_MOST + 32];
        struct stat st;
        int fd;

        path_of(dir, i, path);
        fd = open(path, O_RDONLY | O_CLOEXEC);
        if (fd < 0) {
            continue;
        }
        assert_int_equal(fstat(fd, &st), 0);
        b->there = true;
        b->n = (size_t)st.st_size;
        b->at = mem_array(b->n + 1, 1);
        assert_int_equal(read(fd, b->at, b->n), (ssize_t)b->n);
        (void)close(fd);
    }
    return all;
}

static void lay_down(const struct files *all, const char *dir)
{
    folder_empty(dir);
    for (int i = 0; i < FILES; i++) {
        char path[FOLDER_MOST + 32];
        int fd;

        if (!all->of[i].there) {
            continue;
        }
        path_of(dir, i, path);
        fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
        assert_true(fd >= 0);
        assert_int_equal(write(fd, all->of[i].at, all->of[i].n), (ssize_t)all->of[i].n);
        (void)close(fd);
    }
}

static void drop(struct files *all)
{
    for (int i = 0; i < FILES; i++) {
        free(all->of[i].at);
    }
}

/* Every kth transaction has a task that is open for good, and one that is done with the next. */
static void tell(struct fixture *f, struct journal *j, size_t k)
{
    struct job job = {.kind = TASK_READ, .subject = room_find(&f->room, "A1"), .cycle = (int)k};
    struct task task[2] = {
  /* the jobs are borrowed */
        {.id = (int64_t)(2 * k + 1), .kind = TASK_READ, .due = (int)k, .job = &job, .n_jobs = 1},
        {.id = (int64_t)(2 * k + 2), .kind = TASK_READ, .due = 5,      .job = &job, .n_jobs = 1},
    };
    struct task_end end = {.id = (int64_t)(2 * k), .outcome = OUTCOME_DONE};
    struct journal_batch b = {
        .room = &f->room, .task = task, .n_tasks = 2, .end = &end, .day_started = DAY_NONE};
    struct err e = {0};

    b.n_ends = k > 0;
    assert_int_equal(story_tell(j, k, &e), 0);
    assert_int_equal(journal_write(j, &b, &e), 0);
}

static void tell_all(struct fixture *f, struct journal *j, size_t from, size_t to)
{
    for (size_t k = from; k < to; k++) {
        tell(f, j, k);
    }
}

static int set_up(void **ctx)
{
    static struct fixture f;
    struct journal *j;

    f = (struct fixture){.room = a_room()};
    folder_make(f.dir);
    j = folder_open(f.dir);
    tell_all(&f, j, 0, TOLD);
    journal_close(j);
    f.early = pick_up(f.dir);
    j = folder_open(f.dir);
    tell_all(&f, j, TOLD, TOLD + TOLD_MORE);
    f.killed = pick_up(f.dir);
    journal_close(j);
    f.closed = pick_up(f.dir);
    folder_empty(f.dir);
    j = folder_open(f.dir);
    tell_all(&f, j, 0, 3);
    f.another = pick_up(f.dir);
    journal_close(j);
    *ctx = &f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    drop(&f->early);
    drop(&f->closed);
    drop(&f->killed);
    drop(&f->another);
    room_deinit(&f->room);
    folder_remove(f->dir);
    return 0;
}

/* The open tasks are those that were told: TOLD + TOLD_MORE for good, and the last. */
static void assert_tasks(struct fixture *f, struct journal *j)
{
    struct agenda a;
    struct err e = {0};
    size_t n = TOLD + TOLD_MORE;

    assert_int_equal(journal_load_agenda(j, &f->room, &a, &e), 0);
    assert_int_equal(a.n, n + 1);
    assert_int_equal(a.next_id, 2 * n + 1);
    for (size_t k = 0; k < n; k++) {
        assert_int_equal(a.task[k].id, 2 * k + 1);
        assert_int_equal(a.task[k].kind, TASK_READ);
        assert_int_equal(a.task[k].due, k);
        assert_int_equal(a.task[k].n_jobs, 1);
        assert_int_equal(a.task[k].job[0].cycle, k);
    }
    agenda_deinit(&a);
}

/* Opens what lies in the folder: false when it is refused, with a sentence about it. What is opened
 * has to be all that was told. */
static bool opens(struct fixture *f, struct err *e)
{
    struct journal *j = NULL;

    *e = (struct err){0};
    if (journal_open(f->dir, &j, e) < 0) {
        assert_true(strlen(e->msg) > 20);
        return false;
    }
    assert_int_equal(story_assert_kept(j, TOLD + TOLD_MORE), TOLD + TOLD_MORE);
    for (size_t k = 0; k < TOLD + TOLD_MORE; k++) {
        assert_int_equal(story_has(j, k, e), 1);
    }
    assert_tasks(f, j);
    journal_close(j);
    return true;
}

/* Single bits, one at a time, where there is anything but zeros. */
static void flip_many(struct fixture *f, const struct files *from, int file)
{
    const struct bytes *b = &from->of[file];
    size_t refused = 0;
    struct err e;

    for (int64_t n = 0; n < flips; n++) {
        struct dice dice = dice_of((uint64_t)n, (uint64_t)file, 0, 0);
        unsigned char bit = (unsigned char)(1U << (unsigned)(dice_even(&dice) * 8));
        size_t at;

        do {
            at = (size_t)(dice_even(&dice) * (double)b->n);
        } while (folder_is_empty_at(b->at, b->n, at));
        b->at[at] ^= bit;
        lay_down(from, f->dir);
        refused += !opens(f, &e);
        b->at[at] ^= bit;
    }
    print_message("%s: of %lld flips %zu were refused, the others changed nothing\n", names[file],
                  (long long)flips, refused);
}

static void a_bit_that_flips_is_noticed(void **ctx)
{
    struct fixture *f = *ctx;

    flip_many(f, &f->closed, 0);
}

static void a_bit_that_flips_in_the_log_is_noticed(void **ctx)
{
    struct fixture *f = *ctx;

    flip_many(f, &f->killed, 1);
}

static void a_bit_that_flips_in_the_head_record_is_noticed(void **ctx)
{
    struct fixture *f = *ctx;

    flip_many(f, &f->closed, 2);
}

/* Byte 60 to 63 of an SQLite file is its user_version (SQLite manual, "Database File Format"). */
static void no_version_makes_it_crash(void **ctx)
{
    struct fixture *f = *ctx;
    struct bytes *b = &f->closed.of[0];
    struct err e;

    for (size_t bit = 0; bit < 32; bit++) {
        unsigned char flip = (unsigned char)(1U << bit % 8);

        b->at[60 + bit / 8] ^= flip;
        lay_down(&f->closed, f->dir);
        assert_false(opens(f, &e));
        b->at[60 + bit / 8] ^= flip;
    }
}

/* A swap is some of one state's files beside some of another's: left as it lies, and told. */
static void assert_told(struct fixture *f, const struct files *all, const char *words)
{
    struct files after;
    struct err e;

    lay_down(all, f->dir);
    assert_false(opens(f, &e));
    if (!strstr(e.msg, words)) {
        fail_msg("wanted '%s', got '%s'", words, e.msg);
    }
    after = pick_up(f->dir);
    for (int i = 0; i < FILES; i++) {
        assert_int_equal(after.of[i].n, all->of[i].n); /* SQLite leaves an empty log */
        if (after.of[i].n) {
            assert_memory_equal(after.of[i].at, all->of[i].at, after.of[i].n);
        }
    }
    drop(&after);
}

static void what_was_left_is_opened(void **ctx)
{
    struct fixture *f = *ctx;
    struct err e;

    lay_down(&f->closed, f->dir);
    assert_true(opens(f, &e));
    lay_down(&f->killed, f->dir);
    assert_true(opens(f, &e));
}

static void the_log_of_another_room_is_not_taken(void **ctx)
{
    struct fixture *f = *ctx;
    struct files beside = f->closed;
    struct files instead = f->killed;

    beside.of[1] = f->another.of[1];
    instead.of[1] = f->another.of[1];
    assert_told(f, &beside, "is that of another room, or from before a recovery: put back");
    assert_told(f, &instead, "is that of another room, or from before a recovery: put back");
}

static void the_journal_of_another_room_is_not_taken(void **ctx)
{
    struct fixture *f = *ctx;
    struct files swapped = f->another;

    swapped.of[2] = f->closed.of[2];
    assert_told(f, &swapped, "is that of another room");
}

static void an_older_copy_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct files older = f->closed;

    older.of[0] = f->early.of[0];
    assert_told(f, &older, " entries that were told are not there: the journal ends at entry ");
}

static void a_log_that_was_lost_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct files lost = f->killed;

    lost.of[1] = (struct bytes){0};
    assert_told(f, &lost, "or its log (-wal) was lost, cut or damaged");
    lost.of[1].there = true; /* of no length */
    assert_told(f, &lost, "or its log (-wal) was lost, cut or damaged");
}

static void a_log_that_was_cut_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct bytes *log = &f->killed.of[1];
    size_t whole = log->n;
    size_t refused = 0;
    size_t cuts = 0;
    struct err e;

    for (log->n = 100; log->n < whole; log->n += whole / 64) {
        lay_down(&f->killed, f->dir);
        refused += !opens(f, &e);
        cuts++;
    }
    log->n = whole;
    assert_int_equal(refused, cuts);
}

static void a_file_that_was_cut_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct bytes *b = &f->closed.of[0];
    size_t whole = b->n;
    struct err e;

    for (b->n = 0; b->n < whole; b->n += whole / 64) {
        lay_down(&f->closed, f->dir);
        assert_false(opens(f, &e));
    }
    b->n = whole;
}

static void where_a_journal_was_none_is_begun(void **ctx)
{
    struct fixture *f = *ctx;
    struct files gone = f->closed;
    struct files headless = f->closed;

    gone.of[0] = (struct bytes){0};
    headless.of[2] = (struct bytes){0};
    assert_told(f, &gone, "its head record is there, and the journal itself is gone");
    assert_told(f, &headless, "its head record (-head) is gone");
}

static void a_file_that_is_taken_away_is_noticed_before_anything_is_acknowledged(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j;
    struct err e = {0};
    char path[FOLDER_MOST + 32];
    char away[FOLDER_MOST + 64];

    lay_down(&f->closed, f->dir);
    j = folder_open(f->dir);
    path_of(f->dir, 0, path);
    (void)snprintf(away, sizeof away, "%s-away", path);
    assert_int_equal(rename(path, away), 0);
    assert_int_equal(story_tell(j, TOLD + TOLD_MORE, &e), ERR_STORE);
    assert_non_null(strstr(e.msg, "was moved, removed or replaced while tarnd runs; put it back"));
    assert_int_equal(story_tell(j, TOLD + TOLD_MORE, &e), ERR_STORE); /* and nothing after it */
    journal_close(j);
}

static void a_simulation_and_a_real_room_are_kept_apart(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j;
    struct err e = {0};

    lay_down(&f->closed, f->dir);
    j = folder_open(f->dir);
    assert_int_equal(journal_claim(j, "cellar", true, &e), 0);
    assert_int_equal(journal_claim(j, "cellar", false, &e), ERR_REFUSED);
    assert_non_null(strstr(e.msg, "was tried out with --simulate"));
    journal_close(j);
    lay_down(&f->closed, f->dir);
    j = folder_open(f->dir);
    assert_int_equal(journal_claim(j, "cellar", false, &e), 0);
    journal_close(j);
    j = folder_open(f->dir);
    assert_int_equal(journal_claim(j, "cellar", true, &e), ERR_REFUSED);
    assert_non_null(strstr(e.msg, "was kept by the real clock"));
    assert_int_equal(journal_claim(j, "attic", false, &e), 0); /* a room may be renamed */
    journal_close(j);
}

#define TEST(name) cmocka_unit_test(name)

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        TEST(what_was_left_is_opened),
        TEST(a_bit_that_flips_is_noticed),
        TEST(a_bit_that_flips_in_the_log_is_noticed),
        TEST(a_bit_that_flips_in_the_head_record_is_noticed),
        TEST(no_version_makes_it_crash),
        TEST(the_log_of_another_room_is_not_taken),
        TEST(the_journal_of_another_room_is_not_taken),
        TEST(an_older_copy_is_told),
        TEST(a_log_that_was_lost_is_told),
        TEST(a_log_that_was_cut_is_told),
        TEST(a_file_that_was_cut_is_told),
        TEST(where_a_journal_was_none_is_begun),
        TEST(a_file_that_is_taken_away_is_noticed_before_anything_is_acknowledged),
        TEST(a_simulation_and_a_real_room_are_kept_apart),
    };

    if (argc > 1 && num_parse_int(argv[1], 1, 10000000, &flips, NULL) < 0) {
        (void)fputs("fault_rot [FLIPS]\n", stderr);
        return 2;
    }
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
