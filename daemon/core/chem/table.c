#include "daemon/core/chem/table.h"

#include <math.h>

double table_at(const struct table *t, double x)
{
    double place = fmin(fmax((x - t->from) / t->step, 0), (double)(t->n - 1));
    size_t i = (size_t)fmin(floor(place), (double)(t->n - 2));

    return t->value[i] + (place - (double)i) * (t->value[i + 1] - t->value[i]);
}

double table_pairs_at(const double (*pair)[2], size_t n, double x)
{
    size_t i = 1;

    if (x <= pair[0][0]) {
        return pair[0][1];
    }
    while (i < n && pair[i][0] < x) {
        i++;
    }
    if (i == n) {
        return pair[n - 1][1];
    }
    return pair[i - 1][1] +
           (x - pair[i - 1][0]) * (pair[i][1] - pair[i - 1][1]) / (pair[i][0] - pair[i - 1][0]);
}
