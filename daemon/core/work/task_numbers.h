/* task_numbers.h - a new plan takes the place of the one before.
 *
 * Pure. Tasks keep their numbers through it, and those that are over say how they ended. */
#ifndef TARN_CORE_WORK_TASK_NUMBERS_H
#define TARN_CORE_WORK_TASK_NUMBERS_H

#include "daemon/core/work/agenda.h"

enum outcome { OUTCOME_DONE, OUTCOME_DROPPED, OUTCOME_WITHDRAWN };
extern const char *const outcome_words[]; /* "done", "dropped", "withdrawn" */

struct task_end {
    int64_t id;
    enum outcome outcome;
    char reason[240];
};

struct task_ends {
    struct task_end *end;
    size_t n, cap;
};
void task_ends_deinit(struct task_ends *t);

/* Gives the tasks in *fresh their numbers: those of the tasks in *before with which they share most
 * jobs, else new ones; and says which mixes are made from what is left of which. Fills *ends with
 * every task of *before that is over, and how: done when one of its jobs' cycles went on, dropped
 * when a person dropped them all, withdrawn with its reason otherwise. */
void task_numbers_carry_over(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *before, struct agenda *fresh,
                             struct task_ends *ends);

#endif
