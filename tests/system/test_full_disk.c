/* The daemon on a disk that fills up and is cleared again. It runs in a child of the test, whose
 * SQLite meets a full disk while the test says so. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include "daemon/base/wire.h"
#include "daemon/serve/serve.h"

#include <poll.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

/* Shared by the test and its child. */
static atomic_bool *is_full;

/* The system's VFS, but for its writes to the database and its log. */
static sqlite3_vfs *system_vfs;
static sqlite3_io_methods
    methods[2]; /* of a database, and of what lies beside it, which has no locks */
static int (*system_write)(sqlite3_file *, const void *, int, sqlite3_int64);

static int write_if_room(sqlite3_file *file, const void *p, int len, sqlite3_int64 at)
{
    return atomic_load(is_full) ? SQLITE_FULL : system_write(file, p, len, at);
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *out)
{
    int rc = system_vfs->xOpen(vfs, name, file, flags, out);

    if (rc == SQLITE_OK && (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL))) {
        sqlite3_io_methods *own = &methods[(flags & SQLITE_OPEN_WAL) != 0];

        *own = *file->pMethods;
        system_write = own->xWrite;
        own->xWrite = write_if_room;
        file->pMethods = own;
    }
    return rc;
}

static void become_daemon(const struct rig *r)
{
    struct serve_options o = {.room_path = r->room,
                              .crops_dir = TARN_SOURCE_DIR "/config/crops",
                              .state_dir = r->state,
                              .socket_path = r->socket,
                              .simulate = r->simulate};
    struct err e = {0};
    sqlite3_vfs vfs;
    int rc;

    system_vfs = sqlite3_vfs_find(NULL);
    vfs = *system_vfs;
    vfs.zName = "small";
    vfs.xOpen = open_file;
    (void)sqlite3_vfs_register(&vfs, 1);
    (void)setenv("NOTIFY_SOCKET", r->notify, 1);
    if (!freopen(r->log, "ae", stderr)) {
        _exit(1);
    }
    rc = serve_run(&o, &e);
    (void)fprintf(stderr, "%s", rc < 0 ? e.msg : "");
    _exit(rc < 0);
}

static void start(struct rig *r)
{
    char said[256] = "";

    r->pid = fork();
    assert_true(r->pid >= 0);
    if (r->pid == 0) {
        become_daemon(r);
    }
    while (!strstr(said, "READY=1")) {
        struct pollfd p = {.fd = r->notify_fd, .events = POLLIN};
        ssize_t n;

        assert_int_equal(poll(&p, 1, 120000), 1);
        n = recv(r->notify_fd, said, sizeof said - 1, 0);
        said[n > 0 ? n : 0] = '\0';
    }
}

static struct rig rig;
static struct client client;

