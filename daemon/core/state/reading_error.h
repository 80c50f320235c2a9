/* reading_error.h - how far what a person reads lies from what is there: standard deviations.
 *
 * Pure. Of a ruler in a bucket, of a mark on a wall, of a strip of tape at a water
 * line and a jug, and of a kept meter. */
#ifndef TARN_CORE_STATE_READING_ERROR_H
#define TARN_CORE_STATE_READING_ERROR_H

#include "daemon/core/room/room.h"

double reading_level_sd_l(const struct container *c);     /* a container's level, by ruler */
double reading_reservoir_sd_l(const struct reservoir *v); /* the reservoir's, by its wall's mark */
double reading_overnight_sd_l(const struct reservoir *v); /* what a night took, tape to tape */
double reading_ec_sd_ms_cm(double ec_ms_cm);              /* of an EC meter that shows this */

#endif
