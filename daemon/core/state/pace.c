#include "daemon/core/state/pace.h"

/* What one telling is worth, of what was expected: nobody holds a watch, and no two mornings are
 * alike. Common practice, no source. */
#define TOLD_NOISE_FRAC 0.4

enum task_kind pace_kind(enum task_kind kind)
{
    return kind == TASK_LOOK ? TASK_CHECK : kind == TASK_OVERNIGHT ? TASK_CARE : kind;
}

/* The room file's minutes of a kind, to read or to scale. */
static double *minutes_of(struct labour *l, enum task_kind kind)
{
    switch (kind) {
    case TASK_START:
        return &l->start_min;
    case TASK_CHECK:
    case TASK_LOOK:
        return &l->check_min;
    case TASK_CHANGE:
        return &l->change_min;
    case TASK_BUMP:
        return &l->bump_min;
    case TASK_PH:
        return &l->ph_min;
    case TASK_READ:
        return &l->read_min;
    case TASK_FILL:
        return &l->fill_min;
    case TASK_CALIBRATE:
        return &l->calibrate_min;
    case TASK_CARE:
    case TASK_OVERNIGHT:
        return &l->care_min;
    case TASK_REORDER:
        return &l->reorder_min;
    case TASK_HARVEST:
        return &l->harvest_min;
    case TASK_KIND_N:
        break;
    }
    return NULL;
}

double pace_job_min(const struct labour *l, enum task_kind kind)
{
    struct labour copy = *l;

    return *minutes_of(&copy, kind);
}

double pace_jobs(const struct room *room, enum task_kind kind, double file_min)
{
    double one_min = pace_job_min(&room->labour, kind);

    return one_min > 0 ? file_min / one_min : 0;
}

struct room pace_room(const struct room *room, const struct state *s)
{
    struct room worked = *room;

    for (int k = 0; k < TASK_KIND_N; k++) {
        if (pace_kind((enum task_kind)k) == (enum task_kind)k) {
            *minutes_of(&worked.labour, (enum task_kind)k) *= s->pace[k].value;
        }
    }
    worked.labour.load_min *= s->pace[TASK_CHANGE].value;
    worked.labour.pour_min *= s->pace[TASK_CHANGE].value;
    worked.labour.changeover_min *= s->pace[TASK_CHANGE].value;
    return worked;
}

int pace_kind_of_entry(const struct entry *e)
{
    switch (e->kind) {
    case ENTRY_ACKNOWLEDGED:
        return task_kind_of_job(e->what);
    case ENTRY_STARTED:
        return TASK_START;
    case ENTRY_READING:
        return TASK_READ;
    case ENTRY_FLOAT_SEEN:
        return TASK_CHECK;
    case ENTRY_REFILLED:
        return TASK_CHANGE;
    case ENTRY_BUMPED:
        return TASK_BUMP;
    case ENTRY_RESERVOIR_FILLED:
        return TASK_FILL;
    case ENTRY_PH_ADJUSTED:
        return TASK_PH;
    case ENTRY_HARVESTED:
        return TASK_HARVEST;
    case ENTRY_CALIBRATED:
        return TASK_CALIBRATE;
    case ENTRY_CARED_FOR:
        return TASK_CARE;
    default: /* takes no FIGURE_TOOK_MIN */
        return -1;
    }
}

void pace_take(struct state *s, const struct room *room, const struct entry *e)
{
    int kind = pace_kind_of_entry(e);
    double file_min;

    if (kind < 0 || e->sensor || !entry_has(e, FIGURE_TOOK_MIN)) {
        return;
    }
    file_min = pace_job_min(&room->labour, (enum task_kind)kind) *
               entry_figure_or(e, FIGURE_JOBS, e->kind == ENTRY_ACKNOWLEDGED ? 0 : 1);
    if (file_min > 0) {
        (void)learned_take(&s->pace[pace_kind((enum task_kind)kind)], file_min,
                           e->figure[FIGURE_TOOK_MIN], TOLD_NOISE_FRAC * file_min);
    }
}
