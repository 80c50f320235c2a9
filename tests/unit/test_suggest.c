/* The known name that was probably meant. */
#include "tests/cmocka_all.h"

#include "daemon/base/suggest.h"

#include <stdio.h>
#include <string.h>

static const char *const names[] = {"volume", "reservoir", "recipe", "A1", "A2", "ph"};

static const char *near(const char *word)
{
    return suggest_nearest(word, names, sizeof names / sizeof *names);
}

static void one_slip_of_the_finger_is_seen_through(void **state)
{
    (void)state;
    assert_string_equal(near("volme"), "volume");   /* left out */
    assert_string_equal(near("vollume"), "volume"); /* put in */
    assert_string_equal(near("wolume"), "volume");  /* changed */
    assert_string_equal(near("vloume"), "volume");  /* swapped */
    assert_string_equal(near("volume"), "volume");
}

static void two_slips_are_seen_through_and_three_are_not(void **state)
{
    (void)state;
    assert_string_equal(near("reservor"), "reservoir");
    assert_string_equal(near("resrvor"), "reservoir");
    assert_string_equal(near("ersevroir"), "reservoir"); /* two swaps */
    assert_null(near("rsrvor"));
}

static void the_nearest_wins_and_of_equals_the_first(void **state)
{
    (void)state;
    assert_string_equal(near("A3"), "A1");
    assert_string_equal(near("B2"), "A2");
}

static void a_word_is_not_taken_for_one_that_shares_nothing_with_it(void **state)
{
    (void)state;
    assert_null(near("xy")); /* two changes of two letters */
    assert_null(near("x"));
    assert_null(near(""));
    assert_null(near("temperature"));
}

static void letter_case_counts_as_a_change(void **state)
{
    (void)state;
    assert_string_equal(near("Volume"), "volume");
    assert_null(near("VOLUME"));
}

static void words_of_any_length_are_taken(void **state)
{
    char long_word[200];
    const char *long_names[] = {long_word, "ph"};

    (void)state;
    memset(long_word, 'x', sizeof long_word - 1);
    long_word[sizeof long_word - 1] = '\0';
    assert_null(near(long_word));
    assert_null(suggest_nearest(long_word, long_names, 2));
    assert_string_equal(suggest_nearest("phh", long_names, 2), "ph");
    long_word[64] = '\0';
    assert_string_equal(suggest_nearest(long_word, long_names, 1), long_word);
}

static void there_need_not_be_a_name_at_all(void **state)
{
    (void)state;
    assert_null(suggest_nearest("volume", names, 0));
}

static void a_name_that_is_near_is_asked_for(void **state)
{
    char buf[SUGGEST_TEXT_MAX];

    (void)state;
    assert_string_equal(suggest_tail(buf, "volme", names, 6, "; it is one of many"),
                        "; did you mean 'volume'?");
}

static void where_none_is_near_something_else_may_be_said(void **state)
{
    char buf[SUGGEST_TEXT_MAX];

    (void)state;
    assert_string_equal(suggest_tail(buf, "temperature", names, 6, "; it is one of many"),
                        "; it is one of many");
    assert_string_equal(suggest_tail(buf, "temperature", names, 6, ""), "");
}

static void an_option_is_asked_for_without_quotes(void **state)
{
    static const char *const options[] = {"--json", "--full"};
    char buf[SUGGEST_TEXT_MAX];

    (void)state;
    assert_string_equal(suggest_tail(buf, "--ful", options, 2, ""), "; did you mean --full?");
}

/* The longest name that is compared at all has 64 bytes. */
static void the_longest_name_is_asked_for_whole(void **state)
{
    char name[65];
    char want[SUGGEST_TEXT_MAX];
    char buf[SUGGEST_TEXT_MAX];
    const char *long_names[] = {name};

    (void)state;
    memset(name, 'x', 64);
    name[64] = '\0';
    (void)snprintf(want, sizeof want, "; did you mean '%s'?", name);
    assert_string_equal(suggest_tail(buf, name + 1, long_names, 1, ""), want);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_slip_of_the_finger_is_seen_through),
        cmocka_unit_test(two_slips_are_seen_through_and_three_are_not),
        cmocka_unit_test(the_nearest_wins_and_of_equals_the_first),
        cmocka_unit_test(a_word_is_not_taken_for_one_that_shares_nothing_with_it),
        cmocka_unit_test(letter_case_counts_as_a_change),
        cmocka_unit_test(words_of_any_length_are_taken),
        cmocka_unit_test(there_need_not_be_a_name_at_all),
        cmocka_unit_test(a_name_that_is_near_is_asked_for),
        cmocka_unit_test(where_none_is_near_something_else_may_be_said),
        cmocka_unit_test(an_option_is_asked_for_without_quotes),
        cmocka_unit_test(the_longest_name_is_asked_for_whole),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
