#include "daemon/core/model/record.h"

#include <math.h>

/* Set by tests/bench/predictbench. */
/* clang-format off */
#define RECORD_PRIOR 12.0 /* outcomes that the promise itself is worth */
#define KEEPS        0.95 /* of an outcome's weight when the next one comes: twenty count */
#define MOST_Z       3.0  /* a fault, or a slip, is not how wrong forecasts are */
/* clang-format on */

void record_add(struct record *r, double z)
{
    double counted = fmin(fabs(z), MOST_Z);

    r->n = KEEPS * r->n + 1;
    r->sum_z2 = KEEPS * r->sum_z2 + counted * counted;
}

double record_scale(const struct record *r)
{
    return sqrt((RECORD_PRIOR + r->sum_z2) / (RECORD_PRIOR + r->n));
}
