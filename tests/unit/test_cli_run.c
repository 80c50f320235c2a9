/* The whole command against a daemon that plays a part: exit codes, messages, retries. */
#include "tests/unit/a_played_daemon.h"

#define ENTRY(seq)                                                                                 \
    "{\"seq\":\"" seq "\",\"happened\":\"2026-03-01T07:05:00+01:00\",\"text\":\"A3 reading\","     \
    "\"who\":\"anna\",\"voided\":false}"

static void an_answer_is_shown_and_the_exit_code_is_0(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"now\":\"2026-03-01T07:00:00+01:00\",\"simulated\":false}"},
        1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "clock");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "It is Sun 1 Mar 2026, 07:00.\n");
    assert_string_equal(s.errs, "");
    scene_close(&s);
}

static void json_is_the_answer_as_it_came(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"products\":[{\"name\":\"a\",\"left\":1.4,\"x\":null}]}"},
        1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "stock --json");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "{\"products\":[{\"name\":\"a\",\"left\":1.4,\"x\":null}]}\n");
    scene_close(&s);
}

static void the_log_is_asked_for_page_by_page(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"entries\":[" ENTRY("1") "],\"next\":1}",
                "\"result\":{\"entries\":[" ENTRY("2") "],\"next\":null}"},
        2
    };
    struct scene s;
    char *calls;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "log --of A3");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "Sun 1 Mar 07:05       1  A3 reading (anna)\n"
                               "Sun 1 Mar 07:05       2  A3 reading (anna)\n");
    calls = heard(&s);
    assert_string_equal(calls, "log {\"of\":\"A3\"}\nlog {\"of\":\"A3\",\"after\":1}\n");
    free(calls);
    scene_close(&s);
}

static void the_log_as_json_is_one_object(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"entries\":[" ENTRY("1") "],\"next\":1}",
                "\"result\":{\"entries\":[" ENTRY("2") "],\"next\":null}"},
        2
    };
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "log --json");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "{\"entries\":[" ENTRY("1") "," ENTRY("2") "],\"next\":null}\n");
    scene_close(&s);
}

static void a_refusal_is_told_on_stderr_with_exit_code_1(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"error\":{\"code\":-32602,\"message\":\"nothing is called 'A99'\"}"},
        1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "show A99");
    assert_int_equal(s.code, 1);
    assert_string_equal(s.out, "");
    assert_string_equal(s.errs, "tarn: nothing is called 'A99'\n");
    scene_close(&s);
}

static void a_strange_figure_is_answered_with_how_to_insist(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"error\":{\"code\":-32001,\"message\":\"ph 9.9 is strange\"}"}, 1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "ack 41 ph=9.9");
    assert_int_equal(s.code, 1);
    assert_non_null(strstr(s.errs, "tarn: ph 9.9 is strange\nIf it is right, say so:\n  tarn "));
    assert_non_null(strstr(s.errs, " ack 41 ph=9.9 --sure\n"));
    scene_close(&s);
}

static void a_lost_call_is_repeated_once_under_the_same_key(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {NULL, "\"result\":{\"task\":\"41\",\"done\":true,\"entries\":[],\"left\":[]}"},
        2
    };
    struct scene s;
    char *calls;
    char *second;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "ack 41 ph=5.9");
    assert_int_equal(s.code, 0);
    calls = heard(&s);
    second = strchr(calls, '\n') + 1;
    assert_int_equal(strncmp(calls, second, (size_t)(second - calls)), 0);
    assert_int_equal(second - calls, strlen(second));
    assert_non_null(strstr(calls, "\"key\":\""));
    free(calls);
    scene_close(&s);
}

static void a_call_lost_twice_says_how_to_repeat_it_safely(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {NULL, NULL},
          2
    };
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "ack 41 ph=5.9 --key mine");
    assert_int_equal(s.code, 1);
    assert_string_equal(
        s.errs, "tarn: nobody knows whether this was written down; repeat it with --key mine,\n"
                "      which is safe: the connection to the daemon was lost: it hung up\n");
    scene_close(&s);
}

static void a_lost_reading_call_is_not_repeated(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {NULL, NULL},
          2
    };
    struct scene s;
    char *calls;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "clock advance 7d");
    assert_int_equal(s.code, 1);
    calls = heard(&s);
    assert_string_equal(calls, "clock {\"advance\":\"7d\"}\n");
    free(calls);
    scene_close(&s);
}

static void without_a_daemon_it_says_how_to_start_one(void **ctx)
{
    struct scene s;

    (void)ctx;
    scene_open(&s, NULL);
    tarn(&s, "today");
    assert_int_equal(s.code, 3);
    assert_non_null(strstr(s.errs, "tarn: no daemon answers at /tmp/tarn-cli-"));
    assert_non_null(
        strstr(s.errs, "tarnd --room ROOM.yaml --state FOLDER --socket /tmp/tarn-cli-"));
    scene_close(&s);
}

