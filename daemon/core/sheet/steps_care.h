/* steps_care.h - the steps of looking, measuring, harvesting and keeping in order. */
#ifndef TARN_CORE_SHEET_STEPS_CARE_H
#define TARN_CORE_SHEET_STEPS_CARE_H

#include "daemon/core/sheet/steps_writer.h"

void steps_of_check(const struct steps_writer *w);     /* does the float let in water? */
void steps_of_read(const struct steps_writer *w);      /* EC, pH and levels */
void steps_of_calibrate(const struct steps_writer *w); /* a meter against its standards */
void steps_of_care(const struct steps_writer *w);      /* floats, valves, filters, reservoir */
void steps_of_overnight(const struct steps_writer *w); /* does the reservoir hold its water? */
void steps_of_reorder(const struct steps_writer *w);   /* a product that runs out */
void steps_of_harvest(const struct steps_writer *w);
void steps_of_look(const struct steps_writer *w); /* at what alarms say is wrong with a subject */

#endif
