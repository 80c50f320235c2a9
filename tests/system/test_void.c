/* Taking back what was told: one entry, or an acknowledgement with all that came of it. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

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
    assert_true(json_equal(first, again));
    json_decref(first);
    json_decref(again);
    stop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(taking_back_an_acknowledgement_takes_all_of_it_back),
        cmocka_unit_test(a_void_told_again_with_its_key_is_told_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
