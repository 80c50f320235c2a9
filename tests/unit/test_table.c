/* Between published values, on them, and beyond them. */
#include "daemon/core/chem/table.h"
#include "tests/cmocka_all.h"

#include <math.h>

static void even_steps(void **ctx)
{
    static const double value[] = {3, 5, 4};
    static const struct table t = {10, 5, value, 3};
    static const double want[][2] = {
        {-100, 3  },
        {9.9,  3  },
        {10,   3  },
        {12.5, 4  },
        {15,   5  },
        {16,   4.8},
        {20,   4  },
        {21,   4  },
        {1e9,  4  }
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        assert_true(fabs(table_at(&t, want[i][0]) - want[i][1]) < 1e-12);
    }
}

static void uneven_rows(void **ctx)
{
    static const double pair[][2] = {
        {0,  1},
        {10, 3},
        {12, 7}
    };
    static const double want[][2] = {
        {-1,  1},
        {0,   1},
        {5,   2},
        {10,  3},
        {11,  5},
        {12,  7},
        {13,  7},
        {1e9, 7}
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        assert_true(fabs(table_pairs_at(pair, 3, want[i][0]) - want[i][1]) < 1e-12);
    }
    assert_true(table_pairs_at(pair, 1, 5) == 1); /* a table of one row is a constant */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(even_steps),
        cmocka_unit_test(uneven_rows),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
