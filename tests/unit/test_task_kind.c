/* The kinds of tasks: their words last, since they stand in journals, and no two share one. */
#include "daemon/core/words/task_kind.h"
#include "tests/cmocka_all.h"

/* Journals that were written with these words are read for good. */
static void words_in_journals_never_change(void **ctx)
{
    static const char *const written[] = {"start", "check",   "change",  "bump",
                                          "ph",    "read",    "fill",    "calibrate",
                                          "care",  "reorder", "harvest", "look"};

    (void)ctx;
    assert_true(TASK_KIND_N >= sizeof written / sizeof *written);
    for (size_t i = 0; i < sizeof written / sizeof *written; i++) {
        assert_string_equal(task_kinds[i].word, written[i]);
        assert_ptr_equal(task_words[i], task_kinds[i].word);
    }
}

static void no_two_kinds_share_a_word_or_a_place_in_the_morning(void **ctx)
{
    (void)ctx;
    for (int a = 0; a < TASK_KIND_N; a++) {
        for (int b = 0; b < a; b++) {
            assert_string_not_equal(task_kinds[a].word, task_kinds[b].word);
            assert_int_not_equal(task_kinds[a].morning_rank, task_kinds[b].morning_rank);
        }
    }
}

/* What is wrong is seen to first; what is cut, before all else is done in the room; meters before
 * what is read with them; readings before what they may move; and what has to do with plants
 * before walks for supplies. */
static void a_morning_is_worked_in_an_order_that_saves_work(void **ctx)
{
    static const enum task_kind order[] = {
        TASK_LOOK, TASK_OVERNIGHT, TASK_HARVEST, TASK_CALIBRATE, TASK_READ, TASK_PH,     TASK_CHECK,
        TASK_BUMP, TASK_CHANGE,    TASK_FILL,    TASK_START,     TASK_CARE, TASK_REORDER};

    (void)ctx;
    for (size_t i = 1; i < sizeof order / sizeof *order; i++) {
        assert_true(task_kinds[order[i - 1]].morning_rank < task_kinds[order[i]].morning_rank);
    }
}

static void only_what_keeps_plants_alive_cannot_wait_for_days_off(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < TASK_KIND_N; k++) {
        assert_int_equal(task_kinds[k].waits_for_days_off, k != TASK_FILL && k != TASK_LOOK);
        assert_int_equal(task_kinds[k].loses_plants,
                         k == TASK_FILL || k == TASK_CHECK || k == TASK_CHANGE);
    }
}

static void what_is_mixed_or_strengthened_has_a_recipe(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < TASK_KIND_N; k++) {
        assert_int_equal(task_kinds[k].has_recipe,
                         k == TASK_START || k == TASK_CHANGE || k == TASK_BUMP);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_in_journals_never_change),
        cmocka_unit_test(no_two_kinds_share_a_word_or_a_place_in_the_morning),
        cmocka_unit_test(a_morning_is_worked_in_an_order_that_saves_work),
        cmocka_unit_test(only_what_keeps_plants_alive_cannot_wait_for_days_off),
        cmocka_unit_test(what_is_mixed_or_strengthened_has_a_recipe),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
