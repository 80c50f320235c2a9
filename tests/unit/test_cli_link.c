/* One connection: what comes back whole, in pieces, wrong, or not at all. */
#include "tests/unit/a_played_daemon.h"

#include "cli/link.h"
#include "daemon/base/err.h"
#include "daemon/base/wire.h"

/* Calls "clock" once on a new connection. */
static int call(struct scene *s, json_t **out, struct err *e)
{
    json_t *params = json_object();
    struct link l;
    int rc = link_open(&l, s->path, e);

    *out = NULL;
    if (rc == 0) {
        rc = link_call(&l, "clock", params, out, e);
        link_close(&l);
    }
    json_decref(params);
    return rc;
}

static void assert_fails(const char *answer, int code, const char *message)
{
    const struct script part = {"\"result\":" HELLO, {answer}, 1};
    struct scene s;
    struct err e = {0};
    json_t *got;

    scene_open(&s, &part);
    assert_int_equal(call(&s, &got, &e), code);
    assert_string_equal(e.msg, message);
    assert_int_equal(e.code, code);
    assert_null(got);
    scene_close(&s);
}

static void one_connection_serves_several_calls_and_greets_once(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":1", "\"result\":{\"a\":2}", "\"result\":[3]"},
          3
    };
    struct scene s;
    struct link l;
    json_t *out;
    char *calls;

    (void)ctx;
    scene_open(&s, &part);
    assert_int_equal(link_open(&l, s.path, NULL), 0);
    for (int i = 0; i < 3; i++) {
        json_t *params = json_pack("{s:i}", "n", i);

        assert_int_equal(link_call(&l, "log", params, &out, NULL), 0);
        assert_int_equal(json_typeof(out), i == 0   ? JSON_INTEGER
                                           : i == 1 ? JSON_OBJECT
                                                    : JSON_ARRAY);
        json_decref(out);
        json_decref(params);
    }
    assert_string_equal(json_string_value(json_object_get(l.hello, "room")), "Cellar");
    link_close(&l);
    assert_int_equal(l.fd, -1);
    link_close(&l);
    calls = heard(&s);
    assert_string_equal(calls, "log {\"n\":0}\nlog {\"n\":1}\nlog {\"n\":2}\n");
    free(calls);
    scene_close(&s);
}

/* Larger than what one read takes. */
static void what_was_asked_ahead_is_answered_by_the_next_call(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":1", "\"result\":2", "\"result\":3"},
          3
    };
    struct scene s;
    struct link l;
    json_t *params = json_object();
    json_t *out;
    char *calls;

    (void)ctx;
    scene_open(&s, &part);
    assert_int_equal(link_open(&l, s.path, NULL), 0);
    for (int i = 1; i <= 3; i++) {
        assert_int_equal(link_call(&l, "log", params, &out, NULL), 0);
        assert_int_equal(json_integer_value(out), i);
        json_decref(out);
        if (i == 1) {
            assert_int_equal(link_ask_ahead(&l, "log", params, NULL), 0);
        }
    }
    link_close(&l);
    json_decref(params);
    calls = heard(&s);
    assert_string_equal(calls, "log {}\nlog {}\nlog {}\n"); /* each once */
    free(calls);
    scene_close(&s);
}

static void a_long_answer_is_put_together(void **ctx)
{
    struct text answer = {0};
    struct script part = {"\"result\":" HELLO, {NULL}, 1};
    struct scene s;
    json_t *out;

    (void)ctx;
    text_add(&answer, "\"result\":\"");
    for (int i = 0; i < 200000; i++) {
        text_add(&answer, "%c", 'a' + i % 26);
    }
    text_add(&answer, "\"");
    part.answer[0] = text_str(&answer);
    scene_open(&s, &part);
    assert_int_equal(call(&s, &out, NULL), 0);
    assert_int_equal(json_string_length(out), 200000);
    assert_int_equal(json_string_value(out)[199999], 'a' + 199999 % 26);
    json_decref(out);
    text_deinit(&answer);
    scene_close(&s);
}

static void a_refusal_keeps_its_code_its_words_and_its_field(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"error\":{\"code\":-32000,\"message\":\"no\",\"data\":{\"field\":\"ec\"}}"},
        1};
    struct scene s;
    struct err e = {0};
    json_t *out;

    (void)ctx;
    scene_open(&s, &part);
    assert_int_equal(call(&s, &out, &e), WIRE_REFUSED);
    assert_string_equal(e.field, "ec");
    assert_string_equal(e.msg, "no");
    scene_close(&s);
    assert_fails("\"error\":{\"code\":-32003,\"message\":\"busy\"}", WIRE_BUSY, "busy");
    assert_fails("@{\"id\":null,\"error\":{\"code\":-32700,\"message\":\"no JSON\"}}", WIRE_PARSE,
                 "no JSON");
}

/* A code that is no error's would be taken for success. */
static void an_error_without_code_or_words_is_still_an_error(void **ctx)
{
    (void)ctx;
    assert_fails("\"error\":{\"code\":0,\"message\":\"x\"}", WIRE_INTERNAL, "x");
    assert_fails("\"error\":{\"code\":7,\"message\":\"x\"}", WIRE_INTERNAL, "x");
    assert_fails("\"error\":{\"code\":-99999999999,\"message\":\"x\"}", WIRE_INTERNAL, "x");
    assert_fails("\"error\":{}", WIRE_INTERNAL, "the daemon refused, and did not say why");
}

