/* steps_change.h - the steps of a change: mix, drain, refill, and the reservoir back to water. */
#ifndef TARN_CORE_SHEET_STEPS_CHANGE_H
#define TARN_CORE_SHEET_STEPS_CHANGE_H

#include "daemon/core/sheet/steps_writer.h"

/* From the reservoir, or by hand where the task says so. */
void steps_of_change(const struct steps_writer *w);

#endif
