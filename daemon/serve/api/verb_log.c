/* What the journal has: looked up by its thread, answered when it is found. */
#include "daemon/core/units/when.h"
#include "daemon/serve/api/history.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>

/* Chosen by us: a page for a person, and what a script may have at once. */
#define LOG_LIMIT     200
#define LOG_LIMIT_MAX 1000

static void on_logged(struct journal_job *job)
{
    struct call *c = job->owner;
    json_t *result = NULL;

    if (job->rc == 0) {
        bool more = job->n_rows == job->query.limit;

        result =
            json_pack("{s:o,s:o}", "entries", out_rows(&c->s->live, job->row, job->n_rows), "next",
                      more ? json_integer(job->row[job->n_rows - 1].entry.seq) : json_null());
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

/* "after" names an entry by its number: the list goes on behind it. */
static void on_after_found(struct journal_job *job)
{
    struct call *c = job->owner;

    if (job->rc < 0) {
        call_end(c, NULL, &job->err);
        journal_job_free(job);
        return;
    }
    job->query.after_happened_s = job->found.entry.happened_s;
    job->query.after_seq = job->found.entry.seq;
    job->kind = JOURNAL_JOB_LIST;
    job->done = on_logged;
    if (!c->s->journal_runs) {
        (void)err_set(&job->err, ERR_BUSY, "tarnd is ending");
        call_end(c, NULL, &job->err);
        journal_job_free(job);
        return;
    }
    journal_thread_submit(&c->s->journal, job);
}

static int parse_limits(struct call *c, struct journal_query *q, struct err *e)
{
    const struct zone *zone = &c->s->live.room.zone;
    int64_t now_s = server_now_s(c->s);
    const char *since = rpc_text(&c->req, "since");
    const char *until = rpc_text(&c->req, "until");
    json_int_t limit = rpc_int(&c->req, "limit", LOG_LIMIT);

    *q = (struct journal_query){.since_s = INT64_MIN, .until_s = INT64_MAX};
    if ((since && when_parse(since, zone, now_s, &q->since_s, e) < 0) ||
        (until && when_parse(until, zone, now_s, &q->until_s, e) < 0)) {
        return e->code;
    }
    if (limit < 1 || limit > LOG_LIMIT_MAX) {
        return err_field(e, ERR_RANGE, "limit", "1 to %d entries are listed at once",
                         LOG_LIMIT_MAX);
    }
    q->limit = (size_t)limit;
    return 0;
}

int begin_log(struct call *c, struct err *e)
{
    const char *of = rpc_text(&c->req, "of");
    json_int_t after = rpc_int(&c->req, "after", 0);
    struct journal_query q;
    struct journal_job *job;
    struct subject subject = {SUBJECT_ROOM, 0};
    int rc = parse_limits(c, &q, e);

    if (rc == 0 && of) {
        rc = room_lookup(&c->s->live.room, of, &subject, e);
    }
    if (rc < 0) {
        return rc;
    }
    job = journal_job_new(after ? JOURNAL_JOB_GET : JOURNAL_JOB_LIST,
                          after ? on_after_found : on_logged, c);
    job->query = q;
    job->seq = after;
    if (of) {
        history_of(&c->s->live, subject, job);
    }
    journal_thread_submit(&c->s->journal, job);
    return 0;
}
