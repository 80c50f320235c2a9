/* worksheet_make.h - makes the worksheet of a task.
 *
 * Pure. Amounts are in the room's display units, rounded to what can be measured. */
#ifndef TARN_CORE_SHEET_WORKSHEET_MAKE_H
#define TARN_CORE_SHEET_WORKSHEET_MAKE_H

#include "daemon/core/sheet/worksheet.h"
#include "daemon/core/tasks/agenda.h"

/* As it is to be done at now_s. Whatever is in *out is written over; end it with
 * worksheet_deinit. */
void worksheet_make(const struct room *room, const struct state *s, const struct task *t,
                    int64_t now_s, struct worksheet *out);

#endif