static void another_protocol_names_both_versions(void **ctx)
{
    static const struct script newer = {
        "\"result\":{\"protocol\":2,\"version\":\"9.0.0\"}", {"\"result\":{}"}, 1};
    static const struct script refuses = {
        "\"error\":{\"code\":-32004,\"message\":\"tarnd 9.0.0 speaks protocol 2\"}",
        {"\"result\":{}"},
        1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &newer);
    tarn(&s, "status");
    assert_int_equal(s.code, 4);
    assert_non_null(strstr(s.errs, "tarn: tarn " TARN_VERSION " speaks protocol 1, the daemon"));
    scene_close(&s);
    scene_open(&s, &refuses);
    tarn(&s, "status");
    assert_int_equal(s.code, 4);
    assert_non_null(strstr(s.errs, "tarn: tarn " TARN_VERSION " speaks protocol 1; the daemon"));
    scene_close(&s);
}

static void a_call_longer_than_a_line_may_be_is_never_sent(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {NULL}, 1};
    struct scene s;
    struct text line = {0};

    (void)ctx;
    scene_open(&s, &part);
    text_add(&line, "record cleaned");
    for (int i = 0; i < 4; i++) {
        text_add(&line, " a-shelf-with-a-name-%d-0001..2000", i);
    }
    tarn(&s, text_str(&line));
    assert_int_equal(s.code, 2);
    assert_non_null(strstr(s.errs, "tarn: this is too much for one call ("));
    text_deinit(&line);
    scene_close(&s);
}

static void a_full_disk_is_not_taken_for_success(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {"\"result\":{\"now\":\"\"}"}, 1};
    char *argv[] = {NULL, NULL, NULL, NULL};
    char words[4][64] = {"tarn", "--socket", "", "clock"};
    FILE *full = fopen("/dev/full", "we");
    struct scene s;
    size_t len;
    FILE *errs;

    (void)ctx;
    assert_non_null(full);
    scene_open(&s, &part);
    errs = open_memstream(&s.errs, &len);
    (void)snprintf(words[2], sizeof words[2], "%s", s.path);
    for (int i = 0; i < 4; i++) {
        argv[i] = words[i];
    }
    assert_int_equal(run(4, argv, full, errs), 1);
    assert_int_equal(fclose(errs), 0);
    (void)fclose(full);
    assert_string_equal(s.errs, "tarn: cannot write the answer: No space left on device\n");
    scene_close(&s);
}

static void wrong_usage_asks_nothing_of_the_daemon(void **ctx)
{
    struct scene s;

    (void)ctx;
    scene_open(&s, NULL);
    tarn(&s, "drop 41");
    assert_int_equal(s.code, 2);
    assert_string_equal(s.errs, "tarn: 'tarn drop' needs --why TEXT: the reason, for the record\n"
                                "See: tarn help drop\n");
    scene_close(&s);
}

static void the_socket_is_that_of_the_option_or_of_the_environment(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {"\"result\":{\"now\":\"\"}"}, 1};
    char verb[] = "clock";
    char name[] = "tarn";
    char *argv[] = {name, verb};
    struct scene s;
    size_t len;
    FILE *out;
    FILE *errs;

    (void)ctx;
    scene_open(&s, &part);
    assert_int_equal(setenv("TARN_SOCKET", s.path, 1), 0);
    out = open_memstream(&s.out, &len);
    errs = open_memstream(&s.errs, &len);
    assert_int_equal(run(2, argv, out, errs), 0);
    assert_int_equal(setenv("TARN_SOCKET", "", 1), 0); /* as if it were not there */
    assert_int_equal(run(2, argv, out, errs), 3);
    assert_int_equal(unsetenv("TARN_SOCKET"), 0);
    assert_int_equal(fclose(out) + fclose(errs), 0);
    assert_non_null(strstr(s.errs, "no daemon answers at /run/tarn/tarn.sock: "));
    scene_close(&s);
}

static void a_log_as_csv_has_its_head_once(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"entries\":[" ENTRY("1") "],\"next\":1}",
                "\"result\":{\"entries\":[" ENTRY("2") "],\"next\":null}"},
        2
    };
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "log --csv");
    assert_int_equal(s.code, 0);
    assert_int_equal(strncmp(s.out, "seq,happened,", 13), 0);
    assert_non_null(strstr(s.out, "\r\n1,2026-03-01T07:05:00+01:00,"));
    assert_non_null(strstr(s.out, "\r\n2,2026-03-01T07:05:00+01:00,"));
    assert_null(strstr(s.out + 1, "seq,happened"));
    scene_close(&s);
}

