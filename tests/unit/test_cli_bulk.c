/* Readings from a stream: what is sent, in which portions, and what each line is told. */
#include "tests/unit/a_played_daemon.h"

#include "cli/bulk.h"
#include "cli/link.h"
#include "daemon/base/err.h"
#include "daemon/base/wire.h"

#include <fcntl.h>

#define TAKEN "\"result\":{\"refused\":[]}"
#define LINE  "{\"subject\":\"A1\",\"ph\":5.8}"

/* Feeds the text to it from a file; what it printed is in s->out and s->errs. */
static int feed(struct scene *s, const struct text *text, struct bulk b, struct bulk_sum *sum,
                struct err *e)
{
    char path[80];
    FILE *file;
    size_t len;
    int rc;

    (void)snprintf(path, sizeof path, "%s/lines", s->folder);
    file = fopen(path, "we");
    assert_non_null(file);
    assert_int_equal(fwrite(text_str(text), 1, text->len, file), text->len);
    assert_int_equal(fclose(file), 0);
    b.path = s->path;
    b.key = "k";
    b.in = open(path, O_RDONLY | O_CLOEXEC);
    b.out = open_memstream(&s->out, &len);
    b.errs = open_memstream(&s->errs, &len);
    *sum = (struct bulk_sum){0};
    rc = bulk_readings(&b, sum, e);
    assert_int_equal(fclose(b.out), 0);
    assert_int_equal(fclose(b.errs), 0);
    assert_int_equal(close(b.in), 0);
    assert_int_equal(unlink(path), 0);
    return rc;
}

static size_t count(const char *text, const char *word)
{
    size_t n = 0;

    for (const char *at = text; (at = strstr(at, word)) != NULL; at++) {
        n++;
    }
    return n;
}

static void what_the_daemon_refuses_is_told_by_its_line(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":{\"refused\":[null,\"no A9\",null]}"}, 1};
    struct bulk_sum sum;
    struct text in = {0};
    struct scene s;
    char *calls;

    (void)ctx;
    text_add(&in, "\n" LINE "\nnot json\n{\"subject\":\"A9\"}\n[1]\n" LINE);
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, NULL), 0);
    assert_int_equal(sum.taken, 2);
    assert_int_equal(sum.refused, 3);
    assert_int_equal(strncmp(s.errs, "line 3: ", 8), 0);
    assert_non_null(strstr(s.errs, "\nline 5: it is no JSON object\nline 4: no A9\n"));
    assert_string_equal(s.out, "");
    calls = heard(&s);
    assert_string_equal(calls, "readings {\"readings\":[" LINE ",{\"subject\":\"A9\"}," LINE
                               "],\"sure\":false,\"key\":\"k-2\"}\n");
    free(calls);
    text_deinit(&in);
    scene_close(&s);
}

static void every_line_has_its_verdict_as_json(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {"\"result\":{\"refused\":[null,\"no A9\"]}"}, 1};
    struct bulk_sum sum;
    struct text in = {0};
    struct scene s;
    char *calls;

    (void)ctx;
    text_add(&in, LINE "\n{\"subject\":\"A9\"}\n{}x\n");
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){.json = true, .sure = true}, &sum, NULL), 0);
    assert_non_null(strstr(s.out, "{\"line\":3,\"taken\":false,\"why\":\""));
    assert_non_null(strstr(s.out, "{\"line\":1,\"taken\":true,\"why\":null}\n"
                                  "{\"line\":2,\"taken\":false,\"why\":\"no A9\"}\n"));
    assert_string_equal(s.errs, "");
    calls = heard(&s);
    assert_non_null(strstr(calls, "],\"sure\":true,\"key\":\"k-1\"}\n"));
    free(calls);
    text_deinit(&in);
    scene_close(&s);
}

/* A request has at most 400 readings. */
static void many_lines_go_out_in_several_requests(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {TAKEN, TAKEN, TAKEN},
          3
    };
    struct bulk_sum sum;
    struct text in = {0};
    struct scene s;
    char *calls;

    (void)ctx;
    for (int i = 0; i < 801; i++) {
        text_add(&in, "{\"subject\":\"A1\",\"at\":%d}\n", i);
    }
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, NULL), 0);
    assert_int_equal(sum.taken, 801);
    calls = heard(&s);
    assert_int_equal(count(calls, "readings {"), 3);
    assert_int_equal(count(calls, "\"at\":"), 801);
    assert_non_null(strstr(
        calls, "\"at\":399}],\"sure\":false,\"key\":\"k-1\"}\nreadings {\"readings\":[{\"subject\":"
               "\"A1\",\"at\":400}"));
    free(calls);
    text_deinit(&in);
    scene_close(&s);
}

