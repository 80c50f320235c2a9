/* undo: the last telling, whole. fix: an entry voided and told anew, in one. */
#include "daemon/core/state/state.h"
#include "daemon/core/tell/deed.h"
#include "daemon/serve/api/deed_request.h"
#include "daemon/serve/api/mend.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>

/* The room is to be told of now: is there anything in the way? */
static bool may_tell(const struct server *s, struct err *e)
{
    if (s->stopping) {
        (void)err_set(e, ERR_BUSY, "tarnd is ending; nothing was taken");
        return false;
    }
    if (s->full.code) {
        *e = s->full;
        return false;
    }
    return true;
}

static struct journal_job *look_up(struct call *c, enum journal_job_kind kind,
                                   void (*done)(struct journal_job *), int64_t seq, const char *key)
{
    struct journal_job *job = journal_job_new(kind, done, c);

    job->seq = seq;
    job->uid = c->conn->uid;
    job->room = &c->s->live.room;
    (void)snprintf(job->key, sizeof job->key, "%s", key);
    journal_thread_submit(&c->s->journal, job);
    return job;
}

static void on_last_found(struct journal_job *job)
{
    struct call *c = job->owner;
    struct deed_request r = {0};
    struct err e = job->err;
    json_t *result = NULL;

    if (job->rc == 0 && !job->told && c->s->folding && !c->s->stopping) {
        (void)look_up(c, job->kind, on_last_found, 0, job->key); /* behind the fold under way */
        journal_job_free(job);
        return;
    }
    if (job->rc == 0 && job->told) {
        result = deed_request_told_already(c, job, false, &e);
    } else if (job->rc == 0 && job->n_rows == 0) {
        (void)err_set(&e, ERR_UNKNOWN, "you told nothing that could be taken back");
    } else if (job->rc == 0 && may_tell(c->s, &e) && deed_request_read(c, &r, &e) == 0) {
        r.d.note = *r.d.note ? r.d.note : "undone";
        result = mend_take_back(c, job, &r.d, &e);
    }
    deed_request_deinit(&r);
    call_end(c, result, &e);
    journal_job_free(job);
}

int begin_undo(struct call *c, struct err *e)
{
    const char *key;

    if (mend_key(c, &key, e) < 0) {
        return e->code;
    }
    (void)look_up(c, JOURNAL_JOB_LAST, on_last_found, 0, key);
    return 0;
}

static json_t *fix(struct call *c, const struct journal_job *job, struct deed_request *r,
                   struct err *e)
{
    const struct live_room *live = &c->s->live;
    struct entries es = {0};

    r->told.vessel = job->found.entry.subject;
    if (deed_request_read(c, r, e) < 0 || deed_request_read_told(c, r, e) < 0) {
        return NULL;
    }
    if (!rpc_text(&c->req, "at")) {
        r->d.happened_s = job->found.entry.happened_s;
    }
    if (deed_fix(&live->room, &job->restored.state, &job->found.entry, job->found.voided, &r->d,
                 &es, e) < 0) {
        return NULL;
    }
    return json_pack("{s:o}", "entries", deed_request_tell(c, &es));
}

static void on_before_found(struct journal_job *job);

static void on_fold_over(struct journal_job *job);

/* Not while a fold is under way: the room that is read on the journal's thread may be put in place
 * of another when it is over. */
static void look_before(struct call *c, int64_t seq, const char *key)
{
    (void)look_up(c, c->s->folding ? JOURNAL_JOB_KEY : JOURNAL_JOB_BEFORE,
                  c->s->folding ? on_fold_over : on_before_found, seq, key);
}

static void on_fold_over(struct journal_job *job)
{
    struct call *c = job->owner;

    if (c->s->stopping) {
        (void)may_tell(c->s, &job->err);
        call_end(c, NULL, &job->err);
    } else {
        look_before(c, job->seq, job->key);
    }
    journal_job_free(job);
}

static void on_before_found(struct journal_job *job)
{
    struct call *c = job->owner;
    bool folded = job->rc == 0 && !job->told;
    struct deed_request r = {0};
    struct err e = job->err;
    json_t *result = NULL;

    if (folded && c->s->folding && !c->s->stopping) {
        look_before(c, job->seq, job->key);
        state_deinit(&job->restored.state);
        journal_job_free(job);
        return;
    }
    if (job->rc == 0 && job->told) {
        result = deed_request_told_already(c, job, false, &e);
    } else if (folded && may_tell(c->s, &e)) {
        result = fix(c, job, &r, &e);
    }
    deed_request_deinit(&r);
    if (folded) {
        state_deinit(&job->restored.state);
    }
    call_end(c, result, &e);
    journal_job_free(job);
}

int begin_fix(struct call *c, struct err *e)
{
    const char *key;
    int64_t seq;

    if (mend_asks(c, &key, &seq, e) < 0) {
        return e->code;
    }
    look_before(c, seq, key);
    return 0;
}
