/* A room of thousands of containers: answers of more than a megabyte. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct rig rig;
static struct client client;

/* The demo room with six thousand containers instead of its ten. */
static void enlarge(const char *path)
{
    static const char line[] =
        "  T0001..T6000: {crop: tomato, start_volume: 18 L, float_volume: 8 L,"
        " remainder: 0.6 L, start: 2026-03-01}\n";
    char text[16384] = "";
    char *list;
    FILE *f = fopen(path, "re");

    assert_non_null(f);
    assert_true(fread(text, 1, sizeof text - 1, f) > 0);
    (void)fclose(f);
    list = strstr(text, "\ncontainers:\n");
    assert_non_null(list);
    list[strlen("\ncontainers:\n")] = '\0';
    f = fopen(path, "we");
    assert_non_null(f);
    assert_true(fprintf(f, "%s%s", text, line) > 0);
    assert_int_equal(fclose(f), 0);
}

static int set_up(void **ctx)
{
    (void)ctx;
    rig_make(&rig, "config/rooms/demo.yaml", "2026-02-28T07:00");
    enlarge(rig.room);
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

static void a_long_answer_arrives_whole(void **ctx)
{
    json_t *status = client_ask(&client, "status", NULL);

    (void)ctx;
    assert_int_equal(json_array_size(json_object_get(status, "containers")), 6000);
    json_decref(status);
}

static void long_answers_that_nobody_fetches_yet_wait_in_order(void **ctx)
{
    char line[80];

    (void)ctx;
    for (int i = 0; i < 8; i++) {
        int n = snprintf(line, sizeof line,
                         "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"status\"}\n", i);

        client_send(&client, line, (size_t)n);
    }
    for (int i = 0; i < 8; i++) {
        char *reply = client_line(&client);

        assert_non_null(reply);
        assert_true(strlen(reply) > 1024 * 1024);
        (void)snprintf(line, sizeof line, "{\"jsonrpc\":\"2.0\",\"id\":%d,", i);
        assert_int_equal(strncmp(reply, line, strlen(line)), 0);
        free(reply);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_long_answer_arrives_whole, set_up, tear_down),
        cmocka_unit_test_setup_teardown(long_answers_that_nobody_fetches_yet_wait_in_order, set_up,
                                        tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
