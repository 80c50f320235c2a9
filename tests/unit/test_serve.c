/* The daemon as a whole: wrong requests, what it does unasked, the room file that
 * changes, its end. It runs in a child of the test, on a clock that stands still. */
#include "tests/unit/a_served_room.h"

#include <dirent.h>
#include <stdlib.h>

#define CASES TARN_SOURCE_DIR "/tests/data/requests-bad"

/* ---- requests that are wrong */

static char *read_case(const char *name, size_t stem, const char *ending)
{
    char path[512];
    char *text = calloc(1, 4096);
    FILE *f;

    (void)snprintf(path, sizeof path, CASES "/%.*s%s", (int)stem, name, ending);
    f = fopen(path, "re");
    assert_non_null(f);
    assert_true(fread(text, 1, 4095, f) > 0);
    (void)fclose(f);
    return text;
}

static int is_json(const struct dirent *entry)
{
    size_t len = strlen(entry->d_name);

    return len > 5 && strcmp(entry->d_name + len - 5, ".json") == 0;
}

/* What is expected, with VERSION as it is built. */
static void fill_in_version(char *expect)
{
    char *at = strstr(expect, "VERSION");

    if (at) {
        char *rest = strdup(at + strlen("VERSION"));

        (void)snprintf(at, 256, "%s%s", TARN_VERSION, rest); /* there is room for 4096 bytes */
        free(rest);
    }
}

/* Is it answered with "-32602 message\n"? */
static bool is_said(const char *request, const char *expect, const char *name)
{
    char said[4096];
    json_t *reply;
    json_t *error;
    bool same;

    daemon_send(&d, request);
    reply = daemon_hear(&d);
    error = json_object_get(reply, "error");
    (void)snprintf(said, sizeof said, "%lld %s\n",
                   (long long)json_integer_value(json_object_get(error, "code")),
                   error ? json_string_value(json_object_get(error, "message")) : "no error");
    same = strcmp(said, expect) == 0;
    if (!same) {
        print_error("%s:\n  wanted %s  got    %s", name, expect, said);
    }
    json_decref(reply);
    return same;
}

static void each_bad_request_gets_its_own_words_and_changes_nothing(void **ctx)
{
    struct dirent **name = NULL;
    json_t *status;
    int n = scandir(CASES, &name, is_json, alphasort);
    int n_wrong = 0;

    (void)ctx;
    assert_true(n >= 20);
    do_ask(&d, "today", "{}");
    for (int i = 0; i < n; i++) {
        size_t stem = strlen(name[i]->d_name) - 5;
        char *request = read_case(name[i]->d_name, stem, ".json");
        char *expect = read_case(name[i]->d_name, stem, ".expect");

        fill_in_version(expect);
        n_wrong += !is_said(request, expect, name[i]->d_name);
        free(request);
        free(expect);
        free(name[i]);
    }
    free(name);
    assert_int_equal(n_wrong, 0);
    status = ask(&d, "status", "{}");
    ASSERT_NUMBER(status, "entries", 0, 0);
    json_decref(status);
}

/* ---- what is done unasked */

static char *text_of(const char *path)
{
    char *text = calloc(1, 1 << 20);
    FILE *f = fopen(path, "re");

    if (f) {
        text[fread(text, 1, (1 << 20) - 1, f)] = 0;
        (void)fclose(f);
    }
    return text;
}

/* The n-th JSON line that the notify command was told; awaited by asking the daemon, which runs the
 * command meanwhile. A new reference. */
static json_t *await_told(const char *path, int n)
{
    for (int i = 0; i < 100000; i++) {
        char *text = text_of(path);
        char *line = text;
        json_t *told = NULL;

        for (int k = 1; k < n && line; k++) {
            line = strchr(line, '\n');
            line += line != NULL;
        }
        if (line && strchr(line, '\n')) {
            told = json_loads(line, JSON_DISABLE_EOF_CHECK, NULL);
        }
        free(text);
        if (told) {
            return told;
        }
        do_ask(&d, "stock", "{}");
    }
    fail_msg("the notify command was not told");
    return NULL;
}

static int set_up_notified(void **ctx)
{
    (void)ctx;
    /* stderr is the daemon's log, in its folder: what is told goes beside it */
    daemon_make(&d, "\nnotify: [/bin/sh, -c, 'd=$(dirname \"$(readlink /proc/$$/fd/2)\"); "
                    "cat >>\"$d/told\"; echo >>\"$d/told\"']\n");
    return 0;
}

