/* Days, clock changes and jumps, on the virtual clock of a room in Vienna. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

struct fixture {
    struct rig rig;
    struct client client;
    char told[160]; /* where the notify command writes what it was told */
};

/* The demo room with a notify command that adds its input to a file, a line a run. */
static void start(struct fixture *f, const char *simulate)
{
    char script[160];
    FILE *out;

    rig_make(&f->rig, "config/rooms/demo.yaml", simulate);
    (void)snprintf(f->told, sizeof f->told, "%s/told", f->rig.dir);
    (void)snprintf(script, sizeof script, "%s/tell", f->rig.dir);
    out = fopen(script, "we");
    assert_non_null(out);
    (void)fprintf(out, "#!/bin/sh\ncat >>'%s'\necho >>'%s'\n", f->told, f->told);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(chmod(script, 0700), 0);
    out = fopen(f->rig.room, "ae");
    assert_non_null(out);
    (void)fprintf(out, "\nnotify: [%s]\n", script);
    assert_int_equal(fclose(out), 0);
    rig_start(&f->rig);
    client_open(&f->client, &f->rig);
}

static void stop(struct fixture *f)
{
    client_close(&f->client);
    rig_stop(&f->rig);
    rig_remove(&f->rig);
}

static void advance(struct fixture *f, const char *how, const char *far)
{
    json_decref(client_ask(&f->client, "clock", json_pack("{s:s}", how, far)));
}

static void assert_now(struct fixture *f, const char *instant)
{
    json_t *clock = client_ask(&f->client, "clock", NULL);

    assert_string_equal(json_string_value(json_object_get(clock, "now")), instant);
    json_decref(clock);
}

static void a_clock_change_does_not_move_the_hour_of_the_list(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, "2026-03-28T07:00");
    advance(&f, "to", "2026-03-29 07:00"); /* the night has 23 hours */
    assert_now(&f, "2026-03-29T07:00:00+02:00");
    advance(&f, "to", "2026-10-24 07:00");
    advance(&f, "to", "2026-10-25 02:30"); /* twice on that night: the first is meant */
    assert_now(&f, "2026-10-25T02:30:00+02:00");
    advance(&f, "advance", "1 h");
    assert_now(&f, "2026-10-25T02:30:00+01:00");
    stop(&f);
}

static void a_time_that_the_clock_skips_is_the_first_after_it(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, "2026-03-28T07:00");
    advance(&f, "to", "2026-03-29 02:30");
    assert_now(&f, "2026-03-29T03:00:00+02:00");
    stop(&f);
}

static int count_days(const char *path, const char *day)
{
    char words[64];
    char line[65536];
    FILE *f = fopen(path, "re");
    int n = 0;

    if (!f) {
        return 0;
    }
    (void)snprintf(words, sizeof words, "\"date\":\"%s\"", day);
    while (fgets(line, sizeof line, f)) {
        n += strstr(line, "\"event\":\"day\"") && strstr(line, words);
    }
    (void)fclose(f);
    return n;
}

/* The command runs beside the daemon: each question gives it a turn. */
static void await_day(struct fixture *f, const char *day)
{
    for (int i = 0; i < 20000 && count_days(f->told, day) == 0; i++) {
        json_decref(client_ask(&f->client, "stock", NULL));
    }
    if (count_days(f->told, day) != 1) {
        fail_msg("the list of %s was told %d times", day, count_days(f->told, day));
    }
}

static void a_days_list_is_told_once(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, "2026-03-28T06:00");
    advance(&f, "to", "2026-03-28 07:00");
    await_day(&f, "2026-03-28");
    advance(&f, "advance", "2 h");
    advance(&f, "advance", "2 h");
    assert_int_equal(count_days(f.told, "2026-03-28"), 1);
    client_close(&f.client);
    rig_stop(&f.rig); /* a restart on the same day tells it no second time */
    rig_start(&f.rig);
    client_open(&f.client, &f.rig);
    advance(&f, "to", "2026-03-29 07:00");
    await_day(&f, "2026-03-29");
    assert_int_equal(count_days(f.told, "2026-03-28"), 1);
    stop(&f);
}

static void a_jump_of_a_year_is_survived(void **ctx)
{
    struct fixture f;
    json_t *list;

    (void)ctx;
    start(&f, "2026-03-28T06:00");
    advance(&f, "advance", "400 days");
    list = client_ask(&f.client, "today", NULL);
    assert_string_equal(json_string_value(json_object_get(list, "date")), "2027-05-02");
    assert_true(json_array_size(json_object_get(list, "tasks")) > 0);
    json_decref(list);
    stop(&f);
}

static void the_clock_goes_forward_only(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, "2026-03-28T06:00");
    client_refused(&f.client, "clock", json_pack("{s:s}", "to", "2026-03-27 06:00"), -32602,
                   "the clock goes forward only");
    client_refused(&f.client, "clock", json_pack("{s:s}", "advance", "-1 day"), -32602,
                   "the clock is moved by up to");
    stop(&f);
}

static void the_real_clock_is_not_moved(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, NULL);
    client_refused(&f.client, "clock", json_pack("{s:s}", "advance", "1 day"), -32000,
                   "the clock is the real one");
    stop(&f);
}

static void a_clock_before_the_last_entry_starts_at_that_entry(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f, "2026-03-28T07:00");
    json_decref(client_ask(
        &f.client, "record",
        json_pack("{s:s,s:{s:{}},s:s}", "kind", "note", "subjects", "T1", "note", "here")));
    client_close(&f.client);
    rig_stop(&f.rig);
    (void)snprintf(f.rig.simulate, sizeof f.rig.simulate, "2026-01-01T07:00");
    rig_start(&f.rig);
    client_open(&f.client, &f.rig);
    assert_now(&f, "2026-03-28T07:00:00+01:00");
    stop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clock_change_does_not_move_the_hour_of_the_list),
        cmocka_unit_test(a_time_that_the_clock_skips_is_the_first_after_it),
        cmocka_unit_test(a_days_list_is_told_once),
        cmocka_unit_test(a_jump_of_a_year_is_survived),
        cmocka_unit_test(the_clock_goes_forward_only),
        cmocka_unit_test(the_real_clock_is_not_moved),
        cmocka_unit_test(a_clock_before_the_last_entry_starts_at_that_entry),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
