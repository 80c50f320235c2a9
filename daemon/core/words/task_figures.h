/* task_figures.h - which figures an acknowledgement of a task needs and takes.
 *
 * Pure. One table: the deeds check what was told by it, the sheet asks for what stands in it
 * ("Tell it: tarn ack 41 ec=… ph=…"), and the command line reminds of it ("Done: tarn ack 41
 * ec=…mS/cm"). What an entry takes is another matter (entry_kind.h): a task becomes several
 * entries. */
#ifndef TARN_CORE_WORDS_TASK_FIGURES_H
#define TARN_CORE_WORDS_TASK_FIGURES_H

#include "daemon/core/words/figure.h"
#include "daemon/core/words/task_kind.h"

#include <stdbool.h>
#include <stddef.h>

enum figure_need {
    FIGURE_NOT_THERE, /* ends a row */
    FIGURE_NEEDED,    /* the task is not acknowledged without it */
    FIGURE_ONE_OF,    /* at least one of these is needed */
    FIGURE_TAKEN,     /* what is not told is reckoned, or left open */
};

enum figure_asked {
    ASKED_NOWHERE,  /* taken where it is told */
    ASKED_ON_SHEET, /* by whoever stands before the container with the sheet */
    ASKED_ALWAYS,   /* in the list of the day too, which has a line for it */
};

struct task_figure {
    enum figure figure;
    enum figure_need need;
    enum figure_asked asked;
};

/* Whose figures they are where a task is about several things. */
enum told_of {
    TOLD_AT_LARGE,       /* of the task: the mix, or the same for all */
    TOLD_OF_EACH_BETTER, /* asked of each by itself, and taken at large too */
    TOLD_OF_EACH,        /* those at large would say nothing */
};

#define TASK_FIGURES_MAX 8 /* in a row; the zero behind the last ends it */

struct task_figures {
    const char *word; /* told before the figures: "float=yes"; "" = none */
    bool amounts;     /* the sheet asks how much of which product it took */
    enum told_of of;
    struct task_figure figure[TASK_FIGURES_MAX + 1]; /* in the order in which they are asked for */
};

/* The row of a kind; a change by hand (one container, from a jug) has its own. Static. */
const struct task_figures *task_figures_of(enum task_kind kind, bool by_hand);

/* How many figures stand in the row. */
size_t task_figures_n(const struct task_figures *t);

/* All that it takes, as FIGURE_BITs. */
unsigned task_figures_bits(const struct task_figures *t);

#endif