/* A line of the protocol has 64 KiB: four readings of 16 KiB do not fit into one. */
static void long_lines_never_make_a_request_too_long(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {TAKEN, TAKEN},
          2
    };
    const size_t most = WIRE_LINE_MAX / 4;
    struct bulk_sum sum;
    struct text in = {0};
    struct scene s;
    char *calls;

    (void)ctx;
    for (int i = 0; i < 7; i++) { /* the last is a byte too long for a reading */
        size_t frame = strlen("{\"note\":\"\"}");
        size_t fill = most - frame + (i == 6);

        text_add(&in, "{\"note\":\"");
        for (size_t k = 0; k < fill; k++) {
            text_add(&in, "x");
        }
        text_add(&in, "\"}\n");
    }
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, NULL), 0);
    assert_int_equal(sum.taken, 6);
    assert_int_equal(sum.refused, 1);
    assert_string_equal(s.errs, "line 7: the line is too long for a reading\n");
    calls = heard(&s);
    assert_int_equal(count(calls, "readings {"), 2);
    free(calls);
    text_deinit(&in);
    scene_close(&s);
}

static void a_line_without_an_end_ends_the_reading(void **ctx)
{
    static const struct script part = {"\"result\":" HELLO, {TAKEN}, 1};
    struct bulk_sum sum;
    struct text in = {0};
    struct err e;
    struct scene s;

    (void)ctx;
    text_add(&in, LINE "\n");
    for (int i = 0; i <= 2 * WIRE_LINE_MAX; i++) {
        text_add(&in, "x");
    }
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, "line 2 does not end");
    text_deinit(&in);
    scene_close(&s);
}

static void what_got_its_verdict_before_the_daemon_went_away_counts(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {TAKEN, NULL},
          2
    };
    struct bulk_sum sum;
    struct text in = {0};
    struct err e;
    struct scene s;

    (void)ctx;
    for (int i = 0; i < 401; i++) {
        text_add(&in, LINE "\n");
    }
    scene_open(&s, &part);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, &e), LINK_LOST);
    assert_int_equal(sum.taken, 400);
    assert_int_equal(sum.refused, 0);
    text_deinit(&in);
    scene_close(&s);
}

static void nothing_to_read_asks_nothing(void **ctx)
{
    struct bulk_sum sum;
    struct text in = {0};
    struct scene s;

    (void)ctx;
    scene_open(&s, NULL);
    assert_int_equal(feed(&s, &in, (struct bulk){0}, &sum, NULL), 0);
    assert_int_equal(sum.taken + sum.refused, 0);
    scene_close(&s);
}

/* The writer of the second line waits, for 10 s at most, until the first one was heard of. */
static void write_when_heard(int to, const char *heard_path)
{
    (void)!write(to, LINE "\n", strlen(LINE) + 1);
    for (int i = 0; i < 1000; i++) {
        FILE *f = fopen(heard_path, "re");
        bool there = f && fgetc(f) != EOF;

        if (f) {
            (void)fclose(f);
        }
        if (there) {
            break;
        }
        (void)usleep(10000);
    }
    (void)!write(to, LINE "\n", strlen(LINE) + 1);
    _exit(0);
}

static void a_reading_goes_out_when_nothing_more_comes_for_the_moment(void **ctx)
{
    static const struct script part = {
        "\"result\":" HELLO, {TAKEN, TAKEN},
          2
    };
    struct bulk_sum sum = {0};
    struct scene s;
    struct bulk b;
    size_t len;
    char *calls;
    int ends[2];
    pid_t writer;

    (void)ctx;
    scene_open(&s, &part);
    assert_int_equal(pipe(ends), 0);
    writer = fork();
    assert_true(writer >= 0);
    if (writer == 0) {
        (void)close(ends[0]);
        write_when_heard(ends[1], s.heard);
    }
    assert_int_equal(close(ends[1]), 0);
    b = (struct bulk){.path = s.path, .in = ends[0], .key = "k"};
    b.out = open_memstream(&s.out, &len);
    b.errs = open_memstream(&s.errs, &len);
    assert_int_equal(bulk_readings(&b, &sum, NULL), 0);
    assert_int_equal(fclose(b.out) + fclose(b.errs) + close(ends[0]), 0);
    assert_int_equal(waitpid(writer, NULL, 0), writer);
    assert_int_equal(sum.taken, 2);
    calls = heard(&s);
    assert_int_equal(count(calls, "readings {"), 2);
    free(calls);
    scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_the_daemon_refuses_is_told_by_its_line),
        cmocka_unit_test(every_line_has_its_verdict_as_json),
        cmocka_unit_test(many_lines_go_out_in_several_requests),
        cmocka_unit_test(long_lines_never_make_a_request_too_long),
        cmocka_unit_test(a_line_without_an_end_ends_the_reading),
        cmocka_unit_test(what_got_its_verdict_before_the_daemon_went_away_counts),
        cmocka_unit_test(nothing_to_read_asks_nothing),
        cmocka_unit_test(a_reading_goes_out_when_nothing_more_comes_for_the_moment),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
