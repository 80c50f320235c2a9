/* a_journal.h - a new journal in a folder of its own, and what looks into the closed file with
 * SQLite's own eyes. */
#ifndef TARN_TESTS_A_JOURNAL_H
#define TARN_TESTS_A_JOURNAL_H

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/chain.h"
#include "daemon/store/journal.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"
#include "tests/unit/same_entry.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/types.h>
#include <unistd.h>

struct fixture {
    struct room room;
    char dir[64];
    char file[96];
    struct journal *j;
    struct err e;
};

/* For cmocka: a new journal, open, in a folder of its own. */
static inline int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    (void)snprintf(f->dir, sizeof f->dir, "/tmp/tarn-test-XXXXXX");
    if (!mkdtemp(f->dir)) {
        return -1;
    }
    (void)snprintf(f->file, sizeof f->file, "%s/tarn.db", f->dir);
    *ctx = f;
    return journal_open(f->dir, &f->j, &f->e);
}

/* Closes the journal where it is open, and removes the folder. */
static inline int tear_down(void **ctx)
{
    struct fixture *f = *ctx;
    char command[128];

    journal_close(f->j);
    room_deinit(&f->room);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", f->dir);
    free(f);
    return system(command); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

/* Closes the journal, so that others may look into its file. */
static inline void close_it(struct fixture *f)
{
    journal_close(f->j);
    f->j = NULL;
}

/* Closes it and opens it again; fails the test where that does. */
static inline void reopen(struct fixture *f)
{
    close_it(f);
    if (journal_open(f->dir, &f->j, &f->e) < 0) {
        fail_msg("%s", f->e.msg);
    }
}

/* Writes n entries in one batch, which numbers them; what journal_write gives. */
static inline int write_entries(struct fixture *f, struct entry *e, size_t n)
{
    struct journal_batch b = {.entry = e, .n_entries = n, .day_started = DAY_NONE};

    return journal_write(f->j, &b, &f->e);
}

#define KEPT_MOST 64

struct kept {
    struct entry entry[KEPT_MOST];
    size_t n, most;
};

/* For journal_fold: copies the entry, and stops it at the last that is wanted, of KEPT_MOST. */
static inline bool keep(void *ctx, const struct entry *e)
{
    struct kept *k = ctx;

    k->entry[k->n++] = *e;
    return k->n < k->most;
}

/* The first of what counts; free() it. */
static inline struct kept *fold_most(struct fixture *f, size_t most)
{
    struct kept *k = mem_array(1, sizeof *k);

    k->most = most;
    assert_int_equal(journal_fold(f->j, keep, k, &f->e), 0);
    return k;
}

/* All that counts, up to KEPT_MOST; free() it. */
static inline struct kept *fold(struct fixture *f)
{
    return fold_most(f, KEPT_MOST);
}

/* An entry of a kind with everything in it that an entry can have. */
static inline struct entry a_full_entry(int kind)
{
    struct entry e = told_at((enum entry_kind)kind, "A1", "leaf", at(kind, 9));

    for (unsigned i = 0; i < FIGURE_N; i++) {
        e = with(e, (enum figure)i, 0.1 + i * 1.7);
    }
    for (size_t i = 0; i < ROOM_DOSES_MAX; i++) {
        (void)snprintf(e.amount[i].product, sizeof e.amount[i].product, "part-%zu", i);
        e.amount[i].amount = 48.4 / (double)(i + 1);
    }
    e.n_amounts = ROOM_DOSES_MAX;
    e.told_s = e.happened_s + 7;
    e.until_day = 20550;
    e.cycle = 3;
    e.task = 41;
    e.sensor = kind % 2;
    e.uid = 4294967294U;
    name_it(e.who, sizeof e.who, "ana");
    name_it(e.note, sizeof e.note, "leaves pale, 3 × so groß wie gestern 🌱");
    return e;
}

/* For sqlite3_exec: the last column of a row, in the place of that of the row before. */
static inline int last_column(void *ctx, int n, char **text, char **name)
{
    (void)name;
    (void)snprintf(ctx, 160, "%s", text[n - 1] ? text[n - 1] : "NULL");
    return 0;
}

/* Runs SQL on the closed file and gives the code of SQLite. The last column of the last row, or
 * what SQLite says of a failure, goes to out_said. */
static inline int run_sql(const struct fixture *f, const char *sql, char out_said[160])
{
    sqlite3 *db = NULL;
    char *said = NULL;
    int rc;

    out_said[0] = '\0';
    assert_int_equal(sqlite3_open(f->file, &db), SQLITE_OK);
    rc = sqlite3_exec(db, sql, last_column, out_said, &said);
    if (said) {
        (void)snprintf(out_said, 160, "%s", said);
    }
    sqlite3_free(said);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    return rc;
}

/* Fails unless the SQL runs and the last column of its last row is this text. */
static inline void assert_sql_says(const struct fixture *f, const char *sql, const char *want)
{
    char said[160];

    assert_int_equal(run_sql(f, sql, said), SQLITE_OK);
    assert_string_equal(said, want);
}

/* Gives the closed journal seals for what is in it now, as if it had been told so; what chain_make
 * gives. */
static inline int seal_anew(struct fixture *f)
{
    sqlite3 *db = NULL;
    char head[sizeof f->file + 8];
    int rc;

    (void)snprintf(head, sizeof head, "%s-head", f->file);
    assert_int_equal(unlink(head), 0);
    assert_int_equal(sqlite3_open(f->file, &db), SQLITE_OK);
    rc = chain_make(db, 6, &f->e);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    return rc;
}

/* The system's writes under SQLite fail with this errno; 0 = they go through. */
static int disk_says;

/* In the place of pwrite under SQLite: fails with disk_says while that is not 0. */
static inline ssize_t failing_pwrite(int fd, const void *bytes, size_t n, off64_t at)
{
    if (disk_says) {
        errno = disk_says;
        return -1;
    }
    return pwrite64(fd, bytes, n, at);
}

/* From here on all writes of SQLite fail with this errno; 0 = they go through. Of the whole
 * program: a test that breaks them mends them. */
static inline void break_writes(int error)
{
    sqlite3_vfs *vfs = sqlite3_vfs_find(NULL);

    disk_says = error;
    assert_int_equal(
        vfs->xSetSystemCall(vfs, "pwrite", (sqlite3_syscall_ptr)(void *)failing_pwrite), SQLITE_OK);
    assert_int_equal(
        vfs->xSetSystemCall(vfs, "pwrite64", (sqlite3_syscall_ptr)(void *)failing_pwrite),
        SQLITE_OK);
}

#endif
