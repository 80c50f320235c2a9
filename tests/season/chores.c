#include "tests/season/chores.h"

#include "daemon/core/tasks/job.h"

#include <string.h>

/* No default: a kind of task that nobody here knows how to do does not compile. */
static enum chore do_kind(struct errand *e, enum task_kind kind)
{
    switch (kind) {
    case TASK_START:
        return chore_start(e);
    case TASK_CHECK:
        return chore_check(e);
    case TASK_CHANGE:
        return chore_change(e);
    case TASK_BUMP:
        return chore_bump(e);
    case TASK_PH:
        return chore_ph(e);
    case TASK_READ:
        return chore_read(e);
    case TASK_FILL:
        return chore_fill(e);
    case TASK_CALIBRATE:
        return chore_calibrate(e);
    case TASK_CARE:
        return chore_care(e);
    case TASK_REORDER:
        return chore_reorder(e);
    case TASK_HARVEST:
        return chore_harvest(e);
    case TASK_LOOK:
        return chore_look(e);
    case TASK_OVERNIGHT:
        return chore_overnight(e);
    case TASK_KIND_N:
        break;
    }
    return CHORE_FAILED;
}

enum chore chore_do(struct errand *e)
{
    const char *word = live_daemon_text(e->task, "kind");

    for (unsigned k = 0; k < TASK_KIND_N; k++) {
        if (strcmp(task_words[k], word) == 0) {
            return do_kind(e, (enum task_kind)k);
        }
    }
    (void)err_set(&e->g->err, ERR_UNKNOWN, "nobody knows how to do a task '%s'", word);
    return CHORE_FAILED;
}
