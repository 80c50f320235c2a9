#include "daemon/core/state/reading_error.h"

/* Common practice, no source: a ruler is read to a few millimetres, of which a tub of 30 cm and
 * 18 L makes 0.1 L; it lies askew by more in a larger one. */
#define LEVEL_SD_L    0.03
#define LEVEL_SD_FRAC 0.006

/* Common practice, no source: marks on a wall stand every few litres, and are read between. */
#define RESERVOIR_SD_FRAC 0.010

/* Common practice, no source: a line is met to a millimetre, twice, of which a tank of half a metre
 * makes a quarter of a per cent; and what sweats from an open lid. */
#define OVERNIGHT_SD_FRAC 0.0025

/* What makers of hand-held meters promise, and no more: two per cent, and the last digit. */
#define EC_SD_MS_CM 0.02
#define EC_SD_FRAC  0.02

double reading_level_sd_l(const struct container *c)
{
    return LEVEL_SD_L + LEVEL_SD_FRAC * c->start_volume_l;
}

double reading_reservoir_sd_l(const struct reservoir *v)
{
    return RESERVOIR_SD_FRAC * v->capacity_l;
}

double reading_overnight_sd_l(const struct reservoir *v)
{
    return OVERNIGHT_SD_FRAC * v->capacity_l;
}

double reading_ec_sd_ms_cm(double ec_ms_cm)
{
    return EC_SD_MS_CM + EC_SD_FRAC * ec_ms_cm;
}
