#include "daemon/core/chem/gravity.h"

#include <math.h>

#define G_M_S2 9.80665

static double opening_m2(double diameter_mm)
{
    return M_PI / 4 * diameter_mm * diameter_mm * 1e-6;
}

double gravity_flow_l_min(double diameter_mm, double head_m, double discharge)
{
    return discharge * opening_m2(diameter_mm) * sqrt(2 * G_M_S2 * head_m) * 60000;
}

double gravity_drain_s(double area_m2, double diameter_mm, double from_m, double to_m,
                       double discharge)
{
    return area_m2 / (discharge * opening_m2(diameter_mm)) * sqrt(2 / G_M_S2) *
           (sqrt(from_m) - sqrt(to_m));
}
