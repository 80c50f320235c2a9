/* What comes first, by one key and by several. */
#include "tests/cmocka_all.h"

#include "daemon/base/order.h"

#include <stddef.h>
#include <stdlib.h>

static void the_less_comes_first(void **state)
{
    const int row[2] = {0};

    (void)state;
    assert_int_equal(ORDER(1, 2), -1);
    assert_int_equal(ORDER(2, 2), 0);
    assert_int_equal(ORDER(3, 2), 1);
    assert_int_equal(ORDER(-0.5, 0.25), -1);
    assert_int_equal(ORDER((size_t)1, SIZE_MAX), -1); /* no difference that could wrap around */
    assert_int_equal(ORDER(INT64_MAX, INT64_MIN), 1);
    assert_int_equal(ORDER(&row[0], &row[1]), -1);
}

struct dish {
    int day;
    double volume_l;
    size_t at;
};

static int by_day_then_the_largest(const void *pa, const void *pb)
{
    const struct dish *a = pa;
    const struct dish *b = pb;

    return ORDER(a->day, b->day) ?: ORDER(b->volume_l, a->volume_l) ?: ORDER(a->at, b->at);
}

static void the_first_key_that_differs_decides(void **state)
{
    struct dish dishes[] = {
        {2, 9, 0},
        {1, 3, 1},
        {1, 5, 2},
        {1, 3, 3}
    };
    static const size_t wanted[] = {2, 1, 3, 0};

    (void)state;
    qsort(dishes, 4, sizeof *dishes, by_day_then_the_largest);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(dishes[i].at, wanted[i]);
    }
}

static void the_less_and_the_more_of_two(void **state)
{
    (void)state;
    assert_int_equal(order_min(3, -4), -4);
    assert_int_equal(order_min(-4, 3), -4);
    assert_int_equal(order_max(3, -4), 3);
    assert_int_equal(order_max(-4, 3), 3);
    assert_int_equal(order_max(INT32_MIN, INT32_MAX), INT32_MAX);
    assert_int_equal(order_min(INT32_MIN, INT32_MAX), INT32_MIN);
    assert_true(order_fewer(1, SIZE_MAX) == 1 && order_fewer(SIZE_MAX, 1) == 1);
    assert_true(order_more(1, SIZE_MAX) == SIZE_MAX && order_more(SIZE_MAX, 1) == SIZE_MAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_less_comes_first),
        cmocka_unit_test(the_first_key_that_differs_decides),
        cmocka_unit_test(the_less_and_the_more_of_two),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
