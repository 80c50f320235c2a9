/* The real command against the real daemon: what a grower types, and what a script can rely on. */
#include "daemon/base/text.h"
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

struct fixture {
    struct rig rig;
    struct text out; /* what the last command printed, both streams */
};

static struct fixture f;

static int set_up(void **ctx)
{
    (void)ctx;
    rig_make(&f.rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    rig_start(&f.rig);
    return 0;
}

static int tear_down(void **ctx)
{
    (void)ctx;
    text_deinit(&f.out);
    if (f.rig.pid) {
        rig_stop(&f.rig);
    }
    rig_remove(&f.rig);
    return 0;
}

/* Runs `tarn WORDS` through a shell and gives its exit status. */
static int tarn(const char *words)
{
    char command[1024];
    char buf[4096];
    size_t n;
    FILE *p;
    int status;

    text_clear(&f.out);
    (void)snprintf(command, sizeof command, "%s --socket '%s' %s 2>&1", TARN, f.rig.socket, words);
    p = popen(command, "re"); /* NOLINT(cert-env33-c): the words are this test's */
    assert_non_null(p);
    while ((n = fread(buf, 1, sizeof buf, p)) > 0) {
        text_add_bytes(&f.out, buf, n);
    }
    status = pclose(p);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void assert_says(const char *words)
{
    if (!strstr(text_str(&f.out), words)) {
        fail_msg("wanted '%s' in:\n%s", words, text_str(&f.out));
    }
}

/* Columns, counted in characters: every screen fits a terminal of 80. */
static void assert_fits(const char *words)
{
    const char *s;
    int columns = 0;

    assert_int_equal(tarn(words), 0);
    for (s = text_str(&f.out); *s; s++) {
        columns = *s == '\n' ? 0 : columns + (((unsigned char)*s & 0xC0U) != 0x80U);
        if (columns > 80) {
            fail_msg("tarn %s prints more than 80 columns:\n%s", words, text_str(&f.out));
        }
    }
}

static void a_morning_is_worked_through(void **ctx)
{
    (void)ctx;
    assert_int_equal(tarn("today"), 0);
    assert_says("calibrate");
    assert_int_equal(tarn("ack 1 slope=97% offset=4mV"), 0);
    assert_says("ph-pen calibrated: slope 97 %");
    assert_int_equal(tarn("ack 3 volume=90L ph=5.9"), 0);
    assert_int_equal(tarn("show T1"), 0);
    assert_int_equal(tarn("ack 4 ec=0.7mS/cm --only T1,T3 --note 'two seedlings were small'"), 0);
    assert_says("T2, T4");
    assert_int_equal(tarn("log --of T1"), 0);
    assert_says("T1 started tomato");
    assert_int_equal(tarn("record reading T1 ec=0.72mS/cm ph=6.0 T3 ec=0.7mS/cm"), 0);
    assert_int_equal(tarn("status"), 0);
    assert_says("T1");
    assert_int_equal(tarn("clock advance 7d"), 0);
    assert_says("Sun 8 Mar 2026");
}

static void every_screen_fits_eighty_columns(void **ctx)
{
    static const char *const screens[] = {
        "status", "today --full",      "outlook",     "stock",
        "log",    "show T1",           "show leaf",   "show reservoir",
        "help",   "show calcium-part", "show ph-pen", "ack --help"};

    (void)ctx;
    assert_int_equal(tarn("ack 4 ec=0.7mS/cm"), 0);
    assert_int_equal(tarn("clock advance 30d"), 0);
    for (size_t i = 0; i < sizeof screens / sizeof *screens; i++) {
        assert_fits(screens[i]);
    }
}

static void a_refusal_gives_its_reason_and_exit_one(void **ctx)
{
    (void)ctx;
    assert_int_equal(tarn("ack 999"), 1);
    assert_says("there is no open task 999");
    assert_int_equal(tarn("record reading reservoir ph=9.4"), 1);
    assert_says("--sure");
    assert_int_equal(tarn("record reading reservoir ph=9.4 --sure"), 0);
}

static void wrong_usage_is_exit_two_with_the_nearest_verb(void **ctx)
{
    (void)ctx;
    assert_int_equal(tarn("todya"), 2);
    assert_says("today");
    assert_int_equal(tarn("defer 1"), 2);
}

static void no_daemon_is_exit_three_and_says_how_to_start_one(void **ctx)
{
    (void)ctx;
    rig_stop(&f.rig);
    assert_int_equal(tarn("status"), 3);
    assert_says("tarnd --room");
}

static void json_is_what_the_daemon_said(void **ctx)
{
    struct client c;
    json_t *said;
    json_t *printed;

    (void)ctx;
    assert_int_equal(tarn("--json stock"), 0);
    printed = json_loads(text_str(&f.out), 0, NULL);
    client_open(&c, &f.rig);
    said = client_ask(&c, "stock", NULL);
    assert_true(json_equal(said, printed));
    json_decref(said);
    json_decref(printed);
    client_close(&c);
}

/* The text of one key in the answer that was printed last, of its first entry. */
static void printed_text(const char *key, char *out, size_t len)
{
    json_t *printed = json_loads(text_str(&f.out), 0, NULL);
    json_t *entry = json_array_get(json_object_get(printed, "entries"), 0);
    const char *text = json_string_value(json_object_get(entry, key));

    assert_non_null(text);
    (void)snprintf(out, len, "%s", text);
    json_decref(printed);
}

/* What a script reads off one answer it may give to the next call: an instant as --json prints it
 * is an instant everywhere. */
static void an_instant_that_was_printed_is_taken_back(void **ctx)
{
    /* clang-format off */
    static const struct {
        const char *before, *at; /* NULL: as it was printed */
        const char *behind;
    } calls[] = {
        {"log --since",                   NULL,                           ""},
        {"log --since",                   NULL,                           "--until 'today 06:31'"},
        {"record reading T1 ph=5.9 --at", NULL,                           "--key again"},
        {"log --since",                   "2026-03-01T05:30:00Z",         ""},
        {"log --since",                   "2026-03-01T00:30:00.5-05:00",  ""},
        {"log --since",                   "2026-03-01T07:30:00.25+02:00", ""},
    };
    /* clang-format on */
    char happened[64];
    char again[64];

    (void)ctx;
    assert_int_equal(tarn("ack 4 ec=0.7mS/cm --only T1 --at '2026-03-01 05:00'"), 0);
    assert_int_equal(tarn("--json record reading T1 ph=5.9 --at '2026-03-01 06:30'"), 0);
    printed_text("happened", happened, sizeof happened);
    assert_int_equal(strlen(happened), strlen("2026-03-01T06:30:00+01:00"));
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        char call[200];

        (void)snprintf(call, sizeof call, "--json %s %s %s", calls[i].before,
                       calls[i].at ? calls[i].at : happened, calls[i].behind);
        if (tarn(call) != 0) {
            fail_msg("tarn %s: %s", call, text_str(&f.out));
        }
        printed_text("happened", again, sizeof again);
        assert_string_equal(again, happened);
    }
    assert_int_equal(tarn("--json record reading T1 ph=5.9 --at 2026-03-02T07:00:00+01:00"), 1);
    assert_says("is still to come");
    assert_int_equal(tarn("--json clock to 2026-03-01T18:00:00+01:00"), 0);
    assert_says("2026-03-01T18:00:00+01:00");
}

static void the_log_as_csv_has_a_line_an_entry(void **ctx)
{
    size_t lines = 0;

    (void)ctx;
    assert_int_equal(tarn("record note T1 --note 'a \"quoted\" word, and a comma'"), 0);
    assert_int_equal(tarn("log --csv"), 0);
    assert_says("\"a \"\"quoted\"\" word, and a comma\"");
    for (const char *s = text_str(&f.out); *s; s++) {
        lines += *s == '\n';
    }
    assert_int_equal(lines, 2); /* the names of the columns, and the note */
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_morning_is_worked_through),
        TEST(every_screen_fits_eighty_columns),
        TEST(a_refusal_gives_its_reason_and_exit_one),
        TEST(wrong_usage_is_exit_two_with_the_nearest_verb),
        TEST(no_daemon_is_exit_three_and_says_how_to_start_one),
        TEST(json_is_what_the_daemon_said),
        TEST(an_instant_that_was_printed_is_taken_back),
        TEST(the_log_as_csv_has_a_line_an_entry),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
