#include "daemon/core/chem/membrane.h"

#include <math.h>

#define PER_DEGREE 1.03 /* ASTM D4516, from memory */

double membrane_flow_factor(double temp_c, double rated_c)
{
    return pow(PER_DEGREE, temp_c - rated_c);
}

double membrane_permeate(double feed, double rejection_frac)
{
    return (1 - rejection_frac) * feed;
}
