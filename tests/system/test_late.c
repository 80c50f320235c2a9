/* Work that is told later than it was done: the room is folded anew before the answer. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdlib.h>
#include <string.h>

static struct rig rig;
static struct client client;

static int set_up(void **ctx)
{
    (void)ctx;
    rig_make(&rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    rig_start(&rig);
    client_open(&client, &rig);
    return 0;
}

static int tear_down(void **ctx)
{
    (void)ctx;
    client_close(&client);
    rig_stop(&rig);
    rig_remove(&rig);
    return 0;
}

/* The number of the task that starts T1 to T4. */
static char *find_start(void)
{
    json_t *list = client_ask(&client, "today", NULL);
    char *id = NULL;
    json_t *task;
    size_t i;

    json_array_foreach(json_object_get(list, "tasks"), i, task)
    {
        json_t *first = json_array_get(json_object_get(task, "subjects"), 0);

        if (!id && strcmp(json_string_value(json_object_get(task, "kind")), "start") == 0 &&
            strcmp(json_string_value(first), "T1") == 0) {
            id = strdup(json_string_value(json_object_get(task, "id")));
        }
    }
    json_decref(list);
    assert_non_null(id);
    return id;
}

static json_t *ack_one(const char *id, const char *name, const char *when, const char *key)
{
    return client_ask(&client, "ack",
                      json_pack("{s:s,s:{s:s},s:[s],s:s,s:s}", "task", id, "figures", "ec",
                                "0.8 mS/cm", "only", name, "at", when, "key", key));
}

static void assert_left(json_t *answer, bool done, const char *left)
{
    char *text = json_dumps(json_object_get(answer, "left"), JSON_COMPACT);

    assert_int_equal(json_is_true(json_object_get(answer, "done")), done);
    assert_string_equal(text, left);
    free(text);
    json_decref(answer);
}

static void a_late_part_of_a_task_leaves_the_rest_of_it_open(void **ctx)
{
    char *id = find_start();

    (void)ctx;
    assert_left(ack_one(id, "T1", "now", "a"), false, "[\"T2\",\"T3\",\"T4\"]");
    assert_left(ack_one(id, "T2", "1 h ago", "b"), false, "[\"T3\",\"T4\"]");
    assert_left(ack_one(id, "T3", "2 h ago", "c"), false, "[\"T4\"]");
    assert_left(ack_one(id, "T4", "3 h ago", "d"), true, "[]");
    free(id);
}

static void a_part_told_twice_says_what_is_open_by_now(void **ctx)
{
    char *id = find_start();

    (void)ctx;
    assert_left(ack_one(id, "T1", "1 h ago", "a"), false, "[\"T2\",\"T3\",\"T4\"]");
    assert_left(ack_one(id, "T2", "2 h ago", "b"), false, "[\"T3\",\"T4\"]");
    assert_left(ack_one(id, "T1", "1 h ago", "a"), false, "[\"T3\",\"T4\"]");
    free(id);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_late_part_of_a_task_leaves_the_rest_of_it_open, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_part_told_twice_says_what_is_open_by_now, set_up,
                                        tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
