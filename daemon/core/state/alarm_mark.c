#include "daemon/core/state/alarm_mark.h"

void alarm_mark(struct alarm_states *m, enum alarm_kind kind, bool opens, bool shuts, int64_t t_s,
                struct alarm_state evidence)
{
    struct alarm_state *mark = &m->of[kind];

    if (!mark->since_s && opens) {
        *mark = evidence;
        mark->since_s = t_s;
        m->opened++;
    } else if (mark->since_s && shuts) {
        *mark = (struct alarm_state){0};
    } else if (mark->since_s && opens) {
        int64_t since_s = mark->since_s;

        *mark = evidence;
        mark->since_s = since_s;
    }
}