static void an_empty_log_as_json_is_an_object_all_the_same(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":{\"entries\":[],\"next\":null}"}, 1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "log --json");
    assert_string_equal(s.out, "{\"entries\":[],\"next\":null}\n");
    scene_close(&s);
}

/* A key is 16 random bytes in hex, another one each time. */
static void calls_that_write_carry_a_key_and_others_do_not(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"entries\":[]}", "\"result\":{\"entries\":[]}", "\"result\":{}"},
        3
    };
    struct scene s;
    char *calls;
    char *first;
    char *second;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "drop 41 --why x");
    free(s.out);
    free(s.errs);
    tarn(&s, "drop 41 --why x");
    free(s.out);
    free(s.errs);
    tarn(&s, "today");
    calls = heard(&s);
    first = strstr(calls, "\"key\":\"");
    assert_non_null(first);
    assert_int_equal(strspn(first + 7, "0123456789abcdef"), 32);
    second = strstr(first + 1, "\"key\":\"");
    assert_non_null(second);
    assert_int_not_equal(strncmp(first, second, 39), 0);
    assert_null(strstr(second + 1, "\"key\""));
    free(calls);
    scene_close(&s);
}

/* Against a stopped daemon: with readings to send it would be told that nobody answers. */
static void only_the_dash_reads_readings_from_standard_input(void **ctx)
{
    struct scene s;

    (void)ctx;
    tarn_alone(&s, "record reading A1 ph=6");
    assert_int_equal(s.code, 3);
    assert_string_equal(s.out, "");
    scene_close(&s);
    tarn_alone(&s, "record note -");
    assert_int_equal(s.code, 2);
    assert_non_null(strstr(s.errs, "'-' is neither a name nor a figure"));
    scene_close(&s);
}

static void the_greeting_gives_the_room_and_its_units(void **ctx)
{
    static const struct script part = {
        "\"result\":{\"protocol\":1,\"room\":\"Loft\",\"now\":\"2026-03-01T07:00:00+01:00\","
        "\"units\":{\"volume\":\"gal\",\"ec\":\"ppm500\",\"temp\":\"F\"}}",
        {"\"result\":{\"type\":\"container\",\"container\":{\"condition\":\"drawdown\","
         "\"use_l_day\":3.7854,\"ec_ms_cm\":1.2}}", /* then the day's list */
         "\"result\":{\"date\":\"2026-03-01\",\"tasks\":[]}"},
        2
    };
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "show A1");
    assert_non_null(strstr(s.out, "Drinks        1.00 gal a day\nStrength      600 ppm500 now\n"));
    free(s.out);
    free(s.errs);
    tarn(&s, "today");
    assert_int_equal(strncmp(s.out, "Loft, Sun 1 Mar 2026\n", 21), 0);
    scene_close(&s);
}

/* What others typed into names and notes. */
static void an_answer_is_cleaned_before_it_is_shown(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"products\":[{\"name\":\"a\\u001b[2J\",\"left\":1}]}"},
        1};
    struct scene s;

    (void)ctx;
    scene_open(&s, &part);
    tarn(&s, "stock");
    assert_non_null(strstr(s.out, "a [2J"));
    assert_null(strchr(s.out, '\x1b'));
    scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_is_shown_and_the_exit_code_is_0),
        cmocka_unit_test(json_is_the_answer_as_it_came),
        cmocka_unit_test(the_log_is_asked_for_page_by_page),
        cmocka_unit_test(the_log_as_json_is_one_object),
        cmocka_unit_test(a_refusal_is_told_on_stderr_with_exit_code_1),
        cmocka_unit_test(a_strange_figure_is_answered_with_how_to_insist),
        cmocka_unit_test(a_lost_call_is_repeated_once_under_the_same_key),
        cmocka_unit_test(a_call_lost_twice_says_how_to_repeat_it_safely),
        cmocka_unit_test(a_lost_reading_call_is_not_repeated),
        cmocka_unit_test(without_a_daemon_it_says_how_to_start_one),
        cmocka_unit_test(another_protocol_names_both_versions),
        cmocka_unit_test(a_call_longer_than_a_line_may_be_is_never_sent),
        cmocka_unit_test(a_full_disk_is_not_taken_for_success),
        cmocka_unit_test(wrong_usage_asks_nothing_of_the_daemon),
        cmocka_unit_test(the_socket_is_that_of_the_option_or_of_the_environment),
        cmocka_unit_test(a_log_as_csv_has_its_head_once),
        cmocka_unit_test(an_empty_log_as_json_is_an_object_all_the_same),
        cmocka_unit_test(calls_that_write_carry_a_key_and_others_do_not),
        cmocka_unit_test(only_the_dash_reads_readings_from_standard_input),
        cmocka_unit_test(the_greeting_gives_the_room_and_its_units),
        cmocka_unit_test(an_answer_is_cleaned_before_it_is_shown),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
