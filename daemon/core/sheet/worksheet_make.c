#include "daemon/core/sheet/worksheet_make.h"

#include "daemon/core/sheet/steps_bump.h"
#include "daemon/core/sheet/steps_care.h"
#include "daemon/core/sheet/steps_change.h"
#include "daemon/core/sheet/steps_solution.h"

/* No default: a task kind without its steps does not compile. */
static void write_steps(const struct steps_writer *w)
{
    switch (w->t->kind) {
    case TASK_START:
        steps_of_start(w);
        break;
    case TASK_CHECK:
        steps_of_check(w);
        break;
    case TASK_CHANGE:
        steps_of_change(w);
        break;
    case TASK_BUMP:
        steps_of_bump(w);
        break;
    case TASK_PH:
        steps_of_ph(w);
        break;
    case TASK_READ:
        steps_of_read(w);
        break;
    case TASK_FILL:
        steps_of_fill(w);
        break;
    case TASK_CALIBRATE:
        steps_of_calibrate(w);
        break;
    case TASK_CARE:
        steps_of_care(w);
        break;
    case TASK_REORDER:
        steps_of_reorder(w);
        break;
    case TASK_HARVEST:
        steps_of_harvest(w);
        break;
    case TASK_LOOK:
        steps_of_look(w);
        break;
    case TASK_OVERNIGHT:
        steps_of_overnight(w);
        break;
    case TASK_KIND_N:
        break;
    }
}

void worksheet_make(const struct room *room, const struct state *s, const struct task *t,
                    int64_t now_s, struct worksheet *out)
{
    struct steps_writer w = {.room = room, .s = s, .t = t, .now_s = now_s, .out = out};

    *out = (struct worksheet){0};
    write_steps(&w);
}
