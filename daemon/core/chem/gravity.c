#include "daemon/core/chem/gravity.h"

#include <math.h>

#define G_M_S2         9.80665 /* standard gravity, exact by definition (CGPM 1901) */
#define L_MIN_PER_M3_S 60000

double gravity_flow_l_min(double diameter_mm, double head_m, double discharge)
{
    double opening_m2 = M_PI / 4 * diameter_mm * diameter_mm * 1e-6;

    return discharge * opening_m2 * sqrt(2 * G_M_S2 * head_m) * L_MIN_PER_M3_S;
}
