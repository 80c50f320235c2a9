#include "daemon/core/model/uptake.h"

#include <math.h>

/* The amount falls by share of itself for each share of the water: a power of what is left. */
double uptake_share_drawn(double c, double left_frac, double share)
{
    return c * pow(left_frac, share - 1);
}

double uptake_share_topped(double c, double volumes, double share, double c_top)
{
    double steady;

    if (!(share > 0)) {
        return c + c_top * volumes;
    }
    steady = c_top / share;
    return steady + (c - steady) * exp(-share * volumes);
}

/* With plenty of it the amount falls in a straight line. */
static double plenty_drawn(double c, double left_frac, double takes)
{
    return (c - takes * (1 - left_frac)) / left_frac;
}

double uptake_drawn(double c, double left_frac, struct uptake u)
{
    double share = u.takes / u.scarce;
    double end;
    double until;

    if (c > u.scarce) {
        end = plenty_drawn(c, left_frac, u.takes);
        if (end >= u.scarce) {
            return end;
        }
        until = (u.takes - c) / (u.takes - u.scarce);
        return uptake_share_drawn(u.scarce, left_frac / until, share);
    }
    end = uptake_share_drawn(c, left_frac, share);
    if (end <= u.scarce) {
        return end;
    }
    until = pow(u.scarce / c, 1 / (share - 1));
    return plenty_drawn(u.scarce, left_frac / until, u.takes);
}

double uptake_topped(double c, double volumes, struct uptake u, double c_top)
{
    double share = u.takes / u.scarce;
    double slope = c_top - u.takes;
    double end;
    double until;

    if (c > u.scarce) {
        end = c + slope * volumes;
        if (end >= u.scarce) {
            return end;
        }
        until = (u.scarce - c) / slope;
        return uptake_share_topped(u.scarce, volumes - until, share, c_top);
    }
    end = uptake_share_topped(c, volumes, share, c_top);
    if (end <= u.scarce) {
        return end;
    }
    until = share > 0 ? log((c_top / share - c) / (c_top / share - u.scarce)) / share
                      : (u.scarce - c) / c_top;
    return u.scarce + slope * (volumes - until);
}
