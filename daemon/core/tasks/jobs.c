#include "daemon/core/tasks/jobs.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

/* Also of a list that was never filled: {0} is an empty one. */
void jobs_deinit(struct jobs *js)
{
    free(js->job);
    *js = (struct jobs){0};
}

/* A copy: a rule makes its job on the stack and goes on using it for the next subject. */
void jobs_add(struct jobs *js, const struct job *j)
{
    js->job = mem_grow(js->job, &js->cap, js->n + 1, sizeof *js->job);
    js->job[js->n++] = *j;
}