static void what_is_no_reply_to_the_call_is_not_taken_for_one(void **ctx)
{
    static const char strange[] = "the connection to the daemon was lost: what answers there does "
                                  "not speak tarn's protocol";

    (void)ctx;
    assert_fails("@HTTP/1.1 400 Bad Request", LINK_LOST, strange);
    assert_fails("@{\"id\":99,\"result\":1}", LINK_LOST, strange);
    assert_fails("@{\"id\":99,\"error\":{\"code\":-32000,\"message\":\"x\"}}", LINK_LOST, strange);
    assert_fails("\"x\":1", LINK_LOST, strange);
    assert_fails("@", LINK_LOST, strange);
    assert_fails(NULL, LINK_LOST, "the connection to the daemon was lost: it hung up");
}

static void a_daemon_of_another_protocol_is_not_asked_further(void **ctx)
{
    static const struct script none = {"\"result\":{\"version\":\"9.0\"}", {"\"result\":1"}, 1};
    static const struct script strange = {
        "\"error\":{\"code\":-32601,\"message\":\"no hello here\"}", {"\"result\":1"}, 1};
    struct scene s;
    struct err e = {0};
    json_t *out;

    (void)ctx;
    scene_open(&s, &none);
    assert_int_equal(call(&s, &out, &e), LINK_VERSION);
    assert_string_equal(e.msg, "tarn " TARN_VERSION " speaks protocol 1, the daemon (tarnd 9.0) "
                               "protocol 0; install both from one version");
    scene_close(&s);
    scene_open(&s, &strange);
    assert_int_equal(call(&s, &out, &e), WIRE_METHOD);
    assert_string_equal(e.msg, "no hello here");
    scene_close(&s);
}

static void a_path_that_no_socket_can_have_is_refused(void **ctx)
{
    char path[200];
    struct link l;
    struct err e = {0};

    (void)ctx;
    memset(path, 'x', sizeof path);
    path[108] = '\0'; /* unix(7): sun_path has 108 bytes, the NUL among them */
    assert_int_equal(link_open(&l, path, &e), LINK_TOO_LONG);
    assert_int_equal(strncmp(e.msg, "the path of a socket has at most 107 bytes: xxx", 47), 0);
    path[107] = '\0';
    assert_int_equal(link_open(&l, path, &e), LINK_NO_DAEMON);
}

/* With stdout closed a socket would get number 1, and the answer would be printed to the daemon. */
static void a_socket_is_never_one_of_the_standard_streams(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {"\"result\":1"}, 1};
    struct scene s;
    struct link l;
    int spare = dup(STDIN_FILENO);

    (void)ctx;
    scene_open(&s, &part);
    assert_true(spare > STDERR_FILENO);
    assert_int_equal(close(STDIN_FILENO), 0);
    assert_int_equal(link_open(&l, s.path, NULL), 0);
    assert_true(l.fd > STDERR_FILENO);
    assert_int_equal(dup(spare), STDIN_FILENO); /* and number 0 is free again */
    assert_int_equal(close(spare), 0);
    link_close(&l);
    scene_close(&s);
}

/* A call has 64 KiB, its line end included. */
static void a_call_that_just_fits_is_sent(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":1", "\"result\":1"},
          2
    };
    static const char frame[] =
        "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"log\",\"params\":{\"of\":\"\"}}\n";
    const size_t room = WIRE_LINE_MAX - strlen(frame);
    char *word = calloc(1, room + 2);
    struct scene s;
    struct link l;
    struct err e = {0};
    json_t *params;
    json_t *out;

    (void)ctx;
    assert_non_null(word);
    scene_open(&s, &part);
    assert_int_equal(link_open(&l, s.path, &e), 0);
    memset(word, 'x', room);
    params = json_pack("{s:s}", "of", word);
    assert_int_equal(link_call(&l, "log", params, &out, &e), 0);
    json_decref(out);
    json_decref(params);
    word[room] = 'x';
    params = json_pack("{s:s}", "of", word);
    assert_int_equal(link_call(&l, "log", params, &out, &e), LINK_TOO_LONG);
    assert_string_equal(e.msg, "this is too much for one call (65537 bytes of 65536): split it");
    json_decref(params);
    link_close(&l);
    free(word);
    scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_connection_serves_several_calls_and_greets_once),
        cmocka_unit_test(what_was_asked_ahead_is_answered_by_the_next_call),
        cmocka_unit_test(a_long_answer_is_put_together),
        cmocka_unit_test(a_refusal_keeps_its_code_its_words_and_its_field),
        cmocka_unit_test(an_error_without_code_or_words_is_still_an_error),
        cmocka_unit_test(what_is_no_reply_to_the_call_is_not_taken_for_one),
        cmocka_unit_test(a_daemon_of_another_protocol_is_not_asked_further),
        cmocka_unit_test(a_path_that_no_socket_can_have_is_refused),
        cmocka_unit_test(a_socket_is_never_one_of_the_standard_streams),
        cmocka_unit_test(a_call_that_just_fits_is_sent),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
