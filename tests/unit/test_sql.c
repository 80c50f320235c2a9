/* What SQLite says, in our words: what failed, and what a person can do about it. */
#include "daemon/base/err.h"
#include "daemon/store/sql.h"
#include "tests/cmocka_all.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct fixture {
    char path[64];
    sqlite3 *db;
    struct err e;
};

static int set_up(void **ctx)
{
    static struct fixture f;
    int fd;

    f = (struct fixture){.path = "/tmp/tarn-sql-XXXXXX"};
    fd = mkstemp(f.path);
    *ctx = &f;
    return fd < 0 || close(fd) < 0 || sqlite3_open(f.path, &f.db) != SQLITE_OK;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    return sqlite3_close(f->db) != SQLITE_OK || unlink(f->path) < 0;
}

static void assert_fails(struct fixture *f, sqlite3 *db, const char *sql, int code,
                         const char *words)
{
    assert_int_equal(sql_run(db, sql, &f->e), code);
    assert_int_equal(f->e.code, code);
    assert_string_equal(f->e.msg, words);
}

static void each_failure_says_what_to_do(void **ctx)
{
    struct fixture *f = *ctx;
    sqlite3 *other = NULL;

    assert_int_equal(sql_run(f->db, "CREATE TABLE t (a); PRAGMA max_page_count=2", &f->e), 0);
    assert_fails(f, f->db, "INSERT INTO t VALUES (zeroblob(100000))", ERR_FULL,
                 "the disk is full (database or disk is full); make room and try again");
    assert_fails(f, f->db, "SELECT b FROM t", ERR_STORE, "the journal failed: no such column: b");

    assert_int_equal(sqlite3_open_v2(f->path, &other, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_fails(
        f, other, "DELETE FROM t", ERR_STORE,
        "the journal cannot be written (attempt to write a readonly database); check owner "
        "and mode");
    assert_int_equal(sql_run(f->db, "BEGIN EXCLUSIVE", &f->e), 0);
    assert_fails(f, other, "SELECT * FROM t", ERR_BUSY,
                 "another program has the journal open (database is locked)");
    assert_int_equal(sql_run(f->db, "COMMIT", &f->e), 0);
    (void)sqlite3_close(other);

    assert_int_equal(sqlite3_open("/nowhere/at/all", &other), SQLITE_CANTOPEN);
    assert_int_equal(sql_fail(other, &f->e), ERR_STORE);
    assert_string_equal(f->e.msg, "the journal cannot be written (unable to open database file); "
                                  "check owner and mode");
    (void)sqlite3_close(other);
}

static void bytes_that_are_no_database_are_damage(void **ctx)
{
    struct fixture *f = *ctx;
    FILE *file = fopen(f->path, "we");

    assert_true(fputs("these bytes are a letter to a friend, and no database at all", file) >= 0);
    (void)fclose(file);
    assert_fails(f, f->db, "SELECT * FROM t", ERR_STORE,
                 "the journal is damaged (file is not a database); restore a backup, or see "
                 "tarnd --recover");
}

static void the_first_column_of_the_first_row_is_read(void **ctx)
{
    struct fixture *f = *ctx;
    char text[8] = "before";
    int64_t n = 77;

    assert_int_equal(sql_int(f->db, "VALUES (9007199254740993, 1), (2, 2)", &n, &f->e), 0);
    assert_true(n == 9007199254740993); /* beyond what a double holds */
    assert_int_equal(sql_text(f->db, "VALUES ('ten letters', 'b')", text, sizeof text, &f->e), 0);
    assert_string_equal(text, "ten let"); /* cut to what fits */
    assert_int_equal(sql_text(f->db, "VALUES (NULL)", text, sizeof text, &f->e), 0);
    assert_string_equal(text, "");
}

static void without_a_row_nothing_is_written(void **ctx)
{
    struct fixture *f = *ctx;
    char text[8] = "before";
    int64_t n = 77;

    assert_int_equal(sql_int(f->db, "SELECT 1 WHERE 0", &n, &f->e), 0);
    assert_int_equal(n, 77);
    assert_int_equal(sql_text(f->db, "SELECT 1 WHERE 0", text, sizeof text, &f->e), 0);
    assert_string_equal(text, "before");
    assert_int_equal(sql_int(f->db, "SELECT nothing", &n, &f->e), ERR_STORE);
    assert_int_equal(sql_text(f->db, "SELECT nothing", text, sizeof text, &f->e), ERR_STORE);
}

static void a_step_gives_a_row_or_the_end_or_a_failure(void **ctx)
{
    struct fixture *f = *ctx;
    sqlite3_stmt *stmt = NULL;

    assert_int_equal(
        sql_prepare(f->db, "SELECT abs(column1) FROM (VALUES (1), (?1))", &stmt, &f->e), 0);
    assert_int_equal(sqlite3_bind_int64(stmt, 1, INT64_MIN), SQLITE_OK); /* abs overflows */
    assert_int_equal(sql_step(stmt, &f->e), 1);
    assert_int_equal(sql_step(stmt, &f->e), ERR_STORE);
    assert_string_equal(f->e.msg, "the journal failed: integer overflow");
    (void)sqlite3_reset(stmt);
    assert_int_equal(sqlite3_bind_int64(stmt, 1, -2), SQLITE_OK);
    assert_int_equal(sql_step(stmt, &f->e), 1);
    assert_int_equal(sql_step(stmt, &f->e), 1);
    assert_int_equal(sql_step(stmt, &f->e), 0);
    (void)sqlite3_finalize(stmt);
    assert_int_equal(sql_prepare(f->db, "NONSENSE", &stmt, &f->e), ERR_STORE);
    assert_null(stmt);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(each_failure_says_what_to_do),
        TEST(bytes_that_are_no_database_are_damage),
        TEST(the_first_column_of_the_first_row_is_read),
        TEST(without_a_row_nothing_is_written),
        TEST(a_step_gives_a_row_or_the_end_or_a_failure),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
