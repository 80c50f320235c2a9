/* Memory that is there or the program ends. */
#include "tests/cmocka_all.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

static void memory_comes_zeroed_and_copies_are_apart(void **state)
{
    static const int three[] = {1, 2, 3};
    int *copy = mem_copy(three, 3, sizeof *three);
    char *none = mem_array(0, 8);
    int *zeroes = mem_array(4, sizeof *zeroes);
    char *word = mem_strdup("word");

    (void)state;
    assert_memory_equal(copy, three, sizeof three);
    assert_int_equal(zeroes[0] | zeroes[1] | zeroes[2] | zeroes[3], 0);
    assert_string_equal(word, "word");
    assert_null(mem_copy(NULL, 3, 4));
    assert_null(mem_strdup(NULL));
    free(copy);
    free(none);
    free(zeroes);
    free(word);
}

static void an_array_grows_to_what_is_needed_and_keeps_what_it_holds(void **state)
{
    size_t cap = 0;
    int *a = NULL;

    (void)state;
    a = mem_grow(a, &cap, 1, sizeof *a);
    assert_true(cap >= 1);
    a[0] = 17;
    a = mem_grow(a, &cap, 1000, sizeof *a);
    assert_true(cap >= 1000);
    a[999] = 4;
    assert_int_equal(a[0], 17);
    assert_ptr_equal(mem_grow(a, &cap, 10, sizeof *a), a);
    free(a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(memory_comes_zeroed_and_copies_are_apart),
        cmocka_unit_test(an_array_grows_to_what_is_needed_and_keeps_what_it_holds),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
