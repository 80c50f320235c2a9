/* steps_bump.h - the steps of a bump: more nutrient into the solution that plants stand in.
 *
 * Inside this folder only. One container has its steps; several have a table, a row for those that
 * get the same, since nobody follows a hundred steps that differ in a figure. Who shares a row ends
 * within BUMP_ALIKE_FRAC of what it was to be, and rounding adds less than that again. */
#ifndef TARN_CORE_SHEET_STEPS_BUMP_H
#define TARN_CORE_SHEET_STEPS_BUMP_H

#include "daemon/core/sheet/steps_writer.h"

#define BUMP_ALIKE_FRAC 0.01 /* of the target; half of what an EC meter is off by (portion.h) */

void steps_of_bump(const struct steps_writer *w);

#endif
