/* Names of things, and runs of them: one rule for the command line and the room file. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/base/names.h"

#include <string.h>

#define LONGEST "A234567890123456789012345678901" /* 31 */

static void a_name_is_a_letter_and_what_follows_it(void **state)
{
    (void)state;
    assert_true(name_is_valid("A"));
    assert_true(name_is_valid("z"));
    assert_true(name_is_valid("calcium-part"));
    assert_true(name_is_valid("T1.left_2"));
    assert_true(name_is_valid(LONGEST));
    assert_false(name_is_valid(LONGEST "2"));
    assert_false(name_is_valid(""));
    assert_false(name_is_valid("1A"));
    assert_false(name_is_valid("-A"));
    assert_false(name_is_valid("A 1"));
    assert_false(name_is_valid("A/1"));
    assert_false(name_is_valid("\xC3\xA9"));
}

static void assert_run(const char *word, const char *stem, int64_t from, int64_t to,
                       const char *first)
{
    struct name_run run;
    char buf[NAME_RUN_TEXT_MAX];

    assert_true(name_run_parse(word, &run));
    assert_string_equal(run.stem, stem);
    assert_int_equal(run.from, from);
    assert_int_equal(run.to, to);
    assert_string_equal(name_run_write(buf, &run, run.from), first);
}

static void a_run_has_a_stem_and_two_numbers(void **state)
{
    (void)state;
    assert_run("A1..A12", "A", 1, 12, "A1");
    assert_run("A1..12", "A", 1, 12, "A1");
    assert_run("b007..b012", "b", 7, 12, "b007");
    assert_run("T1-3..T1-5", "T1-", 3, 5, "T1-3");
    assert_run("A5..A1", "A", 5, 1, "A5"); /* backwards: for the caller to refuse */
    assert_run("A000000001..A999999999", "A", 1, 999999999, "A000000001");
    assert_run("ABCDEFGHIJKLMNOPQRSTUVWXYZabcde1..2", "ABCDEFGHIJKLMNOPQRSTUVWXYZabcde", 1, 2,
               "ABCDEFGHIJKLMNOPQRSTUVWXYZabcde1");
}

static void the_width_of_the_first_number_is_kept(void **state)
{
    struct name_run run;
    char buf[NAME_RUN_TEXT_MAX];

    (void)state;
    assert_true(name_run_parse("A08..A11", &run));
    assert_string_equal(name_run_write(buf, &run, 9), "A09");
    assert_string_equal(name_run_write(buf, &run, 11), "A11");
    assert_true(name_run_parse("A8..A11", &run));
    assert_string_equal(name_run_write(buf, &run, 9), "A9");
    assert_string_equal(name_run_write(buf, &run, 11), "A11");
}

static void what_has_another_form_is_no_run(void **state)
{
    static const char *const words[] = {
        "A1",    "A1.A5",  "..",      "A1..",    "..A5",
        "A..A5", "1..5",   "A1..B5",  "A1..Ab5", "A..",
        "A1..A", "A1...5", "A1..AA5", "",        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdef1..2"};
    struct name_run run = {.from = 42};

    (void)state;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (name_run_parse(words[i], &run)) {
            fail_msg("'%s' was taken for a run", words[i]);
        }
    }
    assert_int_equal(run.from, 42);
}

static void assert_list(const char *list, size_t n, const char *last)
{
    struct names ns = {0};

    assert_int_equal(names_add_list(&ns, list, NULL), 0);
    assert_int_equal(ns.n, n);
    assert_string_equal(ns.name[n - 1], last);
    names_deinit(&ns);
    assert_int_equal(ns.n, 0);
}

static void a_list_stands_for_all_its_names(void **state)
{
    (void)state;
    assert_list("A3", 1, "A3");
    assert_list("A3,A7..A9", 4, "A9");
    assert_list("A1..A2000", 2000, "A2000");
    assert_list("A7..A7", 1, "A7");
}

static void assert_refused(const char *list, const char *expected)
{
    struct names ns = {0};
    struct err e = {0};

    assert_int_equal(names_add_list(&ns, list, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, expected);
    names_deinit(&ns);
}

static void a_list_that_cannot_be_read_says_how_one_looks(void **state)
{
    (void)state;
    assert_refused("A5..A4", "'A5..A4' is not a run of names; one looks like A1..A5");
    assert_refused("A1..B5", "'A1..B5' is not a run of names; one looks like A1..A5");
    assert_refused("A1..A2001", "'A1..A2001' stands for more than 2000 names");
    assert_refused("A1,,A2", "a name is empty");
    assert_refused("A1,", "a name is empty");
}

static void a_name_follows_another_by_one(void **state)
{
    (void)state;
    assert_true(names_follow("A7", "A8"));
    assert_true(names_follow("A09", "A10"));
    assert_true(names_follow("A9", "A10"));
    assert_false(names_follow("A8", "A7"));
    assert_false(names_follow("A7", "A9"));
    assert_false(names_follow("A9", "A010"));
    assert_false(names_follow("A7", "B8"));
    assert_false(names_follow("7", "8"));
    assert_false(names_follow("A", "A1"));
    assert_false(names_follow("down", "downs"));
}

static void three_in_a_row_are_written_as_a_run_and_two_are_not(void **state)
{
    static const char *const names[] = {"A1", "A2", "A3", "A4", "A7", "B2", "B3"};
    struct text t = {0};

    (void)state;
    names_fold(names, 7, &t);
    assert_string_equal(text_str(&t), "A1..A4, A7, B2, B3");
    text_deinit(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_name_is_a_letter_and_what_follows_it),
        cmocka_unit_test(a_run_has_a_stem_and_two_numbers),
        cmocka_unit_test(the_width_of_the_first_number_is_kept),
        cmocka_unit_test(what_has_another_form_is_no_run),
        cmocka_unit_test(a_list_stands_for_all_its_names),
        cmocka_unit_test(a_list_that_cannot_be_read_says_how_one_looks),
        cmocka_unit_test(a_name_follows_another_by_one),
        cmocka_unit_test(three_in_a_row_are_written_as_a_run_and_two_are_not),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
