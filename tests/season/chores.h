/* chores.h - how each kind of task is done by hand, and what is told of it.
 *
 * A chore does its work to the truth, then fills in the params of `ack`: figures at large or by
 * subject. It gives CHORE_PUT_OFF when something lacks and nothing was done. */
#ifndef TARN_TESTS_SEASON_CHORES_H
#define TARN_TESTS_SEASON_CHORES_H

#include "tests/season/grower.h"

enum chore { CHORE_DONE, CHORE_PUT_OFF, CHORE_FAILED };

struct errand {
    struct grower *g;
    const json_t *task, *list; /* the task, and the list that it stands on */
    json_t *params;            /* of the ack */
    json_t *after;             /* calls to make once it was taken: [[method, params], …] */
    int days_off;              /* put off by so many days … */
    const char *why;           /* … because */
};

enum chore chore_do(struct errand *e);

#endif
