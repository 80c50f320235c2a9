/* What the daemon does with bytes that are no requests, and with clients that misbehave.
 * What it says to wrong requests, word by word, stands in tests/unit/test_serve.c. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

static struct rig rig;

static int set_up(void **ctx)
{
    (void)ctx;
    rig_make(&rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    rig_start(&rig);
    return 0;
}

static int tear_down(void **ctx)
{
    (void)ctx;
    if (rig.pid) {
        rig_stop(&rig);
    }
    rig_remove(&rig);
    return 0;
}

/* "-32602 message\n" of the error in the next reply. */
static char *next_error(struct client *c)
{
    char *line = client_line(c);
    json_t *reply = line ? json_loads(line, 0, NULL) : NULL;
    json_t *error = json_object_get(reply, "error");
    char *said = calloc(1, 4096);

    if (!error) {
        fail_msg("not an error: %s", line ? line : "the connection was closed");
    }
    (void)snprintf(said, 4096, "%lld %s\n",
                   (long long)json_integer_value(json_object_get(error, "code")),
                   json_string_value(json_object_get(error, "message")));
    json_decref(reply);
    free(line);
    return said;
}

static void an_error_names_the_figure_that_is_at_fault(void **ctx)
{
    struct client c;
    json_t *told = json_pack("{s:{s:s}}", "reservoir", "ec", "strong");
    json_t *reply;
    json_t *data;

    (void)ctx;
    client_open(&c, &rig);
    reply = client_call(&c, "record", json_pack("{s:s,s:o}", "kind", "reading", "subjects", told));
    data = json_object_get(json_object_get(reply, "error"), "data");
    assert_string_equal(json_string_value(json_object_get(data, "field")), "ec");
    json_decref(reply);
    client_close(&c);
}

static const char hello[] =
    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"hello\",\"params\":{\"protocol\":1}}\n";

static void assert_hello(struct client *c)
{
    char *line = client_line(c);

    assert_non_null(line);
    assert_non_null(strstr(line, "\"protocol\":1"));
    free(line);
}

static void a_line_may_come_byte_by_byte(void **ctx)
{
    struct client c;

    (void)ctx;
    client_open(&c, &rig);
    for (size_t i = 0; i < sizeof hello - 1; i++) {
        client_send(&c, hello + i, 1);
    }
    assert_hello(&c);
    client_close(&c);
}

static void many_lines_may_come_at_once_and_are_answered_in_order(void **ctx)
{
    struct client c;
    char all[100 * 80];
    size_t len = 0;

    (void)ctx;
    client_open(&c, &rig);
    for (int i = 0; i < 100; i++) {
        len += (size_t)snprintf(all + len, sizeof all - len,
                                "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"stock\"}\n", i);
    }
    client_send(&c, all, len);
    for (int i = 0; i < 100; i++) {
        char *line = client_line(&c);
        json_t *reply = json_loads(line, 0, NULL);

        assert_int_equal(json_integer_value(json_object_get(reply, "id")), i);
        json_decref(reply);
        free(line);
    }
    client_close(&c);
}

static void a_last_line_may_do_without_its_newline(void **ctx)
{
    struct client c;

    (void)ctx;
    client_open(&c, &rig);
    client_send(&c, hello, sizeof hello - 2);
    assert_int_equal(shutdown(c.fd, SHUT_WR), 0);
    assert_hello(&c);
    assert_null(client_line(&c));
    client_close(&c);
}

static void a_line_that_is_too_long_is_answered_and_ends_the_connection(void **ctx)
{
    struct client c;
    char *much = calloc(1, 70000);
    char *said;

    (void)ctx;
    memset(much, ' ', 70000);
    client_open(&c, &rig);
    client_send(&c, much, 70000);
    said = next_error(&c);
    assert_string_equal(said, "-32600 the line is longer than 65536 bytes\n");
    assert_null(client_line(&c));
    free(said);
    free(much);
    client_close(&c);
}

