/* Which figures an acknowledgement needs, takes and is asked for. What each task needs is what the
 * entries cannot be written without (entry_kind.h); the rest is common practice, no source. */
#include "tests/cmocka_all.h"

#include "daemon/core/words/entry_kind.h"
#include "daemon/core/words/task_figures.h"

#include <stdio.h>
#include <string.h>

static const struct task_figures *row(enum task_kind kind)
{
    return task_figures_of(kind, false);
}

/* The words of the figures of a row that are needed so, or asked so, one after the other. */
static char *listed(char buf[120], const struct task_figures *t, int need, int asked)
{
    size_t len = 0;

    buf[0] = '\0';
    for (size_t i = 0; i < task_figures_n(t); i++) {
        const struct task_figure *f = &t->figure[i];

        if ((need < 0 || (int)f->need == need) && (asked < 0 || (int)f->asked >= asked)) {
            len += (size_t)snprintf(buf + len, 120 - len, "%s%s", len ? " " : "",
                                    figure_defs[f->figure].word);
            assert_true(len < 120);
        }
    }
    return buf;
}

static void every_kind_of_task_has_its_row(void **state)
{
    (void)state;
    for (int k = 0; k < TASK_KIND_N; k++) {
        if (!row((enum task_kind)k)->word) {
            fail_msg("task kind '%s' has no row in daemon/core/words/task_figures.c",
                     task_words[k]);
        }
    }
}

static void a_figure_stands_in_a_row_once_and_what_is_needed_is_asked_for(void **state)
{
    (void)state;
    for (int k = 0; k < TASK_KIND_N; k++) {
        for (int by_hand = 0; by_hand < 2; by_hand++) {
            const struct task_figures *t = task_figures_of((enum task_kind)k, by_hand);
            unsigned seen = 0;

            for (size_t i = 0; i < task_figures_n(t); i++) {
                const struct task_figure *f = &t->figure[i];

                assert_false(seen & FIGURE_BIT(f->figure));
                assert_true(f->need != FIGURE_NEEDED || f->asked == ASKED_ALWAYS);
                seen |= FIGURE_BIT(f->figure);
            }
            assert_int_equal(task_figures_bits(t), seen);
        }
    }
}

static void what_a_task_cannot_do_without(void **state)
{
    static const struct {
        enum task_kind kind;
        const char *needed, *one_of;
    } task[TASK_KIND_N] = {
        {TASK_START,     "ec",           ""                 },
        {TASK_CHECK,     "",             "volume"           },
        {TASK_CHANGE,    "ec ph volume", ""                 },
        {TASK_BUMP,      "ec",           ""                 },
        {TASK_PH,        "ph",           ""                 },
        {TASK_READ,      "",             "ec ph volume temp"},
        {TASK_FILL,      "",             "volume added"     },
        {TASK_CALIBRATE, "slope",        ""                 },
        {TASK_CARE,      "",             ""                 },
        {TASK_REORDER,   "",             ""                 },
        {TASK_HARVEST,   "",             ""                 },
        {TASK_LOOK,      "",             ""                 },
        {TASK_OVERNIGHT, "added",        ""                 },
    };
    char buf[120];

    (void)state;
    for (size_t i = 0; i < TASK_KIND_N; i++) {
        assert_string_equal(listed(buf, row(task[i].kind), FIGURE_NEEDED, -1), task[i].needed);
        assert_string_equal(listed(buf, row(task[i].kind), FIGURE_ONE_OF, -1), task[i].one_of);
    }
}

