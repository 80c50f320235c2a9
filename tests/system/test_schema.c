/* Every answer has the shape that config/answers.schema.json promises to other programs. */
#include "tests/cmocka_all.h"
#include "tests/system/rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct fixture {
    struct rig rig;
    struct client client;
    FILE *out;
};

/* Asks, and hands the answer on to be checked as `def`. */
static json_t *ask(struct fixture *f, const char *def, const char *method, json_t *params)
{
    json_t *answer = client_ask(&f->client, method, params);
    json_t *told = json_pack("{s:s,s:O}", "def", def, "answer", answer);
    char *line = json_dumps(told, JSON_COMPACT);

    assert_true(fprintf(f->out, "%s\n", line) > 0);
    free(line);
    json_decref(told);
    return answer;
}

static void ask_all(struct fixture *f)
{
    static const char *const shown[] = {"T1",   "reservoir", "calcium-part",
                                        "leaf", "ph-pen",    "acid-down"};

    json_decref(ask(f, "hello", "hello", json_pack("{s:i}", "protocol", 1)));
    json_decref(ask(f, "status", "status", NULL));
    json_decref(ask(f, "today", "today", NULL));
    json_decref(ask(f, "today", "today", json_pack("{s:s,s:b}", "on", "tomorrow", "full", 1)));
    json_decref(ask(f, "outlook", "outlook", NULL));
    json_decref(ask(f, "outlook", "outlook", json_pack("{s:s}", "if", "off +1 days..+3 days")));
    json_decref(ask(f, "advise", "advise", NULL));
    json_decref(ask(f, "stock", "stock", NULL));
    json_decref(ask(f, "kinds", "kinds", NULL));
    json_decref(ask(f, "backup", "backup", NULL));
    json_decref(ask(f, "clock", "clock", NULL));
    json_decref(ask(f, "log", "log", json_pack("{s:i}", "limit", 7)));
    json_decref(ask(f, "mix", "mix", json_pack("{s:s}", "recipe", "leaf")));
    json_decref(ask(f, "mix", "mix",
                    json_pack("{s:s,s:s,s:s,s:s}", "recipe", "fruit", "crop", "tomato", "volume",
                              "30 L", "ec", "1.4 mS/cm")));
    json_decref(ask(f, "mix", "mix",
                    json_pack("{s:s,s:s,s:s,s:s}", "recipe", "fruit", "volume", "30 L", "from",
                              "1.8 mS/cm", "ec", "1.4 mS/cm")));
    json_decref(
        ask(f, "mix", "mix",
            json_pack("{s:s,s:s,s:s}", "volume", "30 L", "hard", "0.7 mS/cm", "ec", "0.3 mS/cm")));
    json_decref(
        ask(f, "mix", "mix", json_pack("{s:[s,s]}", "pour", "10 L@1.2 mS/cm", "20L@0.4mS/cm")));
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        json_decref(ask(f, "show", "show", json_pack("{s:s}", "what", shown[i])));
    }
}

static json_t *figures_of(const char *kind)
{
    if (strcmp(kind, "fill") == 0) {
        return json_pack("{s:s,s:f,s:{s:i}}", "volume", "88 L", "ph", 5.8, "amounts", "acid-down",
                         6);
    }
    if (strcmp(kind, "calibrate") == 0) {
        return json_pack("{s:s}", "slope", "96 %");
    }
    if (strcmp(kind, "change") == 0) {
        return json_pack("{s:s,s:f,s:s,s:s}", "ec", "1 mS/cm", "ph", 5.8, "volume", "60 L", "added",
                         "80 L");
    }
    if (strcmp(kind, "overnight") == 0) {
        return json_pack("{s:s}", "added", "0 L");
    }
    if (strcmp(kind, "harvest") == 0) {
        return json_pack("{s:s}", "yield", "300 g");
    }
    return json_pack("{s:s}", "ec", "0.7 mS/cm");
}

/* What each container of a check shows, as the forecast has it: figures by name. */
static json_t *looks_of(struct fixture *f, const json_t *task)
{
    json_t *status = client_ask(&f->client, "status", NULL);
    json_t *subjects = json_object();
    const json_t *name;
    const json_t *c;
    size_t i;
    size_t k;

    json_array_foreach(json_object_get(task, "subjects"), i, name)
    {
        json_array_foreach(json_object_get(status, "containers"), k, c)
        {
            if (json_equal(json_object_get(c, "name"), name)) {
                bool open =
                    strcmp(json_string_value(json_object_get(c, "condition")), "on float") == 0;

                (void)json_object_set_new(subjects, json_string_value(name),
                                          json_pack("{s:s}", "what", open ? "yes" : "no"));
            }
        }
    }
    json_decref(status);
    return subjects;
}