static void the_command_is_told_of_the_list_of_each_morning_and_of_what_is_new(void **ctx)
{
    char path[128];
    json_t *told;
    json_t *list;

    (void)ctx;
    (void)snprintf(path, sizeof path, "%s/told", d.dir);
    told = await_told(path, 1); /* it was started at the hour at which the day begins */
    ASSERT_TEXT(told, "event", "day");
    ASSERT_TEXT(told, "date", "2026-03-01");
    list = ask(&d, "today", "{}");
    assert_true(json_equal(part(told, "tasks"), part(list, "tasks")));
    assert_null(part(told, "tasks.0.worksheet"));
    json_decref(list);
    json_decref(told);
    do_ask(&d, "clock", "{'to':'2026-03-02 06:59'}");
    do_ask(&d, "clock", "{'to':'2026-03-02 07:00'}");
    told = await_told(path, 2);
    ASSERT_TEXT(told, "event", "day");
    ASSERT_TEXT(told, "date", "2026-03-02");
    json_decref(told);
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    do_ask(&d, "record",
           "{'kind':'reading','subjects':{'reservoir':{'ec':'1.5 mS/cm'}},'sure':true}");
    do_ask(&d, "clock", "{'advance':'1 min'}");
    told = await_told(path, 3);
    ASSERT_TEXT(told, "event", "notices");
    ASSERT_COUNT(told, "notices", 1);
    ASSERT_TEXT(told, "notices.0.key", "reservoir-salt/reservoir");
    assert_non_null(strstr(json_string_value(part(told, "notices.0.text")), "1.50 mS/cm"));
    json_decref(told);
    do_ask(&d, "clock", "{'to':'2026-03-03 07:00'}"); /* it is new no more */
    told = await_told(path, 4);
    ASSERT_TEXT(told, "event", "day");
    json_decref(told);
}

/* A status for which `check` holds; the daemon answers each look, so nothing is slept over. */
static json_t *await_status(bool (*check)(json_t *status))
{
    for (int i = 0; i < 100000; i++) {
        json_t *status = ask(&d, "status", "{}");

        if (check(status)) {
            return status;
        }
        json_decref(status);
    }
    fail_msg("the status never came to what was awaited");
    return NULL;
}

static bool notices_the_command(json_t *status)
{
    const char *key = json_string_value(part(status, "notices.0.key"));

    return key && strcmp(key, "notify") == 0;
}

static int set_up_failing(void **ctx)
{
    (void)ctx;
    daemon_make(&d, "\nnotify: [/bin/sh, -c, 'exit 3']\n");
    return 0;
}

static void a_command_that_fails_is_a_notice(void **ctx)
{
    json_t *a = await_status(notices_the_command);

    (void)ctx;
    ASSERT_TEXT(a, "notices.0.text", "the notify command failed with exit code 3");
    json_decref(a);
}

/* ---- the room file */

static bool has_fault(json_t *status)
{
    return json_is_string(part(status, "room_file_fault"));
}

static bool has_no_fault(json_t *status)
{
    return !has_fault(status);
}

static bool has_eleven(json_t *status)
{
    return json_array_size(part(status, "containers")) == 11;
}

