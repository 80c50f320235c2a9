/* steps_solution.h - the steps of the other work with water and solution: start, fill, pH. */
#ifndef TARN_CORE_SHEET_STEPS_SOLUTION_H
#define TARN_CORE_SHEET_STEPS_SOLUTION_H

#include "daemon/core/sheet/steps_writer.h"

void steps_of_start(const struct steps_writer *w); /* mix in the container, and set the plant in */
void steps_of_fill(const struct steps_writer *w);  /* plain water into the reservoir */
void steps_of_ph(const struct steps_writer *w);    /* of a container or the reservoir, as it is */

#endif
