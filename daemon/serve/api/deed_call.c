#include "daemon/serve/api/deed_call.h"

#include "daemon/base/mem.h"
#include "daemon/serve/api/closed_task.h"
#include "daemon/serve/live/planning.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A deed on its way, while the journal's thread works for it. */
struct pending {
    struct call *call;
    const struct deed_verb *verb;
    void *kept;      /* by the deed, for the end of its answer; owned */
    json_t *answer;  /* of a deed that waits for a fold or a plan … */
    unsigned n_lost; /* … and server.n_lost when it was told */
};

static json_t *act_now(struct pending *p, struct err *e)
{
    struct deed_request r = {0};
    json_t *result = NULL;

    if (p->call->s->stopping) {
        (void)err_set(e, ERR_BUSY, "tarnd is ending; nothing was taken");
    } else if (p->call->s->full.code) {
        *e = p->call->s->full;
    } else if (deed_request_read(p->call, &r, e) == 0) {
        result = p->verb->act(p->call, &r, e);
        p->kept = r.kept;
    }
    deed_request_deinit(&r);
    return result;
}

static void on_fold_passed(struct journal_job *job);

/* Answers (answer taken, or NULL and *e). */
static void answer_now(struct pending *p, json_t *answer, const struct err *e)
{
    if (answer && p->verb->add_after_fold) {
        p->verb->add_after_fold(p->call, answer, p->kept);
    }
    if (!answer && !p->call->s->stopping && closed_task_is_meant(&p->call->req, e)) {
        closed_task_refuse(p->call, e);
    } else {
        call_end(p->call, answer, e);
    }
    free(p->kept);
    free(p);
}

/* What was told may have come to nothing meanwhile. */
static void answer_unless_lost(struct pending *p)
{
    struct server *s = p->call->s;

    if (p->n_lost == s->n_lost) {
        answer_now(p, p->answer, NULL);
    } else {
        json_decref(p->answer);
        answer_now(p, NULL, &s->lost);
    }
}

static void on_planned(void *owner)
{
    answer_unless_lost(owner);
}

/* Answers (answer taken, or NULL and *e); where something is added, only once no fold
 * is under way, and the plan is made. */
static void conclude(struct pending *p, json_t *answer, const struct err *e)
{
    struct server *s = p->call->s;
    bool adds = answer && p->verb->add_after_fold;

    p->answer = answer;
    p->n_lost = s->n_lost;

    if (adds && s->folding && !s->stopping) {
        journal_thread_submit(&s->journal,
                              journal_job_new(JOURNAL_JOB_KEY, on_fold_passed, p)); /* has no key */
        return;
    }
    if (adds && p->verb->wants_plan && p->kept && !s->stopping) {
        planning_wait(s, on_planned, p);
        return;
    }
    answer_now(p, answer, e);
}

static void on_fold_passed(struct journal_job *job)
{
    struct pending *p = job->owner;
    struct server *s = p->call->s;

    if (p->n_lost == s->n_lost) {
        conclude(p, p->answer, NULL);
    } else {
        json_decref(p->answer);
        conclude(p, NULL, &s->lost);
    }
    journal_job_free(job);
}

static void on_key_found(struct journal_job *job)
{
    struct pending *p = job->owner;
    struct call *c = p->call;
    struct err e = job->err;
    json_t *result = NULL;

    if (job->rc == 0 && job->n_rows) {
        result = p->verb->again ? p->verb->again(c, job, &e)
                                : deed_request_told_already(c, job, p->verb->names_task, &e);
    } else if (job->rc == 0 && c->s->folding && !c->s->stopping) {
        journal_thread_submit(&c->s->journal, job); /* behind the fold that is under way */
        return;
    } else if (job->rc == 0) {
        result = act_now(p, &e);
    }
    conclude(p, result, &e);
    journal_job_free(job);
}

int deed_call_begin(struct call *c, const struct deed_verb *verb, struct err *e)
{
    const char *key = "";
    struct pending *p;
    struct journal_job *job;
    int rc = deed_request_text(c, "key", ENTRY_KEY_MAX, &key, e);

    if (rc == 0 && *key) {
        rc = call_take_key(c, key, e);
    }
    if (rc < 0) {
        return rc;
    }
    p = mem_array(1, sizeof *p);
    *p = (struct pending){.call = c, .verb = verb};
    if (!*key) {
        struct err bad = {0};

        conclude(p, act_now(p, &bad), &bad);
        return 0;
    }
    job = journal_job_new(JOURNAL_JOB_KEY, on_key_found, p);
    (void)snprintf(job->key, sizeof job->key, "%s", key);
    journal_thread_submit(&c->s->journal, job);
    return 0;
}
