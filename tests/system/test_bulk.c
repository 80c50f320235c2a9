/* Readings on standard input: each line gets its verdict, and what was taken is on the disk. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#define MANY 3000

struct fixture {
    struct rig rig;
    char out[8192];
};

static int set_up(void **ctx)
{
    struct fixture *f = calloc(1, sizeof *f);
    struct client c;

    assert_non_null(f);
    rig_make(&f->rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    rig_start(&f->rig);
    client_open(&c, &f->rig);
    json_decref(client_ask(&c, "record",
                           json_pack("{s:s,s:{s:{s:s},s:{s:s}}}", "kind", "started", "subjects",
                                     "T1", "ec", "0.7 mS/cm", "T2", "ec", "0.7 mS/cm")));
    json_decref(client_ask(&c, "clock", json_pack("{s:s}", "advance", "3d")));
    client_close(&c);
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    rig_stop(&f->rig);
    rig_remove(&f->rig);
    free(f);
    return 0;
}

/* Runs `tarn record reading -` on a file of these lines. Its exit status; its words in f->out. */
static int record(struct fixture *f, const char *options, const char *lines)
{
    char path[160];
    char command[700];
    FILE *file;
    FILE *p;
    size_t n;
    int status;

    (void)snprintf(path, sizeof path, "%s/lines", f->rig.dir);
    file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs(lines, file) >= 0);
    assert_int_equal(fclose(file), 0);
    (void)snprintf(command, sizeof command, "%s --socket '%s' %s record reading - <'%s' 2>&1", TARN,
                   f->rig.socket, options, path);
    p = popen(command, "re"); /* NOLINT(cert-env33-c): the words are this test's */
    assert_non_null(p);
    n = fread(f->out, 1, sizeof f->out - 1, p);
    f->out[n] = '\0';
    status = pclose(p);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static double measured(struct fixture *f, const char *name, const char *what)
{
    struct client c;
    json_t *answer;
    double v;

    client_open(&c, &f->rig);
    answer = client_ask(&c, "show", json_pack("{s:s}", "what", name));
    v = json_number_value(json_object_get(
        json_object_get(json_object_get(json_object_get(answer, "container"), "measured"), what),
        "value"));
    json_decref(answer);
    client_close(&c);
    return v;
}

static void a_line_is_a_reading(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(record(f, "",
                            "{\"subject\":\"T1\",\"at\":\"2026-03-02T09:00\",\"ec\":\"0.68 "
                            "mS/cm\",\"ph\":5.9,\"temp_c\":21}\n"
                            "{\"subject\":\"T2\",\"at\":1772442000,\"level_l\":17.5}"),
                     0);
    assert_string_equal(f->out, "2 taken, 0 refused\n");
    assert_true(measured(f, "T1", "ec_ms_cm") == 0.68);
    assert_true(measured(f, "T2", "volume_l") == 17.5);
}

/* The line that stands in cli/bulk.h, of a container of this room. */
static void the_line_of_the_manual_is_taken(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(record(f, "",
                            "{\"subject\":\"T1\",\"at\":\"2026-03-01T07:10:00Z\",\"ec\":\"1.2 "
                            "mS/cm\",\"ph\":5.8,\"temp_c\":21,\"level_l\":8.1}\n"),
                     0);
    assert_string_equal(f->out, "1 taken, 0 refused\n");
}

/* A sensor's clock may be ahead of ours by as much as a person's: five minutes. It is 1772604000.
 */
static void a_sensors_clock_may_be_a_little_ahead(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(record(f, "",
                            "{\"subject\":\"T1\",\"at\":1772604300,\"ph\":5.9}\n"
                            "{\"subject\":\"T1\",\"at\":1772604301,\"ph\":5.9}\n"),
                     1);
    assert_non_null(strstr(f->out, "line 2: a reading lies in the past\n"));
    assert_non_null(strstr(f->out, "1 taken, 1 refused\n"));
}

static void a_bad_line_is_refused_and_the_others_are_not(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(record(f, "",
                            "{\"subject\":\"T1\",\"ph\":5.7}\n"
                            "not json\n"
                            "\n"
                            "[1]\n"
                            "{\"subject\":\"T11\",\"ph\":5.7}\n"
                            "{\"ph\":5.7}\n"
                            "{\"subject\":\"T1\",\"ph\":15}\n"
                            "{\"subject\":\"T1\",\"at\":\"tomorrow 09:00\",\"ph\":5}\n"
                            "{\"subject\":\"T1\"}\n"
                            "{\"subject\":\"T2\",\"ph\":5.8}\n"),
                     1);
    assert_non_null(strstr(f->out, "2 taken, 7 refused\n"));
    assert_non_null(strstr(f->out, "line 2: "));
    assert_non_null(strstr(f->out, "line 4: it is no JSON object\n"));
    assert_non_null(strstr(f->out, "line 5: the room has no 'T11'; did you mean 'T1'?\n"));
    assert_non_null(strstr(f->out, "line 6: a reading names its subject\n"));
    assert_non_null(strstr(f->out, "line 7: ph 15.0 of T1 cannot be"));
    assert_non_null(strstr(f->out, "line 9: 'reading' of T1 needs at least one of"));
    assert_true(measured(f, "T1", "ph") == 5.7);
    assert_true(measured(f, "T2", "ph") == 5.8);
}

static void each_line_has_its_verdict_as_json(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(
        record(f, "--json", "{\"subject\":\"T1\",\"ph\":5.7}\n{\"subject\":\"X\",\"ph\":5.7}\n"),
        1);
    assert_string_equal(f->out, "{\"line\":1,\"taken\":true,\"why\":null}\n"
                                "{\"line\":2,\"taken\":false,\"why\":\"the room has no 'X'\"}\n");
}

/* More than fit into one request; all of them are there after a kill. */
static void thousands_are_taken_and_none_is_lost(void **ctx)
{
    struct fixture *f = *ctx;
    char *lines = malloc(MANY * 80);
    size_t len = 0;
    struct client c;
    json_t *status;
    json_int_t before;

    assert_non_null(lines);
    client_open(&c, &f->rig);
    status = client_ask(&c, "status", NULL);
    before = json_integer_value(json_object_get(status, "entries"));
    json_decref(status);
    client_close(&c);
    for (int i = 0; i < MANY; i++) {
        len += (size_t)sprintf(lines + len, "{\"subject\":\"T%d\",\"at\":%d,\"ph\":5.%d}\n",
                               1 + i % 2, 1772442000 + i, 5 + i % 5);
    }
    assert_int_equal(record(f, "", lines), 0);
    assert_string_equal(f->out, "3000 taken, 0 refused\n");
    free(lines);
    rig_kill(&f->rig);
    rig_start(&f->rig);
    client_open(&c, &f->rig);
    status = client_ask(&c, "status", NULL);
    assert_int_equal(json_integer_value(json_object_get(status, "entries")), before + MANY);
    json_decref(status);
    client_close(&c);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_line_is_a_reading),
        TEST(the_line_of_the_manual_is_taken),
        TEST(a_sensors_clock_may_be_a_little_ahead),
        TEST(a_bad_line_is_refused_and_the_others_are_not),
        TEST(each_line_has_its_verdict_as_json),
        TEST(thousands_are_taken_and_none_is_lost),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
