/* A string that grows. */
#include "tests/cmocka_all.h"

#include "daemon/base/text.h"

#include <stdlib.h>
#include <string.h>

static void an_empty_text_is_an_empty_string(void **state)
{
    struct text t = {0};

    (void)state;
    assert_string_equal(text_str(&t), "");
    text_clear(&t);
    assert_string_equal(text_str(&t), "");
    text_deinit(&t);
}

static void what_is_added_comes_one_after_the_other(void **state)
{
    struct text t = {0};

    (void)state;
    text_add(&t, "%s is at %d L", "A1", 12);
    text_add_bytes(&t, "; and more", 5);
    text_add(&t, "%s", "");
    assert_string_equal(text_str(&t), "A1 is at 12 L; and");
    assert_int_equal(t.len, 18);
    text_deinit(&t);
}

static void bytes_may_hold_a_nul(void **state)
{
    struct text t = {0};

    (void)state;
    text_add_bytes(&t, "a\0b", 3);
    assert_int_equal(t.len, 3);
    assert_memory_equal(t.s, "a\0b", 4);
    text_deinit(&t);
}

static void a_list_has_commas_between_its_words(void **state)
{
    static const char *const words[] = {"A1", "A2", "A3"};
    struct text t = {0};

    (void)state;
    for (size_t i = 0; i < 3; i++) {
        text_add_listed(&t, i, words[i]);
    }
    assert_string_equal(text_str(&t), "A1, A2, A3");
    text_deinit(&t);
}

static void a_text_grows_as_long_as_it_must(void **state)
{
    struct text t = {0};

    (void)state;
    for (int i = 0; i < 10000; i++) {
        text_add(&t, "%d ", i % 10);
    }
    assert_int_equal(t.len, 20000);
    assert_int_equal(strlen(t.s), 20000);
    assert_memory_equal(t.s + 19980, "0 1 2 3 4 5 6 7 8 9 ", 21);
    text_deinit(&t);
}

static void a_text_that_was_cleared_begins_again(void **state)
{
    struct text t = {0};

    (void)state;
    text_add(&t, "before");
    text_clear(&t);
    assert_string_equal(text_str(&t), "");
    text_add(&t, "after");
    assert_string_equal(text_str(&t), "after");
    text_deinit(&t);
}

static void a_string_taken_is_the_callers_and_the_text_is_empty(void **state)
{
    struct text t = {0};
    char *s;

    (void)state;
    text_add(&t, "kept");
    s = text_take(&t);
    assert_string_equal(s, "kept");
    assert_string_equal(text_str(&t), "");
    free(s);
    s = text_take(&t);
    assert_string_equal(s, "");
    free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_text_is_an_empty_string),
        cmocka_unit_test(what_is_added_comes_one_after_the_other),
        cmocka_unit_test(bytes_may_hold_a_nul),
        cmocka_unit_test(a_list_has_commas_between_its_words),
        cmocka_unit_test(a_text_grows_as_long_as_it_must),
        cmocka_unit_test(a_text_that_was_cleared_begins_again),
        cmocka_unit_test(a_string_taken_is_the_callers_and_the_text_is_empty),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