static void write_text(const char *text)
{
    FILE *f = fopen(d.room, "we");

    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static void a_faulty_room_file_is_refused_whole_and_a_good_one_is_used(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
    write_text("room: {name: x}\n");
    assert_int_equal(kill(d.pid, SIGHUP), 0);
    a = await_status(has_fault);
    assert_non_null(strstr(json_string_value(part(a, "room_file_fault")), "/room.yaml:1:"));
    ASSERT_COUNT(a, "containers", 10);
    ASSERT_TEXT(a, "room", "attic");
    json_decref(a);
    daemon_write_room(&d, "");
    assert_int_equal(kill(d.pid, SIGHUP), 0);
    json_decref(await_status(has_no_fault));
    /* The change of the file alone is enough. */
    daemon_write_room(&d, "  N1: {crop: lettuce, start_volume: 4 L, float_volume: 1.6 L, "
                          "remainder: 0.2 L, start: 2026-03-05}\n");
    a = await_status(has_eleven);
    ASSERT_TEXT(a, "containers.10.name", "N1");
    ASSERT_TEXT(a, "containers.0.crop", "tomato"); /* the state is folded for it anew */
    ASSERT_NUMBER(a, "entries", 1, 0);
    json_decref(a);
    do_ask(&d, "show", "{'what':'N1'}");
}

/* ---- start and end */

static const char a_note[] = "{'kind':'note','subjects':{'T1':{}},'note':'x'}";

static void what_was_told_is_there_when_it_is_started_again(void **ctx)
{
    json_t *before;
    json_t *after;

    (void)ctx;
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
    do_ask(&d, "clock", "{'advance':'2 days'}");
    do_ask(&d, "record", "{'kind':'reading','subjects':{'T1':{'ph':6}},'sure':true}");
    before = ask(&d, "show", "{'what':'T1'}");
    assert_int_equal(daemon_end(&d), 0);
    daemon_start(&d);
    after = ask(&d, "clock", "{}"); /* a simulated clock never begins before what was told */
    ASSERT_TEXT(after, "now", "2026-03-03T07:00:00+01:00");
    json_decref(after);
    after = ask(&d, "show", "{'what':'T1'}");
    assert_true(json_equal(before, after)); /* the tasks with their numbers, too */
    json_decref(before);
    json_decref(after);
    do_ask(&d, "clock", "{'advance':'3 days'}");
    assert_int_equal(daemon_end(&d), 0);
    daemon_start(&d);
    after = ask(&d, "clock", "{}"); /* nor before the last list was made */
    ASSERT_TEXT(after, "now", "2026-03-06T07:00:00+01:00");
    json_decref(after);
}

/* Another bottle of calcium-part: its label is typed into the file, in the same place. */
static void write_other_label(void)
{
    char *text = calloc(1, 65536);
    FILE *f = fopen(d.room, "re");
    char *label;

    assert_non_null(f);
    assert_true(fread(text, 1, 65535, f) > 0);
    assert_int_equal(fclose(f), 0);
    label = strstr(text, "CaO: 8.3 %");
    assert_non_null(label);
    memcpy(label, "CaO: 4.1 %", 10);
    write_text(text);
    free(text);
}

/* What was learned with the bottle before would leave a dose of the new one at half strength. */
static void contents_that_changed_while_it_did_not_run_begin_the_learning_anew(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record",
           "{'kind':'mix-made','subjects':{'reservoir':{'what':'leaf','volume':'20 L','was':"
           "'1.4 mS/cm','ec':'1.4 mS/cm','amounts':{'calcium-part':'40 mL','sulfate-part':'40 mL'"
           "}}}}");
    assert_int_equal(daemon_end(&d), 0);
    daemon_start(&d); /* with the same file */
    a = ask(&d, "show", "{'what':'leaf'}");
    ASSERT_NUMBER(a, "recipe.learned.used", 1, 0);
    json_decref(a);
    assert_int_equal(daemon_end(&d), 0);
    write_other_label();
    daemon_start(&d);
    for (int i = 0; i < 2; i++) { /* it is told once, however often it is started */
        a = ask(&d, "show", "{'what':'leaf'}");
        ASSERT_NULL(a, "recipe.learned");
        json_decref(a);
        a = ask(&d, "log", "{'of':'calcium-part'}");
        ASSERT_COUNT(a, "entries", 1);
        ASSERT_TEXT(a, "entries.0.note", "the room file tells other contents of it");
        json_decref(a);
        if (i == 0) {
            assert_int_equal(daemon_end(&d), 0);
            daemon_start(&d);
        }
    }
}

/* The last request is answered, and its answer is true. */
static void a_request_that_comes_before_the_end_is_answered(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record", a_note);
    assert_int_equal(kill(d.pid, SIGTERM), 0);
    {
        int status = -1;

        assert_int_equal(waitpid(d.pid, &status, 0), d.pid);
        assert_int_equal(status, 0);
    }
    (void)close(d.fd);
    daemon_start(&d);
    a = ask(&d, "status", "{}");
    ASSERT_NUMBER(a, "entries", 1, 0);
    json_decref(a);
}

