/* The kinds of entries, of subjects and of care: each has all its words, and the places outside of
 * the table that a kind must have. */
#include "tests/cmocka_all.h"

#include "daemon/core/words/care.h"
#include "daemon/core/words/entry_kind.h"
#include "daemon/core/words/subject.h"
#include "tests/unit/source_text.h"

#include <string.h>

static void every_kind_has_its_row(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        const struct entry_def *d = &entry_kinds[k];

        if (!d->word || !d->says || !d->help || !d->subjects) {
            fail_msg("entry kind %d ('%s') has no whole row in daemon/core/words/entry_kind.c", k,
                     d->word ? d->word : "?");
        }
        if (d->recordable && d->help && !*d->help) {
            fail_msg("'%s' can be recorded and has no help in daemon/core/words/entry_kind.c",
                     d->word);
        }
    }
}

static void every_kind_is_found_by_its_word_and_nothing_else_is(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_int_equal(entry_kind_find(entry_kinds[k].word), k);
        assert_int_equal(strspn(entry_kinds[k].word, "abcdefghijklmnopqrstuvwxyz-"),
                         strlen(entry_kinds[k].word));
    }
    assert_int_equal(entry_kind_find("refiled"), -1);
    assert_int_equal(entry_kind_find(""), -1);
}

static void every_kind_stands_in_the_schema_of_the_answers(void **state)
{
    struct text schema = {0};
    const char *at;
    const char *end;

    (void)state;
    assert_true(source_text("config/answers.schema.json", &schema) == 1);
    at = strstr(text_str(&schema), "\"started\",");
    assert_non_null(at);
    end = strchr(at, ']');
    assert_non_null(end);
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        char word[64];
        const char *found;

        (void)snprintf(word, sizeof word, "\"%s\"", entry_kinds[k].word);
        found = strstr(at, word);
        if (!found || found > end) {
            fail_msg("entry kind '%s' is missing among the kinds in config/answers.schema.json",
                     entry_kinds[k].word);
        }
    }
    text_deinit(&schema);
}

/* No figure is asked for twice over, and what is needed is not only taken. */
static void a_figure_stands_once_in_the_row_of_a_kind(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        const struct entry_def *d = &entry_kinds[k];

        assert_int_equal(d->needs & d->needs_one, 0);
        assert_int_equal(d->needs & d->takes, 0);
        assert_int_equal(d->needs_one & d->takes, 0);
        assert_int_equal((d->needs | d->needs_one | d->takes) >> FIGURE_N, 0);
    }
}

static void every_figure_can_be_told_of_something(void **state)
{
    unsigned all = 0;

    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        all |= entry_kinds[k].needs | entry_kinds[k].needs_one | entry_kinds[k].takes;
    }
    for (int f = 0; f < FIGURE_N; f++) {
        if (!(all & FIGURE_BIT(f))) {
            fail_msg("no kind of entry takes '%s': name it in daemon/core/words/entry_kind.c",
                     figure_defs[f].word);
        }
    }
}

/* What a meter that shows the bare EC needs beside it (warmth.h): no kind takes an EC without the
 * temperature, but for water whose strength was measured elsewhere. */
static void a_strength_can_be_told_with_its_temperature(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        const struct entry_def *d = &entry_kinds[k];
        unsigned all = d->needs | d->needs_one | d->takes;

        if (all & FIGURE_BIT(FIGURE_EC_MS_CM) && k != ENTRY_TOPPED_UP) {
            assert_true(all & FIGURE_BIT(FIGURE_TEMP_C));
        }
    }
}

/* Those that come of a task, or void another, are not recorded by themselves. */
static void what_a_person_may_record_straight(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_int_equal(entry_kinds[k].recordable, k != ENTRY_DEFERRED && k != ENTRY_DROPPED &&
                                                        k != ENTRY_ACKNOWLEDGED &&
                                                        k != ENTRY_VOIDED);
    }
}

/* Only where something is poured is it told how much of which product. */
static void amounts_are_told_where_something_is_stirred_in(void **state)
{
    (void)state;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_int_equal(entry_kinds[k].amounts, k == ENTRY_STARTED || k == ENTRY_REFILLED ||
                                                     k == ENTRY_BUMPED || k == ENTRY_MIX_MADE ||
                                                     k == ENTRY_PH_ADJUSTED ||
                                                     k == ENTRY_RESERVOIR_FILLED);
    }
}

static void every_kind_of_subject_and_of_care_has_its_word(void **state)
{
    static const char *const subjects[SUBJECT_KIND_N] = {
        "nothing", "the room", "the reservoir", "a container", "a product", "a recipe", "a meter"};
    static const char *const cares[] = {"float",     "valve", "filter",
                                        "reservoir", "read",  "overnight"};
    /* An open task is kept with the number of its care, so a new kind stands behind the others. */
    _Static_assert(sizeof cares / sizeof *cares == CARE_KIND_N,
                   "a kind of care whose word nobody has tested");

    (void)state;
    for (int k = 0; k < SUBJECT_KIND_N; k++) {
        assert_string_equal(subject_kind_word((enum subject_kind)k), subjects[k]);
    }
    for (int k = 0; k < CARE_KIND_N; k++) {
        assert_string_equal(care_word((enum care_kind)k), cares[k]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_its_row),
        cmocka_unit_test(every_kind_is_found_by_its_word_and_nothing_else_is),
        cmocka_unit_test(every_kind_stands_in_the_schema_of_the_answers),
        cmocka_unit_test(a_figure_stands_once_in_the_row_of_a_kind),
        cmocka_unit_test(every_figure_can_be_told_of_something),
        cmocka_unit_test(a_strength_can_be_told_with_its_temperature),
        cmocka_unit_test(what_a_person_may_record_straight),
        cmocka_unit_test(amounts_are_told_where_something_is_stirred_in),
        cmocka_unit_test(every_kind_of_subject_and_of_care_has_its_word),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
