/* What is not parted at the end of a line. */
#include "cli/joined.h"
#include "cli/layout.h"
#include "tests/cmocka_all.h"

#include <string.h>

static bool stay(const char *a, const char *b)
{
    return joined_is(a, strlen(a), b, strlen(b));
}

static void a_number_stays_with_its_unit_and_a_date_with_its_month(void **state)
{
    (void)state;
    assert_true(stay("8.3", "L,"));
    assert_true(stay("(0.63", "mS/cm"));
    assert_true(stay("85", "%)"));
    assert_true(stay("Thu", "16"));
    assert_true(stay("16", "Apr."));
    assert_true(stay("21.5", "°C"));
    assert_true(stay("(in", "3"));
    assert_true(stay("pH", "5.8,"));
}

static void other_words_are_parted(void **state)
{
    (void)state;
    assert_false(stay("L", "of"));
    assert_false(stay("the", "mL"));
    assert_false(stay("T1", "L"));
    assert_false(stay("3.", "L")); /* a sentence ended */
    assert_false(stay("16", "April"));
    assert_false(stay("pH", "was"));
    assert_false(stay("", ""));
}

/* 40 columns are the narrowest page. */
static void a_line_ends_before_what_belongs_together(void **state)
{
    struct text t = {0};

    (void)state;
    layout_wrap_to(&t, "it runs dry on Thu 16 Apr and holds 8.3 L", 0, 0, 22);
    assert_string_equal(text_str(&t), "it runs dry on\nThu 16 Apr and holds\n8.3 L\n");
    text_deinit(&t);
    layout_wrap_to(&t, "one\n 8.3 L", 0, 2, 4); /* wider than the page: as it is */
    assert_string_equal(text_str(&t), "one\n  8.3 L\n");
    text_deinit(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_stays_with_its_unit_and_a_date_with_its_month),
        cmocka_unit_test(other_words_are_parted),
        cmocka_unit_test(a_line_ends_before_what_belongs_together),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
