#include "daemon/serve/live/journal_job.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

struct journal_job *journal_job_new(enum journal_job_kind kind, void (*done)(struct journal_job *),
                                    void *owner)
{
    struct journal_job *job = mem_array(1, sizeof *job);

    job->kind = kind;
    job->done = done;
    job->owner = owner;
    unwritten_init(&job->batch);
    return job;
}

void journal_job_free(struct journal_job *job)
{
    if (job) {
        unwritten_deinit(&job->batch);
        free(job->row);
        free(job->part);
        free(job->path);
        free(job);
    }
}
