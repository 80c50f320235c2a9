/* The power is cut after every single operation of the disk under the journal, and what a device
 * that honours flush may have kept is opened again: no acknowledged entry is lost.
 *     fault_power_cut [ROUNDS]     more of the chance: 1 where nothing else is said */
#include "daemon/base/err.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/store/journal.h"
#include "daemon/store/journal_open.h"
#include "tests/cmocka_all.h"
#include "tests/fault/disk.h"
#include "tests/fault/folder.h"
#include "tests/fault/story.h"

#include <sqlite3.h>
#include <stdio.h>

#define TOLD_MOST 64

static int64_t rounds = 1;

/* After so many operations of the disk so many transactions were acknowledged. */
struct acks {
    size_t after[TOLD_MOST];
    size_t n;
};

static size_t acked_by(const struct acks *a, size_t op)
{
    size_t n = 0;

    while (n < a->n && a->after[n] <= op) {
        n++;
    }
    return n;
}

static void ack(struct acks *a)
{
    assert_true(a->n < TOLD_MOST);
    a->after[a->n++] = disk_now();
}

struct fixture {
    char dir[FOLDER_MOST], after[FOLDER_MOST];
    struct acks acks;
};

static int set_up(void **ctx)
{
    static struct fixture f;

    f = (struct fixture){0};
    folder_make(f.dir);
    folder_make(f.after);
    disk_init();
    *ctx = &f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    disk_deinit();
    folder_remove(f->dir);
    folder_remove(f->after);
    return 0;
}

static struct journal *open_it(const char *dir, const char *vfs)
{
    struct journal *j = NULL;
    struct err e = {0};

    if (journal_open_with(dir, vfs, &j, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    return j;
}

static void tell(struct fixture *f, struct journal *j, size_t n)
{
    struct err e = {0};

    for (size_t i = 0; i < n; i++) {
        struct journal_batch nothing = {.day_started = DAY_NONE};

        assert_int_equal(story_tell(j, f->acks.n, &e), 0);
        ack(&f->acks);
        for (size_t k = 0; k < i % 4; k++) { /* as plans come, which tell nothing */
            assert_int_equal(journal_write(j, &nothing, &e), 0);
        }
    }
}

/* What a daemon does with its journal: it tells, rests, ends and starts again. */
static void live(struct fixture *f)
{
    struct journal *j = open_it(f->dir, DISK_VFS);
    struct err e = {0};

    tell(f, j, 12);
    assert_int_equal(journal_checkpoint(j, &e), 0);
    tell(f, j, 12);
    journal_close(j);
    j = open_it(f->dir, DISK_VFS);
    tell(f, j, 6);
    assert_int_equal(journal_checkpoint(j, &e), 0);
    tell(f, j, 2);
    journal_close(j);
}

static void assert_survives(struct fixture *f, size_t op, enum disk_damage how, uint64_t seed)
{
    struct journal *j;
    struct err e = {0};
    size_t n;

    disk_cut(op, how, seed, f->after);
    j = open_it(f->after, NULL);
    n = story_assert_kept(j, acked_by(&f->acks, op));
    assert_int_equal(story_tell(j, n, &e), 0); /* and life goes on */
    journal_close(j);
    folder_empty(f->after);
}

static void no_acknowledged_entry_is_lost(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *first = NULL;
    struct err e = {0};
    size_t cuts = 0;
    size_t end;

    assert_int_equal(journal_open(f->dir, &first, &e), 0);
    journal_close(first);
    live(f);
    end = disk_now();
    for (size_t op = 1; op <= end; op++) {
        for (int how = 0; how < DISK_DAMAGES; how++) {
            for (int64_t seed = 0; seed < rounds; seed++) {
                assert_survives(f, op, (enum disk_damage)how, (uint64_t)seed);
                cuts++;
            }
        }
    }
    assert_true(f->acks.n == 32 && end > 4 * f->acks.n);
    print_message("%zu cuts of the power after %zu operations\n", cuts, end);
}

static void run(sqlite3 *db, const char *sql)
{
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
}

/* A database that syncs less than the journal does. */
static sqlite3 *careless(const char *dir, const char *vfs)
{
    sqlite3 *db = NULL;
    char path[FOLDER_MOST + 16];

    (void)snprintf(path, sizeof path, "%s/careless.db", dir);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, vfs),
                     SQLITE_OK);
    run(db, "PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL");
    return db;
}

static size_t rows_in(sqlite3 *db)
{
    sqlite3_stmt *stmt = NULL;
    size_t n;

    assert_int_equal(sqlite3_prepare_v2(db, "SELECT count(*) FROM told", -1, &stmt, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    n = (size_t)sqlite3_column_int64(stmt, 0);
    (void)sqlite3_finalize(stmt);
    return n;
}

/* Could these cuts find a loss at all? */
static void a_careless_database_does_lose_some(void **ctx)
{
    struct fixture *f = *ctx;
    sqlite3 *db = careless(f->dir, NULL);
    size_t losses = 0;
    size_t from;

    run(db, "CREATE TABLE told (it)");
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    db = careless(f->dir, DISK_VFS);
    from = disk_now();
    for (int i = 0; i < 30; i++) {
        run(db, "INSERT INTO told VALUES ('something')");
        ack(&f->acks);
    }
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    for (size_t op = from; op <= f->acks.after[29]; op++) {
        disk_cut(op, DISK_FORGETS, 0, f->after);
        db = careless(f->after, NULL);
        losses += rows_in(db) < acked_by(&f->acks, op);
        assert_int_equal(sqlite3_close(db), SQLITE_OK);
        folder_empty(f->after);
    }
    assert_true(losses > (f->acks.after[29] - from) / 2);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(no_acknowledged_entry_is_lost, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_careless_database_does_lose_some, set_up, tear_down),
    };

    if (argc > 1 && num_parse_int(argv[1], 1, 1000, &rounds, NULL) < 0) {
        (void)fputs("fault_power_cut [ROUNDS]\n", stderr);
        return 2;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