static void a_start_that_fails_says_why(void **ctx)
{
    struct serve_options o = {.room_path = d.room,
                              .crops_dir = TARN_SOURCE_DIR "/config/crops",
                              .state_dir = d.state,
                              .socket_path = "/nobody/is/here"};
    char other[128];
    struct err e = {0};

    (void)ctx;
    do_ask(&d, "stock", "{}"); /* it runs, and holds its folder */
    assert_true(serve_run(&o, &e) < 0);
    assert_non_null(strstr(e.msg, "another tarnd looks after"));
    (void)snprintf(other, sizeof other, "%s/other", d.dir);
    o.state_dir = other;
    o.simulate = "when the moon is blue";
    assert_true(serve_run(&o, &e) < 0);
    assert_int_equal(strncmp(e.msg, "--simulate: ", 12), 0);
    o.simulate = NULL;
    assert_true(serve_run(&o, &e) < 0);
    assert_string_equal(e.msg, "cannot bind /nobody/is/here: No such file or directory");
    o.socket_path = d.socket;
    assert_true(serve_run(&o, &e) < 0);
    assert_non_null(strstr(e.msg, "another tarnd listens on"));
}

static void who_waits_to_be_answered_is_asked_one_after_the_other(void **ctx)
{
    struct daemon second = d;
    char many[4096] = "";
    size_t len = 0;

    (void)ctx;
    daemon_connect(&second);
    for (int i = 0; i < 40; i++) { /* more than may wait: the rest is read when there is place */
        len += (size_t)snprintf(many + len, sizeof many - len,
                                "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"stock\"}\n", i);
    }
    daemon_send(&d, many);
    do_ask(&second, "stock", "{}");
    for (int i = 0; i < 40; i++) {
        json_t *reply = daemon_hear(&d);

        ASSERT_NUMBER(reply, "id", i, 0);
        json_decref(reply);
    }
    (void)close(second.fd);
}

static int set_up_sensing(void **ctx)
{
    (void)ctx;
    daemon_make(&d, "\nsensors: {keep_all: 7 days}\n");
    return 0;
}

static size_t n_logged(void)
{
    json_t *log = ask(&d, "log", "{}");
    size_t n = json_array_size(part(log, "entries"));

    json_decref(log);
    return n;
}

/* A sensor tells every minute; a week later one of each hour is left, and the person's. */
static void a_sensors_readings_are_thinned_as_the_room_file_says(void **ctx)
{
    size_t n;

    (void)ctx;
    for (int i = 0; i < 10; i++) {
        do_ask(&d, "clock", "{'advance':'6 min'}");
        do_ask(&d, "record",
               "{'kind':'reading','subjects':{'reservoir':{'ph':'5.8'}},'sensor':true}");
        do_ask(&d, "record",
               "{'kind':'reading','subjects':{'reservoir':{'ph':'5.9'}},'sure':true}");
    }
    n = n_logged();
    assert_int_equal(n, 20);
    do_ask(&d, "clock", "{'advance':'9 days'}"); /* the last hour that anything happened in stays */
    do_ask(&d, "record", "{'kind':'note','subjects':{'T1':{}},'note':'later'}");
    do_ask(&d, "clock", "{'advance':'1 day'}");
    for (int tries = 0; n > 13 && tries < 10000; tries++) { /* it is done while nothing waits */
        n = n_logged();
    }
    assert_int_equal(n, 13); /* 07:06 and 08:00, 10 of a person, and the note */
    refused(&d, "record", "{'kind':'note','subjects':{'T1':{}},'sensor':true}", -32000, "sensor",
            "a sensor tells readings; 'note' a person tells");
}

#define TEST(name)          cmocka_unit_test_setup_teardown(name, set_up, tear_down)
#define TEST_NOTIFIED(name) cmocka_unit_test_setup_teardown(name, set_up_notified, tear_down)
#define TEST_FAILING(name)  cmocka_unit_test_setup_teardown(name, set_up_failing, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(each_bad_request_gets_its_own_words_and_changes_nothing),
        TEST_NOTIFIED(the_command_is_told_of_the_list_of_each_morning_and_of_what_is_new),
        TEST_FAILING(a_command_that_fails_is_a_notice),
        TEST(a_faulty_room_file_is_refused_whole_and_a_good_one_is_used),
        TEST(what_was_told_is_there_when_it_is_started_again),
        TEST(contents_that_changed_while_it_did_not_run_begin_the_learning_anew),
        TEST(a_request_that_comes_before_the_end_is_answered),
        TEST(a_start_that_fails_says_why),
        TEST(who_waits_to_be_answered_is_asked_one_after_the_other),
        cmocka_unit_test_setup_teardown(a_sensors_readings_are_thinned_as_the_room_file_says,
                                        set_up_sensing, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
