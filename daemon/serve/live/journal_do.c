#include "daemon/serve/live/journal_do.h"

#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/serve/live/journal_find.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

/* The writes at the head of the list, as one batch. Task jobs stay where they are: the copies are
 * shallow. */
struct gathered {
    struct journal_batch batch;
    struct entry *entry;
    struct task *task;
    struct task_end *end;
    size_t cap_entries, cap_tasks, cap_ends;
};

/* A task that is open again was over in a batch before it: its end, written last, would undo that.
 */
static void forget_ends(struct gathered *g, const struct unwritten *b)
{
    size_t kept = 0;

    for (size_t i = 0; i < g->batch.n_ends; i++) {
        bool open = false;

        for (size_t k = 0; k < b->n_tasks && !open; k++) {
            open = b->task[k].id == g->end[i].id;
        }
        if (!open) {
            g->end[kept++] = g->end[i];
        }
    }
    g->batch.n_ends = kept;
}

static void gather(struct gathered *g, const struct journal_job *job)
{
    const struct unwritten *b = &job->batch;

    forget_ends(g, b);

    g->entry =
        mem_grow(g->entry, &g->cap_entries, g->batch.n_entries + b->entries.n, sizeof *g->entry);
    g->task = mem_grow(g->task, &g->cap_tasks, g->batch.n_tasks + b->n_tasks, sizeof *g->task);
    g->end = mem_grow(g->end, &g->cap_ends, g->batch.n_ends + b->ends.n, sizeof *g->end);
    if (b->entries.n) {
        memcpy(g->entry + g->batch.n_entries, b->entries.entry, b->entries.n * sizeof *g->entry);
    }
    if (b->n_tasks) {
        memcpy(g->task + g->batch.n_tasks, b->task, b->n_tasks * sizeof *g->task);
    }
    if (b->ends.n) {
        memcpy(g->end + g->batch.n_ends, b->ends.end, b->ends.n * sizeof *g->end);
    }
    g->batch.n_entries += b->entries.n;
    g->batch.n_tasks += b->n_tasks;
    g->batch.n_ends += b->ends.n;
    g->batch.room = job->room;
    if (b->day_started != DAY_NONE) {
        g->batch.day_started = b->day_started;
    }
}

/* Writes `first` and all writes right behind it. Returns the job after them. */
static struct journal_job *write_all(struct journal *j, struct journal_job *first, struct err *full)
{
    struct gathered g = {.batch = {.day_started = DAY_NONE}};
    struct journal_job *end = first;
    struct err e = {0};
    int rc;

    for (; end && end->kind == JOURNAL_JOB_WRITE; end = end->next) {
        gather(&g, end);
    }
    g.batch.entry = g.entry;
    g.batch.task = g.task;
    g.batch.end = g.end;
    rc = full->code;
    e = *full;
    if (rc == 0) {
        rc = journal_write(j, &g.batch, &e);
    }
    if (rc == ERR_FULL) {
        *full = e;
    }
    for (struct journal_job *job = first; job != end; job = job->next) {
        job->rc = rc;
        job->err = e;
    }
    free(g.entry);
    free(g.task);
    free(g.end);
    return end;
}

/* Writes are taken again from here on: what was made in the belief that the lost ones
 * were there came before it in the list. */
static void restore(struct journal *j, struct journal_job *job, struct err *full)
{
    full->code = 0;
    job->rc = restore_all(j, job->room, &job->restored, &job->err);
}

struct journal_job *journal_do(struct journal *j, struct journal_job *job, struct err *full)
{
    switch (job->kind) {
    case JOURNAL_JOB_WRITE:
        return write_all(j, job, full);
    case JOURNAL_JOB_LIST:
        job->rc = journal_list(j, &job->query, &job->row, &job->n_rows, &job->err);
        break;
    case JOURNAL_JOB_GET:
        job->rc = journal_get(j, job->seq, &job->found, &job->err);
        break;
    case JOURNAL_JOB_DEED:
        journal_find_deed(j, job);
        break;
    case JOURNAL_JOB_LAST:
        journal_find_last(j, job);
        break;
    case JOURNAL_JOB_BEFORE:
        journal_find_before(j, job);
        break;
    case JOURNAL_JOB_STOOD:
        journal_find_stood(j, job);
        break;
    case JOURNAL_JOB_TASK:
        journal_find_task(j, job);
        break;
    case JOURNAL_JOB_KEY:
        journal_find_told(j, job);
        break;
    case JOURNAL_JOB_REFOLD:
        job->rc = restore_state(j, job->room, &job->restored.state, &job->err);
        break;
    case JOURNAL_JOB_RESTORE:
        restore(j, job, full);
        break;
    case JOURNAL_JOB_CHECKPOINT:
        job->rc = journal_checkpoint(j, &job->err);
        break;
    case JOURNAL_JOB_BACKUP:
    case JOURNAL_JOB_SNAPSHOT:
    case JOURNAL_JOB_THIN:
        assert(!"a slow job");
        break;
    }
    return job->next;
}