static void a_line_nested_too_deep_is_refused_before_it_is_parsed(void **ctx)
{
    struct client c;
    char deep[60001];
    char *said;

    (void)ctx;
    memset(deep, '[', 60000);
    deep[60000] = '\n';
    client_open(&c, &rig);
    client_send(&c, deep, sizeof deep);
    said = next_error(&c);
    assert_string_equal(said, "-32700 the line is nested more than 32 deep\n");
    free(said);
    client_send(&c, hello, sizeof hello - 1);
    assert_hello(&c);
    client_close(&c);
}

static void bytes_that_are_no_text_are_refused(void **ctx)
{
    static const char bytes[] =
        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\xff\xfe\"}\n\0\0\n\x80\n";
    struct client c;

    (void)ctx;
    client_open(&c, &rig);
    client_send(&c, bytes, sizeof bytes - 1);
    for (int i = 0; i < 3; i++) {
        char *said = next_error(&c);

        assert_int_equal(strncmp(said, "-32700 the line is not JSON: ", 29), 0);
        free(said);
    }
    client_close(&c);
}

static void a_client_that_reads_nothing_does_not_hold_up_the_others(void **ctx)
{
    static const char line[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"status\"}\n";
    struct client deaf;
    struct client c;

    (void)ctx;
    client_open(&deaf, &rig);
    for (int i = 0; i < 20000; i++) {
        if (send(deaf.fd, line, sizeof line - 1, MSG_NOSIGNAL | MSG_DONTWAIT) < 0) {
            break;
        }
    }
    client_open(&c, &rig);
    client_send(&c, hello, sizeof hello - 1);
    assert_hello(&c);
    client_close(&c);
    client_close(&deaf);
}

static void too_many_clients_are_told_so(void **ctx)
{
    struct client c[40];
    char *said;
    struct client late;

    (void)ctx;
    for (int i = 0; i < 32; i++) { /* as many as one user may have */
        client_open(&c[i], &rig);
        client_send(&c[i], hello, sizeof hello - 1);
        assert_hello(&c[i]);
    }
    client_open(&late, &rig);
    said = next_error(&late);
    assert_string_equal(said, "-32003 too many clients; try again\n");
    assert_null(client_line(&late));
    free(said);
    client_close(&late);
    for (int i = 0; i < 32; i++) {
        client_close(&c[i]);
    }
}

static void assert_ends_with(const char *room, const char *state, const char *socket_path,
                             const char *words)
{
    char *log;

    (void)unlink(rig.log);
    assert_int_equal(rig_run_to_end(&rig, room, state, socket_path), 1);
    log = rig_log(&rig);
    if (!strstr(log, words)) {
        fail_msg("wanted '%s', got '%s'", words, log);
    }
    free(log);
}

static void a_second_daemon_on_the_same_state_is_refused(void **ctx)
{
    char other[128];
    char words[256];

    (void)ctx;
    (void)snprintf(other, sizeof other, "%s/other.sock", rig.dir);
    (void)snprintf(words, sizeof words, "tarnd: another tarnd looks after %s already\n", rig.state);
    assert_ends_with(rig.room, rig.state, other, words);
}

static void a_socket_in_use_is_left_alone(void **ctx)
{
    char other[128];
    char words[256];
    struct client c;

    (void)ctx;
    (void)snprintf(other, sizeof other, "%s/other", rig.dir);
    (void)snprintf(words, sizeof words, "tarnd: another tarnd listens on %s\n", rig.socket);
    assert_ends_with(rig.room, other, rig.socket, words);
    client_open(&c, &rig);
    client_send(&c, hello, sizeof hello - 1);
    assert_hello(&c);
    client_close(&c);
}

static void a_socket_path_that_is_too_long_is_refused_and_not_cut(void **ctx)
{
    char path[200];
    char other[128];

    (void)ctx;
    memset(path, 'x', sizeof path - 1);
    path[0] = '/';
    path[sizeof path - 1] = '\0';
    (void)snprintf(other, sizeof other, "%s/other", rig.dir);
    assert_ends_with(rig.room, other, path,
                     "tarnd: the socket's path has 199 bytes; at most 107 serve\n");
}

static void a_socket_left_by_a_crash_is_taken_over(void **ctx)
{
    struct client c;
    struct stat st;

    (void)ctx;
    rig_kill(&rig);
    assert_int_equal(stat(rig.socket, &st), 0);
    rig_start(&rig);
    assert_int_equal(stat(rig.socket, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0660);
    client_open(&c, &rig);
    client_send(&c, hello, sizeof hello - 1);
    assert_hello(&c);
    client_close(&c);
}

static void write_room(const char *text)
{
    FILE *f = fopen(rig.room, "we");

    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

/* The status once `check` holds for it; every look is answered by the daemon, so nothing is slept
 * over. */
static json_t *await_status(struct client *c, bool (*check)(const json_t *status))
{
    for (int i = 0; i < 100000; i++) {
        json_t *status = client_ask(c, "status", NULL);

        if (check(status)) {
            return status;
        }
        json_decref(status);
    }
    fail_msg("the status never came to what was awaited");
    return NULL;
}

static bool has_fault(const json_t *status)
{
    return json_is_string(json_object_get(status, "room_file_fault"));
}

static bool has_no_fault(const json_t *status)
{
    return !has_fault(status);
}

static bool is_renamed(const json_t *status)
{
    return strcmp(json_string_value(json_object_get(status, "room")), "cellar") == 0;
}

static char *room_text(void)
{
    char *text = calloc(1, 65536);
    FILE *f = fopen(rig.room, "re");

    assert_non_null(f);
    assert_true(fread(text, 1, 65535, f) > 0);
    (void)fclose(f);
    return text;
}

static void a_faulty_room_file_is_refused_whole_and_a_good_one_is_taken(void **ctx)
{
    struct client c;
    char *good = room_text();
    char *renamed = calloc(1, strlen(good) + 16);
    const char *name = strstr(good, "name: attic");
    json_t *status;
    const char *fault;

    (void)ctx;
    assert_non_null(name);
    client_open(&c, &rig);
    write_room("room: {name: x}\n");
    assert_int_equal(kill(rig.pid, SIGHUP), 0);
    status = await_status(&c, has_fault);
    fault = json_string_value(json_object_get(status, "room_file_fault"));
    assert_non_null(strstr(fault, "/room.yaml:1:"));
    assert_int_equal(json_array_size(json_object_get(status, "containers")), 10);
    json_decref(status);

    write_room(good);
    assert_int_equal(kill(rig.pid, SIGHUP), 0);
    json_decref(await_status(&c, has_no_fault));

    (void)snprintf(renamed, strlen(good) + 16, "%.*sname: cellar%s", (int)(name - good), good,
                   name + strlen("name: attic"));
    write_room(renamed); /* the change of the file alone is enough */
    json_decref(await_status(&c, is_renamed));
    free(renamed);
    free(good);
    client_close(&c);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_error_names_the_figure_that_is_at_fault),
        TEST(a_line_may_come_byte_by_byte),
        TEST(many_lines_may_come_at_once_and_are_answered_in_order),
        TEST(a_last_line_may_do_without_its_newline),
        TEST(a_line_that_is_too_long_is_answered_and_ends_the_connection),
        TEST(a_line_nested_too_deep_is_refused_before_it_is_parsed),
        TEST(bytes_that_are_no_text_are_refused),
        TEST(a_client_that_reads_nothing_does_not_hold_up_the_others),
        TEST(too_many_clients_are_told_so),
        TEST(a_second_daemon_on_the_same_state_is_refused),
        TEST(a_socket_in_use_is_left_alone),
        TEST(a_socket_path_that_is_too_long_is_refused_and_not_cut),
        TEST(a_socket_left_by_a_crash_is_taken_over),
        TEST(a_faulty_room_file_is_refused_whole_and_a_good_one_is_taken),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
