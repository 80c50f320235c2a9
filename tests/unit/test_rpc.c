/* A line as a request, and replies as lines. */
#include "tests/cmocka_all.h"

#include "daemon/base/wire.h"
#include "daemon/serve/net/rpc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void assert_refused(const char *line, int code, const char *words)
{
    struct request r;
    struct err e = {0};

    assert_int_equal(rpc_read(line, strlen(line), &r, &e), code);
    assert_string_equal(e.msg, words);
    request_deinit(&r);
}

static void a_request_is_read(void **ctx)
{
    static const char line[] =
        "{\"jsonrpc\":\"2.0\",\"id\":\"a-7\",\"method\":\"show\",\"params\":{\"what\":\"A1\"}}";
    struct request r;
    struct err e = {0};

    (void)ctx;
    assert_int_equal(rpc_read(line, sizeof line - 1, &r, &e), 0);
    assert_string_equal(json_string_value(r.id), "a-7");
    assert_string_equal(r.method, "show");
    assert_string_equal(rpc_text(&r, "what"), "A1");
    request_deinit(&r);
}

static void params_that_are_not_given_have_their_presets(void **ctx)
{
    static const char line[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"log\"}";
    struct request r;
    struct err e = {0};

    (void)ctx;
    assert_int_equal(rpc_read(line, sizeof line - 1, &r, &e), 0);
    assert_null(rpc_text(&r, "of"));
    assert_false(rpc_bool(&r, "sure"));
    assert_int_equal(rpc_int(&r, "limit", 200), 200);
    assert_null(rpc_part(&r, "figures"));
    request_deinit(&r);
}

static void what_is_no_request_is_refused_with_the_reason(void **ctx)
{
    (void)ctx;
    assert_refused("[]", WIRE_REQUEST, "batches are not taken; send one request a line");
    assert_refused("7", WIRE_REQUEST, "a request is an object");
    assert_refused("{}", WIRE_REQUEST, "\"jsonrpc\" has to be \"2.0\"");
    assert_refused("{\"jsonrpc\":2.0,\"id\":1,\"method\":\"stock\"}", WIRE_REQUEST,
                   "\"jsonrpc\" has to be \"2.0\"");
    assert_refused("{\"jsonrpc\":\"2.0\",\"method\":\"stock\"}", WIRE_REQUEST,
                   "\"id\" has to be a string or a whole number; every request is answered");
    assert_refused("{\"jsonrpc\":\"2.0\",\"id\":1.5,\"method\":\"stock\"}", WIRE_REQUEST,
                   "\"id\" has to be a string or a whole number; every request is answered");
    assert_refused("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":7}", WIRE_REQUEST,
                   "\"method\" has to be a string");
    assert_refused("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"stock\",\"extra\":1}", WIRE_REQUEST,
                   "a request has no member 'extra'");
    assert_refused("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"stock\",\"params\":[]}", WIRE_PARAMS,
                   "\"params\" has to be an object");
}

static void a_refused_request_keeps_the_id_that_could_be_read(void **ctx)
{
    static const char line[] = "{\"id\":12,\"method\":\"stock\"}";
    struct request r;
    struct err e = {0};

    (void)ctx;
    assert_int_equal(rpc_read(line, sizeof line - 1, &r, &e), WIRE_REQUEST);
    assert_int_equal(json_integer_value(r.id), 12);
    request_deinit(&r);
}

