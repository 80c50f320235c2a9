/* A copy of the journal, made by its thread while the room is served. */
#include "daemon/base/mem.h"
#include "daemon/serve/api/verbs.h"
#include "daemon/store/backup.h"

#include <stdio.h>

static void on_copied(struct journal_job *job)
{
    struct call *c = job->owner;
    json_t *result = NULL;

    if (job->rc == 0) {
        result = json_pack("{s:s,s:I}", "file", job->path, "entries", (json_int_t)job->seq);
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

/* A whole path: what is near at hand for the daemon is not so for who asks. */
int begin_backup(struct call *c, struct err *e)
{
    const char *file = rpc_text(&c->req, "file");
    struct journal_job *job;

    if (file && *file != '/') {
        return err_field(e, ERR_RANGE, "file", "the copy wants a whole path, from / on");
    }
    job = journal_job_new(JOURNAL_JOB_BACKUP, on_copied, c);
    job->path = mem_strdup(file);
    if (!file) {
        server_name_backup(c->s, job);
    }
    journal_thread_submit(&c->s->journal, job);
    return 0;
}
