/* task_numbers.h - gives the tasks of a new plan the numbers of those that they go on
 * from, and says how the others ended.
 *
 * Pure. A person has written a number down, or said it to somebody: as long as any of its jobs
 * is to be done it stands for them, on whatever day, and no number is ever given twice. */
#ifndef TARN_CORE_TASKS_TASK_NUMBERS_H
#define TARN_CORE_TASKS_TASK_NUMBERS_H

#include "daemon/core/tasks/agenda.h"

enum outcome { OUTCOME_DONE, OUTCOME_DROPPED, OUTCOME_WITHDRAWN, OUTCOME_N };
extern const char *const outcome_words[]; /* "done", "dropped", "withdrawn"; NULL-terminated */

struct task_end {
    int64_t id;
    enum outcome outcome;
    char reason[240]; /* of a withdrawn one: a sentence without its full stop; else "" */
};

struct task_ends {
    struct task_end *end;
    size_t n, cap;
};
/* Frees the ends; *t is empty afterwards. */
void task_ends_deinit(struct task_ends *t);

/* Gives the tasks in *fresh their numbers: those of the tasks in *before with which they share
 * most jobs, else new ones; and says which mixes are made from what is left of which. Fills *ends
 * with every task of *before that is over, and how: done when one of its jobs' cycles went on,
 * dropped when a person dropped them all, withdrawn with its reason otherwise. */
void task_numbers_carry_over(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *before, struct agenda *fresh,
                             struct task_ends *ends);

#endif
