/* jobs_derive.c - asks for the jobs of each kind in turn. */
#include "daemon/core/tasks/deriving.h"

/* As many as the state has: in a room that is supposed (what_if.h) these are more than the
 * file's. */
static void each(const struct deriving *d, size_t n,
                 void (*derive)(const struct deriving *, size_t))
{
    for (size_t i = 0; i < n; i++) {
        derive(d, i);
    }
}

/* The kinds take their turn in the order of the enum: what is to be ordered goes by the starts and
 * changes that were derived before. */
static void derive_kind(const struct deriving *d, enum task_kind kind)
{
    switch (kind) {
    case TASK_START:
        each(d, d->s->n_containers, derive_start);
        break;
    case TASK_CHECK:
        each(d, d->s->n_containers, derive_check);
        break;
    case TASK_CHANGE:
        each(d, d->s->n_containers, derive_change);
        break;
    case TASK_BUMP:
        each(d, d->s->n_containers, derive_bump);
        break;
    case TASK_PH:
        each(d, d->s->n_containers, derive_container_ph);
        derive_reservoir_ph(d);
        break;
    case TASK_READ:
        each(d, d->s->n_containers, derive_container_reading);
        derive_reservoir_reading(d);
        break;
    case TASK_FILL:
        derive_fill(d);
        break;
    case TASK_CALIBRATE:
        each(d, d->s->n_meters, derive_calibrate);
        break;
    case TASK_CARE:
        derive_care(d);
        break;
    case TASK_REORDER:
        derive_reorder(d);
        break;
    case TASK_HARVEST:
        each(d, d->s->n_containers, derive_harvest);
        break;
    case TASK_LOOK:
        derive_looks(d);
        break;
    case TASK_OVERNIGHT:
        derive_overnight(d);
        break;
    case TASK_KIND_N:
        break;
    }
}

/* No job knows of another here: what one makes needless is seen to when they become tasks
 * (agenda_derive.c), so that a rule can be read by itself. */
void jobs_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                 struct jobs *out)
{
    struct deriving d = {.room = room, .s = s, .now_s = now_s, .out = out};

    d.today = zone_day(&room->zone, now_s);
    /* In civil days of the room's zone, as all windows are: a person plans in mornings. */
    d.end_day = d.today + horizon_days;
    for (int kind = 0; kind < TASK_KIND_N; kind++) {
        derive_kind(&d, (enum task_kind)kind);
    }
}
