/* Taking back what was told: one entry, or an acknowledgement with all that came of it. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct fixture {
    struct rig rig;
    struct client client;
};

static void start(struct fixture *f)
{
    rig_make(&f->rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    rig_start(&f->rig);
    client_open(&f->client, &f->rig);
}

static void stop(struct fixture *f)
{
    client_close(&f->client);
    rig_stop(&f->rig);
    rig_remove(&f->rig);
}

static json_t *task_of(struct fixture *f, const char *kind)
{
    json_t *list = client_ask(&f->client, "today", NULL);
    json_t *found = NULL;
    json_t *task;
    size_t i;

    json_array_foreach(json_object_get(list, "tasks"), i, task)
    {
        if (!found && strcmp(json_string_value(json_object_get(task, "kind")), kind) == 0) {
            found = json_incref(task);
        }
    }
    json_decref(list);
    return found;
}

static void assert_condition(struct fixture *f, size_t at, const char *condition)
{
    json_t *status = client_ask(&f->client, "status", NULL);
    json_t *c = json_array_get(json_object_get(status, "containers"), at);

    assert_string_equal(json_string_value(json_object_get(c, "condition")), condition);
    json_decref(status);
}

static void taking_back_an_acknowledgement_takes_all_of_it_back(void **ctx)
{
    struct fixture f;
    json_t *task;
    json_t *result;
    json_t *ack;

    (void)ctx;
    start(&f);
    task = task_of(&f, "start");
    result = client_ask(&f.client, "ack",
                        json_pack("{s:O,s:{s:s}}", "task", json_object_get(task, "id"), "figures",
                                  "ec", "0.7 mS/cm"));
    assert_true(json_array_size(json_object_get(result, "entries")) > 2);
    assert_condition(&f, 0, "drawdown");
    ack = json_incref(json_array_get(json_object_get(result, "entries"), 0));
    json_decref(result);
    result = client_ask(
        &f.client, "void",
        json_pack("{s:O,s:s}", "entry", json_object_get(ack, "seq"), "why", "not done yet"));
    assert_condition(&f, 0, "idle");
    json_decref(result);
    json_decref(task);
    task = task_of(&f, "start"); /* it is on the list again */
    assert_non_null(task);
    client_refused(&f.client, "void",
                   json_pack("{s:O,s:s}", "entry", json_object_get(ack, "seq"), "why", "again"),
                   -32000, "was voided already");
    json_decref(ack);
    json_decref(task);
    stop(&f);
}

static void a_void_told_again_with_its_key_is_told_once(void **ctx)
{
    struct fixture f;
    json_t *first;
    json_t *again;

    (void)ctx;
    start(&f);
    json_decref(client_ask(
        &f.client, "record",
        json_pack("{s:s,s:{s:{}},s:s}", "kind", "note", "subjects", "T1", "note", "here")));
    first = client_ask(&f.client, "void",
                       json_pack("{s:s,s:s,s:s}", "entry", "1", "why", "x", "key", "v1"));
    again = client_ask(&f.client, "void",
                       json_pack("{s:s,s:s,s:s}", "entry", "1", "why", "x", "key", "v1"));
    assert_true(json_equal(json_object_get(first, "entries"), json_object_get(again, "entries")));
    json_decref(first);
    json_decref(again);
    stop(&f);
}

static json_t *show(struct fixture *f, const json_t *id)
{
    return client_ask(&f->client, "show", json_pack("{s:O}", "what", id));
}

static char *acknowledge(struct fixture *f, json_t *task)
{
    json_t *result = client_ask(&f->client, "ack",
                                json_pack("{s:O,s:{s:s}}", "task", json_object_get(task, "id"),
                                          "figures", "ec", "0.7 mS/cm"));
    char *seq = strdup(json_string_value(
        json_object_get(json_array_get(json_object_get(result, "entries"), 0), "seq")));

    json_decref(result);
    return seq;
}

/* Weeks later somebody wants to know what was poured in: the sheet is what it was, whatever was
 * told since. */
static void the_sheet_of_what_is_over_can_be_read(void **ctx)
{
    struct fixture f;
    json_t *task;
    json_t *open;
    json_t *closed;
    char *seq;

    (void)ctx;
    start(&f);
    task = task_of(&f, "start");
    open = show(&f, json_object_get(task, "id"));
    seq = acknowledge(&f, task);
    free(seq);
    json_decref(client_ask(&f.client, "clock", json_pack("{s:s}", "advance", "21d")));
    closed = show(&f, json_object_get(task, "id"));
    assert_string_equal(json_string_value(json_object_get(closed, "type")), "closed");
    assert_true(json_array_size(json_object_get(open, "worksheet")) > 3);
    assert_true(
        json_equal(json_object_get(closed, "worksheet"), json_object_get(open, "worksheet")));
    json_decref(open);
    json_decref(closed);
    json_decref(task);
    stop(&f);
}

