/* What brings itself back: copies of the journal, a damaged one recovered, a room file with a
 * slip. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include "daemon/base/wire.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct rig rig;
static struct client client;

static void start(void)
{
    rig_start(&rig);
    client_open(&client, &rig);
}

static void stop(void)
{
    client_close(&client);
    rig_stop(&rig);
}

static int set_up(void **ctx)
{
    (void)ctx;
    rig_make(&rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    start();
    return 0;
}

static int tear_down(void **ctx)
{
    (void)ctx;
    if (rig.pid) {
        stop();
    }
    rig_remove(&rig);
    return 0;
}

static void record(const char *text)
{
    json_decref(client_ask(
        &client, "record",
        json_pack("{s:s,s:{s:{}},s:s}", "kind", "note", "subjects", "T1", "note", text)));
}

static json_t *whole_log(void)
{
    return client_ask(&client, "log", json_pack("{s:i}", "limit", 1000));
}

/* Runs `tarnd --recover` on the state folder, and gives what it says in `said`. */
static void recover(char said[2000])
{
    char command[400];
    FILE *out;

    (void)snprintf(command, sizeof command, TARND " --recover --state %s 2>&1", rig.state);
    out = popen(command, "re"); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
    assert_non_null(out);
    said[fread(said, 1, 1999, out)] = '\0';
    assert_int_equal(pclose(out), 0);
}

/* Another letter in the first place of the file where the words stand. */
static void change_one_letter(const char *words)
{
    static char bytes[1 << 20];
    char path[200];
    char *at;
    ssize_t n;
    int fd;

    (void)snprintf(path, sizeof path, "%s/tarn.db", rig.state);
    fd = open(path, O_RDWR | O_CLOEXEC);
    n = read(fd, bytes, sizeof bytes);
    at = n > 0 ? memmem(bytes, (size_t)n, words, strlen(words)) : NULL;
    assert_non_null(at);
    assert_int_equal(pwrite(fd, "#", 1, at - bytes), 1);
    (void)close(fd);
}

static void a_letter_that_changed_is_told_and_comes_back_from_the_days_copy(void **ctx)
{
    json_t *before;
    json_t *after;
    json_t *copy;
    char said[2000];
    char *log;

    (void)ctx;
    record("the lid is cracked");
    record("and was glued");
    json_decref(client_ask(&client, "clock", json_pack("{s:s}", "advance", "1 day")));
    copy = client_ask(&client, "backup", NULL); /* comes after that of the day */
    json_decref(copy);
    record("told after the copy");
    before = whole_log();
    stop();
    change_one_letter("the lid is cracked");
    assert_int_equal(rig_run_to_end(&rig, rig.room, rig.state, rig.socket), 1);
    log = rig_log(&rig);
    assert_non_null(strstr(log, "entry 1 is not what was told"));
    assert_non_null(strstr(log, "see tarnd --recover"));
    free(log);
    recover(said);
    if (!strstr(said, "from a copy") || strstr(said, "lost")) {
        fail_msg("%s", said);
    }
    start();
    after = whole_log();
    assert_true(json_equal(before, after));
    json_decref(before);
    json_decref(after);
}

static void a_copy_goes_where_it_is_asked_for_and_never_over_a_file(void **ctx)
{
    char path[200];
    json_t *copy;

    (void)ctx;
    record("one");
    (void)snprintf(path, sizeof path, "%s/copy.db", rig.dir);
    copy = client_ask(&client, "backup", json_pack("{s:s}", "file", path));
    assert_string_equal(json_string_value(json_object_get(copy, "file")), path);
    assert_int_equal(json_integer_value(json_object_get(copy, "entries")), 1);
    json_decref(copy);
    assert_int_equal(access(path, R_OK), 0);
    client_refused(&client, "backup", json_pack("{s:s}", "file", path), WIRE_REFUSED,
                   "is there already; name another");
    client_refused(&client, "backup", json_pack("{s:s}", "file", "copy.db"), WIRE_PARAMS,
                   "wants a whole path");
}

static void a_room_file_with_a_slip_leaves_the_room_looked_after(void **ctx)
{
    FILE *f;

    (void)ctx;
    record("one");
    stop();
    f = fopen(rig.room, "ae");
    assert_non_null(f);
    assert_true(fputs("\nreservoirs: 3\n", f) >= 0);
    assert_int_equal(fclose(f), 0);
    start();
    assert_true(client_has_notice(&client, "room-file"));
    record("two");
}

/* A simulation that was begun is none for the real clock. */
static void a_simulation_is_not_taken_for_a_room(void **ctx)
{
    char *log;

    (void)ctx;
    record("one");
    stop();
    rig.simulate[0] = '\0';
    assert_int_equal(rig_run_to_end(&rig, rig.room, rig.state, rig.socket), 1);
    log = rig_log(&rig);
    assert_non_null(strstr(log, "was tried out with --simulate"));
    free(log);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_letter_that_changed_is_told_and_comes_back_from_the_days_copy),
        TEST(a_copy_goes_where_it_is_asked_for_and_never_over_a_file),
        TEST(a_room_file_with_a_slip_leaves_the_room_looked_after),
        TEST(a_simulation_is_not_taken_for_a_room),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
