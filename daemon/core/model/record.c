#include "daemon/core/model/record.h"

#include "daemon/core/model/gauss.h"

#include <math.h>

/* Set by tests/bench/predictbench. */
/* clang-format off */
#define RECORD_PRIOR 8.0  /* outcomes that the promise itself is worth */
#define KEEPS        0.93 /* of an outcome's weight when the next one comes: fourteen count */
#define MOST_Z       3.0  /* a fault, or a slip, is not how wrong forecasts are */
#define LEANS_LEAST  0.7  /* another kind narrows a variance no further */
#define NINE_IN_TEN_Z 1.645
/* clang-format on */

static double crps_of_normal(double z)
{
    double density = exp(-z * z / 2) / sqrt(2 * M_PI);

    return z * (2 * normal_below(z) - 1) + 2 * density - 1 / sqrt(M_PI);
}

void record_add(struct record *r, double z, double sd, double line_off)
{
    double scale = record_scale(r);
    double counted = fmin(fabs(z), MOST_Z);
    double score = sd * scale * crps_of_normal(z / scale);

    r->made++;
    r->inside += fabs(z) <= NINE_IN_TEN_Z * scale;
    r->score += score;
    if (!isnan(line_off)) {
        r->beside++;
        r->score_beside += score;
        r->line += fabs(line_off);
    }
    r->n = KEEPS * r->n + 1;
    r->sum_z2 = KEEPS * r->sum_z2 + counted * counted;
}

double record_scale(const struct record *r)
{
    return sqrt((RECORD_PRIOR + r->sum_z2) / (RECORD_PRIOR + r->n));
}

double record_scale_beside(const struct record *r, const struct record *other)
{
    double begins = record_scale(other);

    return sqrt((RECORD_PRIOR * fmax(LEANS_LEAST, begins * begins) + r->sum_z2) /
                (RECORD_PRIOR + r->n));
}