static void do_task(struct fixture *f, const json_t *task)
{
    const char *kind = json_string_value(json_object_get(task, "kind"));
    json_t *id = json_object_get(task, "id");

    json_decref(ask(f, "show", "show", json_pack("{s:O}", "what", id)));
    if (strcmp(kind, "read") == 0 || strcmp(kind, "reorder") == 0) {
        json_decref(ask(f, "defer", "defer",
                        json_pack("{s:O,s:s,s:s}", "task", id, "to", "tomorrow", "why", "x")));
    } else if (strcmp(kind, "care") == 0) {
        json_decref(ask(f, "drop", "drop", json_pack("{s:O,s:s}", "task", id, "why", "x")));
    } else if (strcmp(kind, "check") == 0) {
        json_decref(
            ask(f, "ack", "ack",
                json_pack("{s:O,s:o,s:b}", "task", id, "subjects", looks_of(f, task), "sure", 1)));
    } else {
        json_decref(
            ask(f, "ack", "ack",
                json_pack("{s:O,s:o,s:b}", "task", id, "figures", figures_of(kind), "sure", 1)));
    }
}

/* The list is asked for after each task: what one brings may make another needless. */
static void do_the_list(struct fixture *f)
{
    size_t n = 1;

    for (int i = 0; n > 0 && i < 100; i++) {
        json_t *list = ask(f, "today", "today", json_pack("{s:b}", "full", 1));
        json_t *tasks = json_object_get(list, "tasks");

        n = json_array_size(tasks);
        if (n > 0) {
            do_task(f, json_array_get(tasks, 0));
        }
        json_decref(list);
    }
    assert_int_equal(n, 0);
}

static void do_fix(struct fixture *f)
{
    json_t *told = ask(
        f, "record", "record",
        json_pack("{s:s,s:{s:{s:s}}}", "kind", "reading", "subjects", "reservoir", "ph", "6.1"));
    json_t *seq = json_object_get(json_array_get(json_object_get(told, "entries"), 0), "seq");

    json_decref(
        ask(f, "fix", "fix", json_pack("{s:O,s:{s:s}}", "entry", seq, "figures", "ph", "6.0")));
    json_decref(told);
}

static void every_answer_has_its_promised_shape(void **ctx)
{
    struct fixture f;
    char path[128];
    char command[512];

    (void)ctx;
    rig_make(&f.rig, "config/rooms/demo.yaml", "2026-03-01T07:00");
    (void)snprintf(path, sizeof path, "%s/answers", f.rig.dir);
    f.out = fopen(path, "we");
    assert_non_null(f.out);
    rig_start(&f.rig);
    client_open(&f.client, &f.rig);
    ask_all(&f);
    for (int week = 0; week < 8; week++) {
        do_the_list(&f);
        json_decref(ask(&f, "clock", "clock", json_pack("{s:s}", "advance", "1 week")));
    }
    json_decref(
        ask(&f, "record", "record",
            json_pack("{s:s,s:{s:{}},s:s}", "kind", "note", "subjects", "T1", "note", "x")));
    json_decref(ask(&f, "show", "show", json_object()));
    json_decref(ask(&f, "show", "show", json_pack("{s:s}", "what", "forecasts")));
    json_decref(ask(&f, "show", "show", json_pack("{s:s}", "what", "tomato")));
    json_decref(ask(&f, "show", "show", json_pack("{s:s}", "what", "1"))); /* over long ago */
    json_decref(ask(&f, "readings", "readings",
                    json_pack("{s:[{s:s,s:s},{s:s,s:s}]}", "readings", "subject", "T1", "ec",
                              "1.1 mS/cm", "subject", "nobody", "ec", "1.1 mS/cm")));
    json_decref(ask(&f, "void", "void", json_pack("{s:s,s:s}", "entry", "2", "why", "x")));
    json_decref(ask(&f, "undo", "undo", NULL));
    do_fix(&f);
    ask_all(&f);
    assert_int_equal(fclose(f.out), 0);
    client_close(&f.client);
    rig_stop(&f.rig);
    (void)snprintf(command, sizeof command,
                   "/usr/bin/python3 %s/tests/system/check_schema.py %s/config/answers.schema.json "
                   "<'%s'",
                   TARN_SOURCE_DIR, TARN_SOURCE_DIR, path);
    assert_int_equal(system(command),
                     0); /* NOLINT(cert-env33-c): no word of it comes from outside */
    rig_remove(&f.rig);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_answer_has_its_promised_shape),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
