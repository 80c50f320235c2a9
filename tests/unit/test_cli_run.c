/* The whole command against a daemon that plays a part: exit codes, messages, retries. */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <jansson.h>

#include "cli/run.h"
#include "daemon/base/text.h"

#define HELLO                                                                                      \
    "{\"protocol\":1,\"version\":\"0.1.0\",\"room\":\"Cellar\",\"simulated\":false,"               \
    "\"now\":\"2026-03-01T07:00:00+01:00\",\"units\":{\"volume\":\"L\",\"ec\":\"mS/cm\","          \
    "\"temp\":\"C\"}}"
#define ENTRY(seq)                                                                                 \
    "{\"seq\":\"" seq "\",\"happened\":\"2026-03-01T07:05:00+01:00\",\"text\":\"A3 reading\","     \
    "\"who\":\"anna\",\"voided\":false}"

/* What the played daemon says to each call but hello, in turn; NULL = it hangs up. */
struct script {
    const char *hello; /* "result" or "error" and its value */
    const char *answer[4];
    size_t n_answers;
};

struct scene {
    char folder[32];
    char path[64];
    char heard[64]; /* a file with the calls that were heard */
    pid_t daemon;
    char *out, *errs;
    int code;
};

static void reply(FILE *to, json_int_t id, const char *said)
{
    (void)fprintf(to, "{\"jsonrpc\":\"2.0\",\"id\":%lld,%s}\n", (long long)id, said);
    (void)fflush(to);
}

/* Plays until the client hangs up, or until the part says to. Returns how many answers are used. */
static size_t play_one(int fd, const struct script *part, size_t at, FILE *heard)
{
    FILE *from = fdopen(fd, "r");
    FILE *to = fdopen(dup(fd), "w");
    char *line = NULL;
    size_t cap = 0;
    bool on = true;

    while (on && getline(&line, &cap, from) > 0) {
        json_t *call = json_loads(line, 0, NULL);
        const char *method = json_string_value(json_object_get(call, "method"));
        json_int_t id = json_integer_value(json_object_get(call, "id"));

        if (strcmp(method, "hello") == 0) {
            reply(to, id, part->hello);
        } else {
            char *params = json_dumps(json_object_get(call, "params"), JSON_COMPACT);

            (void)fprintf(heard, "%s %s\n", method, params);
            (void)fflush(heard);
            free(params);
            on = at < part->n_answers && part->answer[at] != NULL;
            if (on) {
                reply(to, id, part->answer[at]);
            }
            at++;
        }
        json_decref(call);
    }
    free(line);
    (void)fclose(from);
    (void)fclose(to);
    return at;
}

static void play(int listener, const struct script *part, const char *heard_path)
{
    FILE *heard = fopen(heard_path, "we");
    size_t at = 0;

    while (true) {
        int fd = accept(listener, NULL, NULL);

        if (fd < 0) {
            _exit(1);
        }
        at = play_one(fd, part, at, heard);
    }
}

static void raise_curtain(struct scene *s, const struct script *part)
{
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    int listener;

    *s = (struct scene){0};
    (void)snprintf(s->folder, sizeof s->folder, "/tmp/tarn-cli-XXXXXX");
    assert_non_null(mkdtemp(s->folder));
    (void)snprintf(s->path, sizeof s->path, "%s/sock", s->folder);
    (void)snprintf(s->heard, sizeof s->heard, "%s/heard", s->folder);
    if (!part) {
        return;
    }
    memcpy(to.sun_path, s->path, strlen(s->path));
    listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(listener >= 0);
    assert_int_equal(bind(listener, (struct sockaddr *)&to, sizeof to), 0);
    assert_int_equal(listen(listener, 8), 0);
    s->daemon = fork();
    assert_true(s->daemon >= 0);
    if (s->daemon == 0) {
        /* A test that fails never drops the curtain: the daemon ends with it all the same. */
        (void)prctl(PR_SET_PDEATHSIG, SIGKILL);
        play(listener, part, s->heard);
    }
    assert_int_equal(close(listener), 0);
}

