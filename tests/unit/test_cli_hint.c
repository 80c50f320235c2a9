/* What the list of the day says to type when a task is done: the figures of words/task_figures.h
 * in the units of the room. */
#include "tests/unit/a_screen.h"

#include <string.h>

static void assert_hint(const struct view *v, const char *kind, int n_subjects, bool by_hand,
                        const char *want)
{
    static const char *const names[] = {"A1", "A2", "A3"};
    json_t *task =
        json_pack("{s:s, s:s, s:s, s:o, s:s, s:s, s:s, s:s, s:i, s:s, s:s, s:b, s:b}", "id", "41",
                  "kind", kind, "what", kind, "subjects", json_array(), "earliest", "2026-03-01",
                  "due", "2026-03-01", "latest", "2026-03-02", "on", "2026-03-01", "minutes", 5,
                  "why", "w", "loss", "l", "overdue", 0, "by_hand", (int)by_hand);
    json_t *today = json_pack("{s:s, s:[o], s:i, s:i}", "date", "2026-03-01", "tasks", task,
                              "minutes", 5, "budget_min", 60);
    struct text t = {0};
    char line[200];

    assert_non_null(today);
    for (int i = 0; i < n_subjects; i++) {
        json_array_append_new(json_object_get(task, "subjects"), json_string(names[i]));
    }
    screen_today(v, today, &t);
    (void)snprintf(line, sizeof line, "Done:   tarn ack 41%s\n", want);
    if (!strstr(text_str(&t), line)) {
        fail_msg("wanted '%s' in:\n%s", line, text_str(&t));
    }
    json_decref(today);
    text_deinit(&t);
}

static void each_kind_reminds_of_its_figures_in_the_rooms_units(void **state)
{
    struct view v = a_view("L", "mS/cm");

    (void)state;
    assert_hint(&v, "start", 2, false, " ec=…mS/cm");
    assert_hint(&v, "check", 1, false, " float=yes");
    assert_hint(&v, "change", 2, false, " was=…mS/cm ec=…mS/cm ph=… volume=…L added=…L");
    assert_hint(&v, "ph", 1, false, " ph=…");
    assert_hint(&v, "fill", 1, false, " volume=…L added=…L");
    assert_hint(&v, "calibrate", 1, false, " slope=…%");
    assert_hint(&v, "care", 2, false, "");
    assert_hint(&v, "reorder", 1, false, "");
    assert_hint(&v, "harvest", 2, false, "");
    assert_hint(&v, "look", 1, false, "");
    v = a_view("gal", "ppm500");
    assert_hint(&v, "change", 1, false, " was=…ppm500 ec=…ppm500 ph=… volume=…gal added=…gal");
}

static void figures_of_each_are_shown_behind_its_name(void **state)
{
    struct view v = a_view("L", "mS/cm");

    (void)state;
    assert_hint(&v, "bump", 1, false, " A1 was=…mS/cm ec=…mS/cm");
    assert_hint(&v, "bump", 3, false, " A1 was=…mS/cm ec=…mS/cm A2 …");
    assert_hint(&v, "read", 2, false, " A1 ec=…mS/cm ph=… A2 …");
}

/* It needs no pH, and nothing is let into the reservoir. */
static void a_change_by_hand_reminds_of_the_jugs_strength_alone(void **state)
{
    struct view v = a_view("L", "mS/cm");

    (void)state;
    assert_hint(&v, "change", 1, true, " ec=…mS/cm");
}

/* A daemon that is newer than this program: it asks for what is missing. */
static void a_kind_that_is_not_known_is_acknowledged_all_the_same(void **state)
{
    struct view v = a_view("L", "mS/cm");

    (void)state;
    assert_hint(&v, "prune", 1, false, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_kind_reminds_of_its_figures_in_the_rooms_units),
        cmocka_unit_test(figures_of_each_are_shown_behind_its_name),
        cmocka_unit_test(a_change_by_hand_reminds_of_the_jugs_strength_alone),
        cmocka_unit_test(a_kind_that_is_not_known_is_acknowledged_all_the_same),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
