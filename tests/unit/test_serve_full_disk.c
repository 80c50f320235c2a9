/* The daemon on a disk that fills up and is cleared again: nothing is taken in vain,
 * nothing is lost. */
#include "tests/unit/a_daemon.h"

#include <sqlite3.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/mman.h>

static struct daemon d;

static atomic_bool *is_full; /* shared by the test and its child */
static sqlite3_vfs *system_vfs;
static sqlite3_io_methods
    methods_[2]; /* of a database, and of what lies beside it, which has no locks */
static int (*system_write)(sqlite3_file *, const void *, int, sqlite3_int64);

static int write_if_room(sqlite3_file *file, const void *p, int len, sqlite3_int64 at)
{
    return atomic_load(is_full) ? SQLITE_FULL : system_write(file, p, len, at);
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out)
{
    int rc = system_vfs->xOpen(vfs, name, file, flags, out);

    if (rc == SQLITE_OK && (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL))) {
        sqlite3_io_methods *own = &methods_[(flags & SQLITE_OPEN_WAL) != 0];

        *own = *file->pMethods;
        system_write = own->xWrite;
        own->xWrite = write_if_room;
        file->pMethods = own;
    }
    return rc;
}

/* The journal of the child gets no more room when the test says so. */
static int set_up_small_disk(void **ctx)
{
    static sqlite3_vfs vfs;

    (void)ctx;
    is_full =
        mmap(NULL, sizeof *is_full, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(is_full != MAP_FAILED);
    system_vfs = sqlite3_vfs_find(NULL);
    vfs = *system_vfs;
    vfs.zName = "small";
    vfs.xOpen = open_file;
    assert_int_equal(sqlite3_vfs_register(&vfs, 1), SQLITE_OK);
    daemon_make(&d, "backup: {keep: 0}\n"); /* a copy that meets the full disk is told of too */
    return 0;
}

static int tear_down_small_disk(void **ctx)
{
    int rc = daemon_end(&d);

    (void)ctx;
    daemon_remove(&d);

    (void)sqlite3_vfs_unregister(sqlite3_vfs_find("small"));
    (void)munmap(is_full, sizeof *is_full);
    return rc;
}

static const char a_note[] = "{'kind':'note','subjects':{'T1':{}},'note':'x'}";

static void on_a_full_disk_nothing_is_taken_and_questions_are_answered(void **ctx)
{
    json_t *a;
    json_t *reply;

    (void)ctx;
    do_ask(&d, "record", a_note);
    atomic_store(is_full, true);
    for (int i = 0; i < 3; i++) {
        reply = daemon_call(&d, "record", a_note);
        ASSERT_NUMBER(reply, "error.code", -32002, 0);
        json_decref(reply);
        a = ask(&d, "status", "{}");
        ASSERT_NUMBER(a, "entries", 1, 0); /* what was told in vain is forgotten */
        ASSERT_TEXT(a, "notices.0.key", "disk-full");
        json_decref(a);
    }
    atomic_store(is_full, false);
    a = ask(&d, "record", a_note); /* the disk is tried anew for it */
    ASSERT_TEXT(a, "entries.0.seq", "2");
    json_decref(a);
    a = ask(&d, "status", "{}");
    ASSERT_NUMBER(a, "entries", 2, 0);
    ASSERT_COUNT(a, "notices", 0);
    json_decref(a);
}

/* What came behind the write that failed was made in the belief that it was there. */
static void of_requests_sent_together_all_are_refused_on_a_full_disk(void **ctx)
{
    char all[2048] = "";
    size_t len = 0;
    json_t *a;

    (void)ctx;
    do_ask(&d, "record", a_note);
    atomic_store(is_full, true);
    for (int i = 0; i < 5; i++) {
        len += (size_t)snprintf(
            all + len, sizeof all - len,
            "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"record\",\"params\":{\"kind\":\"note\","
            "\"subjects\":{\"T1\":{}},\"note\":\"x\",\"at\":\"2026-03-01 06:%02d\"}}\n",
            100 + i, 30 - i);
    }
    daemon_send(&d, all);
    for (int i = 0; i < 5; i++) {
        json_t *reply = daemon_hear(&d);

        ASSERT_NUMBER(reply, "id", 100 + i, 0);
        ASSERT_NUMBER(reply, "error.code", -32002, 0);
        json_decref(reply);
    }
    atomic_store(is_full, false);
    do_ask(&d, "record", a_note);
    a = ask(&d, "log", "{}");
    ASSERT_COUNT(a, "entries", 2);
    json_decref(a);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up_small_disk, tear_down_small_disk)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(on_a_full_disk_nothing_is_taken_and_questions_are_answered),
        TEST(of_requests_sent_together_all_are_refused_on_a_full_disk),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
