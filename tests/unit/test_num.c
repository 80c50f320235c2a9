/* Numbers from text: all of it, finite, decimal. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/base/num.h"

#include <string.h>

static void decimals_are_read_as_they_are_written(void **state)
{
    static const struct {
        const char *text;
        double value;
    } good[] = {
        {"12",     12  },
        {"-0.5",   -0.5},
        {".5",     0.5 },
        {"5.",     5   },
        {"+3",     3   },
        {"1e3",    1000},
        {"1E-2",   0.01},
        {"2.5e+1", 25  },
        {"007",    7   },
        {"1e-400", 0   },
    };

    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double v = -1;

        assert_int_equal(num_parse(good[i].text, &v, NULL), 0);
        assert_true(v == good[i].value);
    }
}

static void what_is_not_all_a_number_is_refused_and_changes_nothing(void **state)
{
    static const char *const bad[] = {"",    " ",     "x",   "-",     "+",   ".",   "-.",  "e3",
                                      ".e3", "1e",    "1e+", "0x10",  "inf", "nan", "1,5", " 1",
                                      "1 ",  "1 000", "1_0", "1.2.3", "--1", "1L",  "٣"};

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct err e = {0};
        double v = 42;

        assert_int_equal(num_parse(bad[i], &v, &e), ERR_SYNTAX);
        assert_non_null(strstr(e.msg, "' is not a number"));
        assert_true(v == 42);
    }
}

static void a_number_past_all_bounds_is_refused(void **state)
{
    struct err e;
    double v = 42;

    (void)state;
    assert_int_equal(num_parse("1e999", &v, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, "'1e999' is too large a number");
    assert_int_equal(num_parse("-1e999", &v, NULL), ERR_SYNTAX);
    assert_true(v == 42);
}

static void whole_numbers_lie_between_their_bounds(void **state)
{
    struct err e;
    int64_t n = 42;

    (void)state;
    assert_int_equal(num_parse_int("-5", -5, 5, &n, NULL), 0);
    assert_int_equal(n, -5);
    assert_int_equal(num_parse_int("5", -5, 5, &n, NULL), 0);
    assert_int_equal(n, 5);
    assert_int_equal(num_parse_int("6", -5, 5, &n, &e), ERR_RANGE);
    assert_string_equal(e.msg, "6 is not between -5 and 5");
    assert_int_equal(num_parse_int("-6", -5, 5, &n, NULL), ERR_RANGE);
    assert_int_equal(n, 5);
}

static void the_largest_whole_numbers_are_read_and_larger_ones_are_not(void **state)
{
    int64_t n = 42;

    (void)state;
    assert_int_equal(num_parse_int("9223372036854775807", INT64_MIN, INT64_MAX, &n, NULL), 0);
    assert_true(n == INT64_MAX);
    assert_int_equal(num_parse_int("-9223372036854775808", INT64_MIN, INT64_MAX, &n, NULL), 0);
    assert_true(n == INT64_MIN);
    assert_int_equal(num_parse_int("9223372036854775808", INT64_MIN, INT64_MAX, &n, NULL),
                     ERR_RANGE);
    assert_true(n == INT64_MIN);
}

static void what_is_no_whole_number_is_refused(void **state)
{
    static const char *const bad[] = {"", "-", "1.0", "1e3", " 1", "1 ", "0x1", "one", "--1"};

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct err e = {0};
        int64_t n = 42;

        assert_int_equal(num_parse_int(bad[i], 0, 9, &n, &e), ERR_SYNTAX);
        assert_non_null(strstr(e.msg, "' is not a whole number"));
        assert_int_equal(n, 42);
    }
}

static void the_span_ends_where_the_unit_begins(void **state)
{
    (void)state;
    assert_int_equal(num_span("5gal"), 1);
    assert_int_equal(num_span("0.4 mS/cm"), 3);
    assert_int_equal(num_span("-1.5e2C"), 6);
    assert_int_equal(num_span("5e"), 1); /* no power: the e is the unit's */
    assert_int_equal(num_span("5e+x"), 1);
    assert_int_equal(num_span("gal"), 0);
    assert_int_equal(num_span("-"), 0);
    assert_int_equal(num_span("-."), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(decimals_are_read_as_they_are_written),
        cmocka_unit_test(what_is_not_all_a_number_is_refused_and_changes_nothing),
        cmocka_unit_test(a_number_past_all_bounds_is_refused),
        cmocka_unit_test(whole_numbers_lie_between_their_bounds),
        cmocka_unit_test(the_largest_whole_numbers_are_read_and_larger_ones_are_not),
        cmocka_unit_test(what_is_no_whole_number_is_refused),
        cmocka_unit_test(the_span_ends_where_the_unit_begins),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
