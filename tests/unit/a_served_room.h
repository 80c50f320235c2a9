/* a_served_room.h - the demo's room with the daemon around it, for tests that ask it:
 * the fixture of test_verb_*.c and test_serve.c.
 *
 * One daemon a test, on a clock that stands still. It is global: asking it is all
 * that a test does. */
#ifndef TARN_TESTS_A_SERVED_ROOM_H
#define TARN_TESTS_A_SERVED_ROOM_H

#include "tests/unit/a_daemon.h"

#include <stdlib.h>

static struct daemon d;

/* For cmocka: the daemon started on a new room. d is its only instance. */
static inline int set_up(void **ctx)
{
    (void)ctx;
    daemon_make(&d, "");
    return 0;
}

/* A test may have ended the daemon by itself. */
static inline int tear_down(void **ctx)
{
    int status = d.pid ? daemon_end(&d) : 0;

    (void)ctx;
    daemon_remove(&d);
    return status;
}

/* How many entries the journal has. */
static inline json_int_t n_entries(void)
{
    json_t *a = ask(&d, "status", "{}");
    json_int_t n = json_integer_value(part(a, "entries"));

    json_decref(a);
    return n;
}

/* The number of the task of that kind that the thing has open; "" = none. */
static inline const char *task_of(const char *name, const char *kind)
{
    static char id[24];
    char params[64];
    json_t *a;
    json_t *t;
    size_t i;

    (void)snprintf(params, sizeof params, "{'what':'%s'}", name);
    a = ask(&d, "show", params);
    id[0] = '\0';
    json_array_foreach(part(a, "tasks"), i, t)
    {
        if (strcmp(json_string_value(json_object_get(t, "kind")), kind) == 0) {
            (void)snprintf(id, sizeof id, "%s", json_string_value(json_object_get(t, "id")));
        }
    }
    json_decref(a);
    return id;
}

/* {'task':'4',MORE} */
static inline json_t *ask_of_task(const char *method, const char *id, const char *more)
{
    char params[512];

    (void)snprintf(params, sizeof params, "{'task':'%s'%s}", id, more);
    return ask(&d, method, params);
}

#endif