/* Runs the words (split at blanks) with --socket in front. */
static void tarn(struct scene *s, const char *line)
{
    char words[400];
    char *argv[20] = {words};
    char *rest = NULL;
    int argc = 0;
    size_t len;
    FILE *out = open_memstream(&s->out, &len);
    FILE *errs = open_memstream(&s->errs, &len);

    (void)snprintf(words, sizeof words, "tarn --socket %s %s", s->path, line);
    for (char *w = strtok_r(words, " ", &rest); w; w = strtok_r(NULL, " ", &rest)) {
        assert_true(argc < 20);
        argv[argc++] = w;
    }
    s->code = run(argc, argv, out, errs);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(fclose(errs), 0);
}

static char *heard(const struct scene *s)
{
    FILE *f = fopen(s->heard, "re");
    struct text t = {0};
    int c;

    assert_non_null(f);
    while ((c = fgetc(f)) != EOF) {
        text_add(&t, "%c", c);
    }
    (void)fclose(f);
    return text_take(&t);
}

static void drop_curtain(struct scene *s)
{
    if (s->daemon) {
        assert_int_equal(kill(s->daemon, SIGKILL), 0);
        assert_int_equal(waitpid(s->daemon, NULL, 0), s->daemon);
    }
    (void)unlink(s->path);
    (void)unlink(s->heard);
    assert_int_equal(rmdir(s->folder), 0);
    free(s->out);
    free(s->errs);
}

static void an_answer_is_shown_and_the_exit_code_is_0(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"now\":\"2026-03-01T07:00:00+01:00\",\"simulated\":false}"},
        1};
    struct scene s;

    (void)ctx;
    raise_curtain(&s, &part);
    tarn(&s, "clock");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "It is Sunday 1 March 2026, 07:00.\n");
    assert_string_equal(s.errs, "");
    drop_curtain(&s);
}

static void json_is_the_answer_as_it_came(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"result\":{\"products\":[{\"name\":\"a\",\"left\":1.4,\"x\":null}]}"},
        1};
    struct scene s;

    (void)ctx;
    raise_curtain(&s, &part);
    tarn(&s, "stock --json");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "{\"products\":[{\"name\":\"a\",\"left\":1.4,\"x\":null}]}\n");
    drop_curtain(&s);
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
    raise_curtain(&s, &part);
    tarn(&s, "log --of A3");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "2026-03-01 07:05      1  A3 reading (anna)\n"
                               "2026-03-01 07:05      2  A3 reading (anna)\n");
    calls = heard(&s);
    assert_string_equal(calls, "log {\"of\":\"A3\"}\nlog {\"of\":\"A3\",\"after\":1}\n");
    free(calls);
    drop_curtain(&s);
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
    raise_curtain(&s, &part);
    tarn(&s, "log --json");
    assert_int_equal(s.code, 0);
    assert_string_equal(s.out, "{\"entries\":[" ENTRY("1") "," ENTRY("2") "],\"next\":null}\n");
    drop_curtain(&s);
}

static void a_refusal_is_told_on_stderr_with_exit_code_1(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO,
        {"\"error\":{\"code\":-32602,\"message\":\"nothing is called 'A99'\"}"},
        1};
    struct scene s;

    (void)ctx;
    raise_curtain(&s, &part);
    tarn(&s, "show A99");
    assert_int_equal(s.code, 1);
    assert_string_equal(s.out, "");
    assert_string_equal(s.errs, "tarn: nothing is called 'A99'\n");
    drop_curtain(&s);
}

static void a_strange_figure_is_answered_with_how_to_insist(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"error\":{\"code\":-32001,\"message\":\"ph 9.9 is strange\"}"}, 1};
    struct scene s;

    (void)ctx;
    raise_curtain(&s, &part);
    tarn(&s, "ack 41 ph=9.9");
    assert_int_equal(s.code, 1);
    assert_non_null(strstr(s.errs, "tarn: ph 9.9 is strange\nIf it is right, say so:\n  tarn "));
    assert_non_null(strstr(s.errs, " ack 41 ph=9.9 --sure\n"));
    drop_curtain(&s);
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
    raise_curtain(&s, &part);
    tarn(&s, "ack 41 ph=5.9");
    assert_int_equal(s.code, 0);
    calls = heard(&s);
    second = strchr(calls, '\n') + 1;
    assert_int_equal(strncmp(calls, second, (size_t)(second - calls)), 0);
    assert_int_equal(second - calls, strlen(second));
    assert_non_null(strstr(calls, "\"key\":\""));
    free(calls);
    drop_curtain(&s);
}

