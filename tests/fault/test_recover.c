/* What can be read of a damaged journal comes back, from it and from its copies, and what cannot is
 * said. */
#include "daemon/base/err.h"
#include "daemon/store/backup.h"
#include "daemon/store/journal.h"
#include "daemon/store/recover.h"
#include "tests/cmocka_all.h"
#include "tests/fault/folder.h"
#include "tests/fault/story.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TOLD 20 /* transactions; entry 16 is in one of the middle */

struct fixture {
    char dir[FOLDER_MOST];
    char file[FOLDER_MOST + 16];
    int64_t last;
};

static void tell(struct fixture *f, size_t from, size_t to)
{
    struct journal *j = folder_open(f->dir);
    struct err e = {0};

    for (size_t k = from; k < to; k++) {
        assert_int_equal(story_tell(j, k, &e), 0);
    }
    f->last = journal_last_seq(j);
    journal_close(j);
}

static int set_up(void **ctx)
{
    static struct fixture f;

    f = (struct fixture){0};
    folder_make(f.dir);
    (void)snprintf(f.file, sizeof f.file, "%s/tarn.db", f.dir);
    tell(&f, 0, TOLD);
    *ctx = &f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;
    char command[FOLDER_MOST + 16];

    (void)snprintf(command, sizeof command, "rm -rf '%s'", f->dir);
    return system(command); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

static void damage_entry(const struct fixture *f, const char *where)
{
    sqlite3 *db = NULL;
    char sql[300];

    (void)snprintf(sql, sizeof sql,
                   "DROP TRIGGER entry_stays; UPDATE entry SET note = 'another' WHERE %s;"
                   "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry WHEN old.hash IS NOT NULL"
                   "  BEGIN SELECT RAISE(ABORT, 'an entry is never changed; void it'); END;",
                   where);
    assert_int_equal(sqlite3_open(f->file, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

static void assert_refused(const struct fixture *f)
{
    struct journal *j = NULL;
    struct err e = {0};

    assert_int_equal(journal_open(f->dir, &j, &e), ERR_STORE);
    assert_non_null(strstr(e.msg, "tarnd --recover"));
}

static void assert_says(struct recovery *r, const char *words)
{
    if (!strstr(text_str(&r->says), words)) {
        fail_msg("wanted '%s', got '%s'", words, text_str(&r->says));
    }
}

static void recover(struct fixture *f, const char *from, struct recovery *r)
{
    struct err e = {0};

    if (journal_recover(f->dir, from, r, &e) < 0) {
        fail_msg("%s", e.msg);
    }
}

static void assert_all_there(struct fixture *f)
{
    struct journal *j = folder_open(f->dir);
    struct err e = {0};

    assert_int_equal(story_assert_kept(j, TOLD), TOLD);
    for (size_t k = 0; k < TOLD; k++) {
        assert_int_equal(story_has(j, k, &e), 1);
    }
    assert_int_equal(story_tell(j, TOLD, &e), 0); /* and life goes on */
    journal_close(j);
}

static void backup(struct fixture *f, const char *path)
{
    struct journal *j = folder_open(f->dir);
    struct err e = {0};

    if (journal_backup(j, path, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    journal_close(j);
}

static void a_whole_journal_is_left_as_it_is(void **ctx)
{
    struct fixture *f = *ctx;
    struct recovery r;

    recover(f, NULL, &r);
    assert_true(r.whole);
    assert_says(&r, "the journal is whole; nothing was changed");
    text_deinit(&r.says);
    assert_all_there(f);
}

static void what_is_damaged_is_left_out_and_named(void **ctx)
{
    struct fixture *f = *ctx;
    struct recovery r;
    struct journal *j;
    struct journal_row row;
    struct err e = {0};
    char aside[FOLDER_MOST + 32];

    damage_entry(f, "seq IN (5, 16, 17)");
    assert_refused(f);
    recover(f, NULL, &r);
    assert_false(r.whole);
    assert_int_equal(r.lost, 3);
    assert_int_equal(r.entries, f->last);
    assert_says(&r, "entry 5 is lost\n");
    assert_says(&r, "entries 16 to 17 are lost\n");
    assert_says(&r, "/damaged-1\n");
    text_deinit(&r.says);
    (void)snprintf(aside, sizeof aside, "%s/damaged-1/tarn.db", f->dir);
    assert_int_equal(access(aside, F_OK), 0);
    j = folder_open(f->dir);
    assert_int_equal(journal_last_seq(j), f->last);
    assert_int_equal(journal_get(j, 5, &row, &e), 0);
    assert_int_equal(row.entry.kind, ENTRY_NOTE);
    assert_string_equal(row.entry.note, "an entry stood here, and no file had it");
    assert_int_equal(journal_get(j, 6, &row, &e), 0);
    assert_int_equal(row.entry.kind, ENTRY_READING);
    journal_close(j);
}

static void a_copy_fills_what_is_damaged(void **ctx)
{
    struct fixture *f = *ctx;
    struct recovery r;
    char copy[FOLDER_MOST + 32];

    (void)snprintf(copy, sizeof copy, "%s-copy.db", f->dir);
    (void)unlink(copy);
    backup(f, copy);
    damage_entry(f, "seq IN (5, 16, 17)");
    recover(f, copy, &r);
    assert_int_equal(r.lost, 0);
    text_deinit(&r.says);
    assert_all_there(f);
    (void)unlink(copy);
}

/* The copies of days are found by themselves; what came after the last is taken from the
 * journal. */
static void the_copies_of_days_are_found(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j;
    struct recovery r;
    struct err e = {0};
    char path[FOLDER_MOST + 48];

    j = folder_open(f->dir);
    assert_int_equal(journal_backup_day(j, "", "2026-03-01", 2, &e), 0);
    assert_int_equal(journal_backup_day(j, "", "2026-03-02", 2, &e), 0);
    assert_int_equal(journal_backup_day(j, "", "2026-03-03", 2, &e), 0);
    assert_int_equal(journal_backup_day(j, "", "2026-03-03", 2, &e), 0); /* is there already */
    journal_close(j);
    (void)snprintf(path, sizeof path, "%s/backups/2026-03-01.db", f->dir);
    assert_int_equal(access(path, F_OK), -1); /* two are kept */
    (void)snprintf(path, sizeof path, "%s/backups/2026-03-02.db", f->dir);
    assert_int_equal(access(path, F_OK), 0);
    damage_entry(f, "seq IN (5, 16, 17)");
    recover(f, NULL, &r);
    assert_int_equal(r.lost, 0);
    assert_int_equal(r.from_copy, 3);
    assert_says(&r, "3 of them from a copy");
    text_deinit(&r.says);
    assert_all_there(f);
}

static void a_journal_that_is_gone_comes_back_from_its_copy(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j = folder_open(f->dir);
    struct recovery r;
    struct err e = {0};

    assert_int_equal(journal_backup_day(j, "", "2026-03-03", 2, &e), 0);
    journal_close(j);
    assert_int_equal(unlink(f->file), 0);
    recover(f, NULL, &r);
    assert_int_equal(r.lost, 0);
    text_deinit(&r.says);
    assert_all_there(f);
}

/* The head record knows that there was more than the files have. */
static void what_came_after_the_copy_is_said_to_be_lost(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j = folder_open(f->dir);
    struct recovery r;
    struct err e = {0};
    int64_t copied = f->last;

    assert_int_equal(journal_backup_day(j, "", "2026-03-03", 2, &e), 0);
    journal_close(j);
    tell(f, TOLD, TOLD + 4);
    assert_int_equal(unlink(f->file), 0);
    recover(f, NULL, &r);
    assert_int_equal(r.lost, f->last - copied);
    assert_int_equal(r.entries, f->last);
    text_deinit(&r.says);
    journal_close(folder_open(f->dir));
}

/* Anywhere in the file, pages at a time: what SQLite cannot read does not take the rest along. */
static void pages_of_rubbish_take_only_what_stood_in_them(void **ctx)
{
    struct fixture *f;
    struct stat st;
    int64_t most = 0;

    for (off_t page = 1;; page++) {
        char rubbish[4096];
        struct recovery r;
        struct err e = {0};
        int fd;
        int rc;

        (void)tear_down(ctx);
        (void)set_up(ctx);
        f = *ctx;
        assert_int_equal(stat(f->file, &st), 0);
        if ((page + 1) * 4096 > st.st_size) {
            break;
        }
        memset(rubbish, 0xA5, sizeof rubbish);
        fd = open(f->file, O_WRONLY | O_CLOEXEC);
        assert_int_equal(pwrite(fd, rubbish, sizeof rubbish, page * 4096), sizeof rubbish);
        (void)close(fd);
        rc = journal_recover(f->dir, NULL, &r, &e);
        assert_true(rc == 0 ||
                    rc == ERR_STORE); /* a page on which all hangs: no file is readable */
        if (rc == 0 && r.entries - r.lost > most) {
            most = r.entries - r.lost;
        }
        text_deinit(&r.says);
    }
    assert_int_equal(most, f->last); /* of a page with an index nothing is missed */
}

static void a_copy_is_never_made_over_a_file(void **ctx)
{
    struct fixture *f = *ctx;
    struct journal *j = folder_open(f->dir);
    struct err e = {0};

    assert_int_equal(journal_backup(j, f->file, &e), ERR_REFUSED);
    journal_close(j);
    assert_all_there(f);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_whole_journal_is_left_as_it_is),
        TEST(what_is_damaged_is_left_out_and_named),
        TEST(a_copy_fills_what_is_damaged),
        TEST(the_copies_of_days_are_found),
        TEST(a_journal_that_is_gone_comes_back_from_its_copy),
        TEST(what_came_after_the_copy_is_said_to_be_lost),
        TEST(pages_of_rubbish_take_only_what_stood_in_them),
        TEST(a_copy_is_never_made_over_a_file),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