static int set_up(void **ctx)
{
    (void)ctx;
    is_full =
        mmap(NULL, sizeof *is_full, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (is_full == MAP_FAILED) {
        return -1;
    }
    rig_make(&rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    start(&rig);
    client_open(&client, &rig);
    return 0;
}

static int tear_down(void **ctx)
{
    (void)ctx;
    client_close(&client);
    if (rig.pid) {
        rig_stop(&rig);
    }
    rig_remove(&rig);
    return munmap(is_full, sizeof *is_full);
}

static json_t *a_note(const char *text, const char *key)
{
    return json_pack("{s:s,s:{s:{}},s:s,s:s}", "kind", "note", "subjects", "T1", "note", text,
                     "key", key);
}

static void record_note(const char *text)
{
    json_decref(client_ask(&client, "record", a_note(text, text)));
}

static json_int_t count_entries(void)
{
    json_t *status = client_ask(&client, "status", NULL);
    json_int_t n = json_integer_value(json_object_get(status, "entries"));

    json_decref(status);
    return n;
}

static void on_a_full_disk_nothing_is_taken_and_questions_are_answered(void **ctx)
{
    json_t *list;

    (void)ctx;
    record_note("before");
    atomic_store(is_full, true);
    client_refused(&client, "record", a_note("lost", "k1"), WIRE_STORE, "the disk is full");
    client_refused(&client, "record", a_note("lost", "k2"), WIRE_STORE, "make room and try again");
    assert_int_equal(count_entries(), 1);
    assert_true(client_has_notice(&client, "disk-full"));
    list = client_ask(&client, "log", NULL);
    assert_int_equal(json_array_size(json_object_get(list, "entries")), 1);
    json_decref(list);
    list = client_ask(&client, "today", NULL);
    assert_true(json_array_size(json_object_get(list, "tasks")) > 0);
    json_decref(list);
}

static void with_room_again_the_next_telling_is_taken(void **ctx)
{
    (void)ctx;
    atomic_store(is_full, true);
    client_refused(&client, "record", a_note("lost", "k1"), WIRE_STORE, "the disk is full");
    atomic_store(is_full, false);
    json_decref(client_ask(&client, "record", a_note("kept", "k1"))); /* a retry with its key */
    record_note("and another");
    assert_int_equal(count_entries(), 2);
    assert_false(client_has_notice(&client, "disk-full"));
}

static void many_waiting_are_all_refused_and_their_numbers_used_again(void **ctx)
{
    static const char line[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"record\",\"params\":"
                               "{\"kind\":\"note\",\"subjects\":{\"T1\":{}},\"note\":\"x\"}}\n";
    json_t *entry;
    json_t *told;

    (void)ctx;
    record_note("first");
    atomic_store(is_full, true);
    for (int i = 0; i < 20; i++) {
        client_send(&client, line, sizeof line - 1);
    }
    for (int i = 0; i < 20; i++) {
        char *reply = client_line(&client);

        assert_non_null(reply);
        assert_non_null(strstr(reply, "-32002"));
        free(reply);
    }
    atomic_store(is_full, false);
    told = client_ask(&client, "record", a_note("second", "k"));
    entry = json_array_get(json_object_get(told, "entries"), 0);
    assert_string_equal(json_string_value(json_object_get(entry, "seq")), "2");
    json_decref(told);
}

static void tasks_planned_meanwhile_are_there_after_a_restart(void **ctx)
{
    json_t *before;
    json_t *after;

    (void)ctx;
    atomic_store(is_full, true);
    client_refused(&client, "record", a_note("lost", "k1"), WIRE_STORE, "the disk is full");
    json_decref(client_ask(&client, "clock", json_pack("{s:s}", "advance", "9 days")));
    assert_true(client_has_notice(&client, "disk-full"));
    atomic_store(is_full, false);
    record_note("room again");
    before = client_ask(&client, "today", NULL);
    client_close(&client);
    rig_stop(&rig);
    start(&rig);
    client_open(&client, &rig);
    after = client_ask(&client, "today", NULL);
    assert_true(json_array_size(json_object_get(after, "tasks")) > 0);
    assert_true(json_equal(json_object_get(before, "tasks"), json_object_get(after, "tasks")));
    json_decref(before);
    json_decref(after);
}

static void a_disk_that_is_full_at_the_start_keeps_nobody_from_reading(void **ctx)
{
    (void)ctx;
    record_note("before");
    client_close(&client);
    rig_stop(&rig);
    atomic_store(is_full, true);
    start(&rig);
    client_open(&client, &rig);
    assert_int_equal(count_entries(), 1);
    assert_true(client_has_notice(&client, "disk-full"));
    client_refused(&client, "record", a_note("lost", "k"), WIRE_STORE, "the disk is full");
    atomic_store(is_full, false);
    record_note("after");
    assert_int_equal(count_entries(), 2);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(on_a_full_disk_nothing_is_taken_and_questions_are_answered),
        TEST(with_room_again_the_next_telling_is_taken),
        TEST(many_waiting_are_all_refused_and_their_numbers_used_again),
        TEST(tasks_planned_meanwhile_are_there_after_a_restart),
        TEST(a_disk_that_is_full_at_the_start_keeps_nobody_from_reading),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
