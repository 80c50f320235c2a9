/* alarm_mark.h - opens and shuts an alarm; for the rules that find what is wrong (alarm.c, heat.c,
 * sighted.c).
 *
 * Pure. */
#ifndef TARN_CORE_STATE_ALARM_MARK_H
#define TARN_CORE_STATE_ALARM_MARK_H

#include "daemon/core/state/state.h"

/* By two thresholds; in between it stays as it is. One that is open already keeps its beginning,
 * and takes the newer evidence. */
void alarm_mark(struct alarm_states *m, enum alarm_kind kind, bool opens, bool shuts, int64_t t_s,
                struct alarm_state evidence);

#endif