static void what_the_list_of_the_day_and_the_sheet_ask_for(void **state)
{
    static const struct {
        enum task_kind kind;
        const char *list, *sheet;
    } task[TASK_KIND_N] = {
        {TASK_START,     "ec",                     "was ec ph"             },
        {TASK_CHECK,     "",                       "volume"                },
        {TASK_CHANGE,    "was ec ph volume added", "was ec ph volume added"},
        {TASK_BUMP,      "was ec",                 "was ec ph"             },
        {TASK_PH,        "ph",                     "ph"                    },
        {TASK_READ,      "ec ph",                  "ec ph volume"          },
        {TASK_FILL,      "volume added",           "volume added ec ph"    },
        {TASK_CALIBRATE, "slope",                  "slope offset temp"     },
        {TASK_CARE,      "",                       ""                      },
        {TASK_REORDER,   "",                       ""                      },
        {TASK_HARVEST,   "",                       "yield"                 },
        {TASK_LOOK,      "",                       ""                      },
        {TASK_OVERNIGHT, "added",                  "added"                 },
    };
    char buf[120];

    (void)state;
    for (size_t i = 0; i < TASK_KIND_N; i++) {
        assert_string_equal(listed(buf, row(task[i].kind), -1, ASKED_ALWAYS), task[i].list);
        assert_string_equal(listed(buf, row(task[i].kind), -1, ASKED_ON_SHEET), task[i].sheet);
    }
}

/* Which amounts a task took is asked where nobody can reckon it: an acid goes in by and by, until
 * the pH is right, and so into a fill, a start and a mix. A bump pours what the sheet said. */
static void amounts_are_asked_for_where_they_were_found_by_trying(void **state)
{
    (void)state;
    for (int k = 0; k < TASK_KIND_N; k++) {
        const struct task_figures *t = row((enum task_kind)k);

        bool acid = k == TASK_PH || k == TASK_FILL || k == TASK_START || k == TASK_CHANGE;

        assert_int_equal(t->amounts, acid);
        assert_string_equal(t->word, k == TASK_CHECK ? "float=yes" : "");
    }
    assert_true(task_figures_of(TASK_CHANGE, true)->amounts);
    assert_string_equal(task_figures_of(TASK_CHANGE, true)->word, "");
    assert_int_equal(task_figures_of(TASK_CHANGE, true)->of, TOLD_AT_LARGE);
}

/* A meter may need the temperature beside whatever EC it shows (warmth.h). */
static void where_a_strength_is_taken_its_temperature_is_too(void **state)
{
    (void)state;
    for (int k = 0; k < TASK_KIND_N; k++) {
        unsigned bits = task_figures_bits(row((enum task_kind)k));

        assert_true(!(bits & FIGURE_BIT(FIGURE_EC_MS_CM)) || bits & FIGURE_BIT(FIGURE_TEMP_C));
    }
}

static void a_change_by_hand_needs_the_strength_of_the_jug_alone(void **state)
{
    const struct task_figures *t = task_figures_of(TASK_CHANGE, true);
    char buf[120];

    (void)state;
    assert_string_equal(listed(buf, t, FIGURE_NEEDED, -1), "ec");
    assert_string_equal(listed(buf, t, -1, ASKED_ON_SHEET), "ec");
    assert_false(task_figures_bits(t) & FIGURE_BIT(FIGURE_ADDED_L));
    assert_ptr_equal(task_figures_of(TASK_FILL, true), row(TASK_FILL)); /* only a change has two */
}

static void figures_are_of_each_where_they_differ_from_each_to_each(void **state)
{
    (void)state;
    for (int k = 0; k < TASK_KIND_N; k++) {
        enum told_of want = k == TASK_READ                        ? TOLD_OF_EACH
                            : k == TASK_BUMP || k == TASK_HARVEST ? TOLD_OF_EACH_BETTER
                                                                  : TOLD_AT_LARGE;

        assert_int_equal(row((enum task_kind)k)->of, want);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_of_task_has_its_row),
        cmocka_unit_test(a_figure_stands_in_a_row_once_and_what_is_needed_is_asked_for),
        cmocka_unit_test(what_a_task_cannot_do_without),
        cmocka_unit_test(what_the_list_of_the_day_and_the_sheet_ask_for),
        cmocka_unit_test(amounts_are_asked_for_where_they_were_found_by_trying),
        cmocka_unit_test(where_a_strength_is_taken_its_temperature_is_too),
        cmocka_unit_test(a_change_by_hand_needs_the_strength_of_the_jug_alone),
        cmocka_unit_test(figures_are_of_each_where_they_differ_from_each_to_each),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
