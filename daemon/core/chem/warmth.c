#include "daemon/core/chem/warmth.h"

#include "daemon/core/chem/table.h"

#define REFERENCE_C       25.0
#define NATURAL_TO_C      35.0
#define BEYOND_PER_DEGREE 0.0191

/* EC at 25 C over the bare EC, a value a degree from 0 to 35 C. */
static const double natural[] = {
    1.918, 1.857, 1.800, 1.745, 1.693, 1.643, 1.596, 1.551, 1.508, 1.467, 1.428, 1.390,
    1.354, 1.320, 1.287, 1.256, 1.225, 1.196, 1.168, 1.141, 1.116, 1.091, 1.067, 1.044,
    1.021, 1.000, 0.979, 0.959, 0.940, 0.921, 0.903, 0.886, 0.869, 0.853, 0.837, 0.822,
};

/* EC at 25 C over the bare EC. */
static double factor_25(double temp_c)
{
    static const struct table t = {0, 1, natural, sizeof natural / sizeof *natural};

    return temp_c >= 0 && temp_c <= NATURAL_TO_C
               ? table_at(&t, temp_c)
               : 1 / (1 + BEYOND_PER_DEGREE * (temp_c - REFERENCE_C));
}

double warmth_ec_25(const struct warmth *meter, double shown, double temp_c)
{
    switch (meter->rule) {
    case WARMTH_LINEAR: /* undo the meter's line, then go by the water's own curve */
        return shown * (1 + meter->per_degree * (temp_c - meter->reference_c)) * factor_25(temp_c);
    case WARMTH_NATURAL:
        return shown * factor_25(meter->reference_c);
    case WARMTH_BARE:
        return shown * factor_25(temp_c);
    case WARMTH_AT_25:
    case WARMTH_RULE_N:
        break;
    }
    return shown;
}
