#include "daemon/serve/api/old_sheet.h"

#include "daemon/serve/api/shapes.h"

static bool same_jobs(const struct task *a, const struct task *b)
{
    size_t same = 0;

    for (size_t i = 0; i < a->n_jobs; i++) {
        for (size_t k = 0; k < b->n_jobs; k++) {
            same += job_compare_keys(&a->job[i], &b->job[k]) == 0;
        }
    }
    return same == a->n_jobs && a->n_jobs == b->n_jobs;
}

json_t *old_sheet(const struct live_room *live, const struct restored *was, int64_t closed_s)
{
    struct live_room then = {.room = live->room, .state = was->state}; /* borrowed */
    struct task_ends ends = {0};
    const struct task *task;
    json_t *sheet = NULL;

    if (was->agenda.n != 1) {
        return NULL;
    }
    agenda_derive(&then.room, &then.state, closed_s, LIVE_ROOM_PLAN_DAYS, &was->agenda, true,
                  &then.agenda);
    task_numbers_carry_over(&then.room, &then.state, closed_s, &was->agenda, &then.agenda, &ends);
    task = agenda_find(&then.agenda, was->agenda.task[0].id);
    if (task && same_jobs(task, &was->agenda.task[0])) {
        sheet = out_worksheet(&then, task, closed_s);
    }
    task_ends_deinit(&ends);
    agenda_deinit(&then.agenda);
    return sheet;
}