static void a_name_given_twice_is_refused(void **ctx)
{
    static const char line[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"id\":2,\"method\":\"stock\"}";
    struct request r;
    struct err e = {0};

    (void)ctx;
    assert_int_equal(rpc_read(line, sizeof line - 1, &r, &e), WIRE_PARSE);
    assert_non_null(strstr(e.msg, "duplicate object key"));
    request_deinit(&r);
}

/* {"a":{"a":… with n maps in all. */
static char *nested(int n)
{
    char *s = calloc(1, (size_t)n * 6 + 8);
    char *p = s;

    for (int i = 0; i < n; i++) {
        p = stpcpy(p, "{\"a\":");
    }
    *p++ = '1';
    memset(p, '}', (size_t)n);
    return s;
}

static void depth_is_bounded_before_anything_is_built(void **ctx)
{
    char *deep = nested(33);
    char *fair = nested(32);

    (void)ctx;
    assert_refused(deep, WIRE_PARSE, "the line is nested more than 32 deep");
    assert_refused(fair, WIRE_REQUEST, "\"jsonrpc\" has to be \"2.0\"");
    free(deep);
    free(fair);
}

static void brackets_in_a_string_are_no_depth(void **ctx)
{
    (void)ctx;
    assert_refused("\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\"", WIRE_REQUEST,
                   "a request is an object");
    assert_refused("\"\\\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\"", WIRE_REQUEST,
                   "a request is an object");
}

static void a_line_of_open_brackets_is_refused_at_once(void **ctx)
{
    char *line = malloc(WIRE_LINE_MAX);
    struct request r;
    struct err e = {0};

    (void)ctx;
    assert_non_null(line);
    memset(line, '[', WIRE_LINE_MAX);
    assert_int_equal(rpc_read(line, WIRE_LINE_MAX, &r, &e), WIRE_PARSE);
    assert_string_equal(e.msg, "the line is nested more than 32 deep");
    request_deinit(&r);
    free(line);
}

static void bytes_that_are_no_text_are_refused(void **ctx)
{
    static const struct {
        const char *bytes;
        size_t len;
    } bad[] = {
        {"",                             0 },
        {"\0",                           1 },
        {"\xff\xfe{}",                   4 },
        {"\xef\xbb\xbf{}",               5 },
        {"\"\xc0\x80\"",                 4 },
        {"\"\xed\xa0\x80\"",             5 },
        {"\"\\ud800\"",                  8 },
        {"\"\\u0000\"",                  8 },
        {"{} {}",                        5 },
        {"{\"a\":1e999}",                11},
        {"{\"a\":NaN}",                  9 },
        {"{\"a\":99999999999999999999}", 26},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct request r;
        struct err e = {0};

        assert_int_equal(rpc_read(bad[i].bytes, bad[i].len, &r, &e), WIRE_PARSE);
        assert_int_equal(strncmp(e.msg, "the line is not JSON: ", 22), 0);
        request_deinit(&r);
    }
}

static const struct param params[] = {
    {"task", PARAM_TEXT, true },
    {"sure", PARAM_BOOL, false},
    {"days", PARAM_INT,  false},
    {"only", PARAM_LIST, false},
};

static void assert_params(const char *given, int code, const char *field, const char *words)
{
    char line[512];
    struct request r;
    struct err e = {0};

    (void)snprintf(line, sizeof line,
                   "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"drop\",\"params\":%s}", given);
    assert_int_equal(rpc_read(line, strlen(line), &r, &e), 0);
    assert_int_equal(rpc_check_params(&r, params, 4, &e), code);
    assert_string_equal(e.field, field);
    assert_string_equal(e.msg, words);
    request_deinit(&r);
}

static void params_are_those_of_the_method(void **ctx)
{
    (void)ctx;
    assert_params("{\"task\":\"1\",\"sure\":true,\"days\":3,\"only\":[]}", 0, "", "");
    assert_params("{}", ERR_MISSING, "task", "'drop' needs 'task'");
    assert_params("{\"taks\":\"1\"}", ERR_UNKNOWN, "params",
                  "'drop' takes no 'taks'; did you mean 'task'?");
    assert_params("{\"colour\":\"1\"}", ERR_UNKNOWN, "params", "'drop' takes no 'colour'");
    assert_params("{\"task\":1}", ERR_SYNTAX, "task", "'task' has to be a string");
    assert_params("{\"task\":\"1\",\"sure\":1}", ERR_SYNTAX, "sure",
                  "'sure' has to be true or false");
    assert_params("{\"task\":\"1\",\"days\":1.0}", ERR_SYNTAX, "days",
                  "'days' has to be a whole number");
    assert_params("{\"task\":\"1\",\"only\":{}}", ERR_SYNTAX, "only", "'only' has to be a list");
    assert_params("{\"task\":null}", ERR_SYNTAX, "task", "'task' has to be a string");
}

static void a_result_is_one_line_and_its_numbers_are_as_written(void **ctx)
{
    json_t *id = json_integer(4);
    char *line = rpc_result(
        id, json_pack("{s:f,s:f,s:s}", "ec", 0.1, "ph", 5.9, "note", "two\nlines, 72 °F"));

    (void)ctx;
    assert_string_equal(line, "{\"jsonrpc\":\"2.0\",\"id\":4,\"result\":{\"ec\":0.1,\"ph\":5.9,"
                              "\"note\":\"two\\nlines, 72 \\u00B0F\"}}\n");
    free(line);
    json_decref(id);
}

static void an_error_names_the_field_where_there_is_one(void **ctx)
{
    struct err e = {0};
    char *line;

    (void)ctx;
    (void)err_set(&e, ERR_REFUSED, "the tub is empty");
    line = rpc_error(NULL, rpc_wire_code(e.code), &e);
    assert_string_equal(line, "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32000,"
                              "\"message\":\"the tub is empty\"}}\n");
    free(line);
    (void)err_field(&e, ERR_RANGE, "ec", "too much");
    line = rpc_error(NULL, rpc_wire_code(e.code), &e);
    assert_string_equal(line, "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":{\"code\":-32602,"
                              "\"message\":\"too much\",\"data\":{\"field\":\"ec\"}}}\n");
    free(line);
}

static void each_of_our_codes_has_one_of_the_wire(void **ctx)
{
    (void)ctx;
    assert_int_equal(rpc_wire_code(ERR_SYNTAX), WIRE_PARAMS);
    assert_int_equal(rpc_wire_code(ERR_RANGE), WIRE_PARAMS);
    assert_int_equal(rpc_wire_code(ERR_UNKNOWN), WIRE_PARAMS);
    assert_int_equal(rpc_wire_code(ERR_MISSING), WIRE_PARAMS);
    assert_int_equal(rpc_wire_code(ERR_REFUSED), WIRE_REFUSED);
    assert_int_equal(rpc_wire_code(ERR_UNSURE), WIRE_UNSURE);
    assert_int_equal(rpc_wire_code(ERR_STORE), WIRE_STORE);
    assert_int_equal(rpc_wire_code(ERR_FULL), WIRE_STORE);
    assert_int_equal(rpc_wire_code(ERR_BUSY), WIRE_BUSY);
    assert_int_equal(rpc_wire_code(WIRE_VERSION), WIRE_VERSION);
    assert_int_equal(rpc_wire_code(WIRE_METHOD), WIRE_METHOD);
    assert_int_equal(rpc_wire_code(-5), WIRE_INTERNAL); /* a number of the system */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_request_is_read),
        cmocka_unit_test(params_that_are_not_given_have_their_presets),
        cmocka_unit_test(what_is_no_request_is_refused_with_the_reason),
        cmocka_unit_test(a_refused_request_keeps_the_id_that_could_be_read),
        cmocka_unit_test(a_name_given_twice_is_refused),
        cmocka_unit_test(depth_is_bounded_before_anything_is_built),
        cmocka_unit_test(brackets_in_a_string_are_no_depth),
        cmocka_unit_test(a_line_of_open_brackets_is_refused_at_once),
        cmocka_unit_test(bytes_that_are_no_text_are_refused),
        cmocka_unit_test(params_are_those_of_the_method),
        cmocka_unit_test(a_result_is_one_line_and_its_numbers_are_as_written),
        cmocka_unit_test(an_error_names_the_field_where_there_is_one),
        cmocka_unit_test(each_of_our_codes_has_one_of_the_wire),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