/* A number that a person has written down stands for the same work again, after a restart too. */
static void what_is_undone_is_open_again_under_its_number(void **ctx)
{
    struct fixture f;
    json_t *task;
    json_t *again;
    json_t *result;
    char words[80];
    char *seq;

    (void)ctx;
    start(&f);
    task = task_of(&f, "start");
    seq = acknowledge(&f, task);
    (void)snprintf(words, sizeof words, "was closed on Sun 1 Mar by entry %s", seq);
    client_refused(&f.client, "ack", json_pack("{s:O}", "task", json_object_get(task, "id")),
                   -32602, words);
    result = client_ask(&f.client, "show", json_pack("{s:O}", "what", json_object_get(task, "id")));
    assert_string_equal(json_string_value(json_object_get(result, "type")), "closed");
    assert_true(json_array_size(json_object_get(result, "entries")) > 2);
    json_decref(result);

    result = client_ask(&f.client, "undo", NULL);
    assert_true(json_equal(json_object_get(result, "task"), json_object_get(task, "id")));
    assert_condition(&f, 0, "idle");
    json_decref(result);
    again = task_of(&f, "start");
    assert_true(json_equal(json_object_get(again, "id"), json_object_get(task, "id")));
    json_decref(again);
    client_close(&f.client);
    rig_stop(&f.rig);
    rig_start(&f.rig);
    client_open(&f.client, &f.rig);
    again = task_of(&f, "start");
    assert_true(json_equal(json_object_get(again, "id"), json_object_get(task, "id")));
    json_decref(again);
    json_decref(task);
    free(seq);
    stop(&f);
}

static void nothing_is_undone_where_nothing_was_told(void **ctx)
{
    struct fixture f;

    (void)ctx;
    start(&f);
    client_refused(&f.client, "undo", NULL, -32602, "you told nothing that could be taken back");
    stop(&f);
}

static json_t *record(struct fixture *f, const char *kind, json_t *figures)
{
    json_t *result = client_ask(
        &f->client, "record", json_pack("{s:s,s:{s:o}}", "kind", kind, "subjects", "T1", figures));
    json_t *entry = json_incref(json_array_get(json_object_get(result, "entries"), 0));

    json_decref(result);
    return entry;
}

/* A start that was told too strong is told right: by the rules of the room as it was then, in which
 * nothing grew there yet. */
static void an_entry_is_told_right_in_one_and_keeps_what_was_right(void **ctx)
{
    struct fixture f;
    json_t *was;
    json_t *result;
    json_t *now;

    (void)ctx;
    start(&f);
    was = record(&f, "started", json_pack("{s:s,s:s}", "ec", "1.7 mS/cm", "ph", "5.9"));
    result = client_ask(&f.client, "fix",
                        json_pack("{s:O,s:{s:s},s:s}", "entry", json_object_get(was, "seq"),
                                  "figures", "ec", "0.7 mS/cm", "key", "f-1"));
    now = json_array_get(json_object_get(result, "entries"), 1);
    assert_true(
        json_equal(json_object_get(json_array_get(json_object_get(result, "entries"), 0), "voids"),
                   json_object_get(was, "seq")));
    assert_true(json_number_value(json_object_get(json_object_get(now, "figures"), "ec_ms_cm")) ==
                0.7);
    assert_true(json_number_value(json_object_get(json_object_get(now, "figures"), "ph")) == 5.9);
    assert_true(json_equal(json_object_get(now, "happened"), json_object_get(was, "happened")));
    client_refused(&f.client, "fix",
                   json_pack("{s:O,s:{s:s}}", "entry", json_object_get(was, "seq"), "figures", "ec",
                             "0.8 mS/cm"),
                   -32000, "was voided already");
    client_refused(&f.client, "fix",
                   json_pack("{s:O,s:{}}", "entry", json_object_get(now, "seq"), "figures"), -32602,
                   "say what is right: tarn fix ");
    client_refused(&f.client, "fix",
                   json_pack("{s:O,s:{s:s}}", "entry", json_object_get(now, "seq"), "figures",
                             "volume", "1 L"),
                   -32000, "is not above the float line");
    client_refused(&f.client, "undo", NULL, -32000, "what you told last mended entry ");
    json_decref(result);
    json_decref(was);
    stop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sheet_of_what_is_over_can_be_read),
        cmocka_unit_test(what_is_undone_is_open_again_under_its_number),
        cmocka_unit_test(nothing_is_undone_where_nothing_was_told),
        cmocka_unit_test(an_entry_is_told_right_in_one_and_keeps_what_was_right),
        cmocka_unit_test(taking_back_an_acknowledgement_takes_all_of_it_back),
        cmocka_unit_test(a_void_told_again_with_its_key_is_told_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