static void a_call_lost_twice_says_how_to_repeat_it_safely(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {NULL, NULL},
          2
    };
    struct scene s;

    (void)ctx;
    raise_curtain(&s, &part);
    tarn(&s, "ack 41 ph=5.9 --key mine");
    assert_int_equal(s.code, 1);
    assert_string_equal(
        s.errs, "tarn: nobody knows whether this was written down; repeat it with --key mine,\n"
                "      which is safe: the connection to the daemon was lost: it hung up\n");
    drop_curtain(&s);
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
    raise_curtain(&s, &part);
    tarn(&s, "clock advance 7d");
    assert_int_equal(s.code, 1);
    calls = heard(&s);
    assert_string_equal(calls, "clock {\"advance\":\"7d\"}\n");
    free(calls);
    drop_curtain(&s);
}

static void without_a_daemon_it_says_how_to_start_one(void **ctx)
{
    struct scene s;

    (void)ctx;
    raise_curtain(&s, NULL);
    tarn(&s, "today");
    assert_int_equal(s.code, 3);
    assert_non_null(strstr(s.errs, "tarn: no daemon answers at /tmp/tarn-cli-"));
    assert_non_null(
        strstr(s.errs, "tarnd --room ROOM.yaml --state FOLDER --socket /tmp/tarn-cli-"));
    drop_curtain(&s);
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
    raise_curtain(&s, &newer);
    tarn(&s, "status");
    assert_int_equal(s.code, 4);
    assert_string_equal(
        s.errs, "tarn: tarn 0.1.0 speaks protocol 1, the daemon (tarnd 9.0.0) protocol 2; install\n"
                "      both from one version\n");
    drop_curtain(&s);
    raise_curtain(&s, &refuses);
    tarn(&s, "status");
    assert_int_equal(s.code, 4);
    assert_string_equal(
        s.errs, "tarn: tarn 0.1.0 speaks protocol 1; the daemon says: tarnd 9.0.0 speaks protocol\n"
                "      2\n");
    drop_curtain(&s);
}

static void a_call_longer_than_a_line_may_be_is_never_sent(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {NULL}, 1};
    struct scene s;
    struct text line = {0};

    (void)ctx;
    raise_curtain(&s, &part);
    text_add(&line, "record cleaned");
    for (int i = 0; i < 4; i++) {
        text_add(&line, " a-shelf-with-a-name-%d-0001..2000", i);
    }
    tarn(&s, text_str(&line));
    assert_int_equal(s.code, 2);
    assert_non_null(strstr(s.errs, "tarn: this is too much for one call ("));
    text_deinit(&line);
    drop_curtain(&s);
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
    raise_curtain(&s, &part);
    errs = open_memstream(&s.errs, &len);
    (void)snprintf(words[2], sizeof words[2], "%s", s.path);
    for (int i = 0; i < 4; i++) {
        argv[i] = words[i];
    }
    assert_int_equal(run(4, argv, full, errs), 1);
    assert_int_equal(fclose(errs), 0);
    (void)fclose(full);
    assert_string_equal(s.errs, "tarn: cannot write the answer: No space left on device\n");
    drop_curtain(&s);
}

static void wrong_usage_asks_nothing_of_the_daemon(void **ctx)
{
    struct scene s;

    (void)ctx;
    raise_curtain(&s, NULL);
    tarn(&s, "drop 41");
    assert_int_equal(s.code, 2);
    assert_string_equal(s.errs, "tarn: 'tarn drop' needs --why TEXT: the reason, for the record\n"
                                "See: tarn help drop\n");
    drop_curtain(&s);
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
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
