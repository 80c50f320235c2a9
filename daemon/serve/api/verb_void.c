/* A void: the entry it is about is looked up first, with what was told with it. */
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/serve/api/deed_request.h"
#include "daemon/serve/api/mend.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>

/* Voids the first row, and of those told with it all that are not voided yet. */
static json_t *void_rows(struct call *c, const struct journal_job *job, const struct deed *d,
                         struct err *e)
{
    struct entries all = {0};

    for (size_t i = 0; i < job->n_rows; i++) {
        struct entries one = {0};

        if (i > 0 && job->row[i].voided) {
            continue;
        }
        if (deed_void(&job->row[i].entry, job->row[i].voided, d, &one, e) < 0) {
            entries_deinit(&all);
            return NULL;
        }
        all.entry = mem_grow(all.entry, &all.cap, all.n + 1, sizeof *all.entry);
        all.entry[all.n++] = one.entry[0];
        entries_deinit(&one);
    }
    return json_pack("{s:o}", "entries", deed_request_tell(c, &all));
}

/* Once the entry that closed a task is void, what it was about is open again under its number. */
static void reopen(struct live_room *live, const struct journal_job *job)
{
    const struct entry *closing = &job->found.entry;

    for (size_t i = 0; i < job->n_rows && closing->seq; i++) {
        live_room_reopen(live, closing->task, closing->what, job->row[i].entry.subject);
    }
}

static json_t *undone(const struct live_room *live, const struct journal_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->n_rows; i++) {
        if (i == 0 || !job->row[i].voided) {
            json_array_append_new(list, out_entry(live, &job->row[i].entry, true));
        }
    }
    return list;
}

json_t *mend_take_back(struct call *c, const struct journal_job *job, const struct deed *d,
                       struct err *e)
{
    json_t *result = void_rows(c, job, d, e);

    if (result) {
        reopen(&c->s->live, job);
        json_object_set_new(result, "undone", undone(&c->s->live, job));
        json_object_set_new(result, "task",
                            out_id(job->found.entry.seq ? job->found.entry.task : 0));
    }
    return result;
}

int mend_key(struct call *c, const char **key, struct err *e)
{
    *key = "";
    if (deed_request_text(c, "key", ENTRY_KEY_MAX, key, e) < 0 ||
        (**key && call_take_key(c, *key, e) < 0)) {
        return e->code;
    }
    return 0;
}

int mend_asks(struct call *c, const char **key, int64_t *seq, struct err *e)
{
    const char *text = rpc_text(&c->req, "entry");

    if (mend_key(c, key, e) < 0) {
        return e->code;
    }
    if (num_parse_int(text, 1, INT64_MAX, seq, NULL) < 0) {
        return err_field(e, ERR_SYNTAX, "entry", "'%.40s' is no number of an entry", text);
    }
    return 0;
}

static void look_up_target(struct call *c, int64_t seq, const char *key);

static void on_target_found(struct journal_job *job)
{
    struct call *c = job->owner;
    struct deed_request r = {0};
    struct err e = job->err;
    json_t *result = NULL;

    if (job->rc == 0 && job->told) {
        result = deed_request_told_already(c, job, false, &e);
    } else if (job->rc == 0 && c->s->stopping) {
        (void)err_set(&e, ERR_BUSY, "tarnd is ending; nothing was taken");
    } else if (job->rc == 0 && c->s->folding) {
        look_up_target(c, job->seq, job->key); /* behind the fold that is under way */
        journal_job_free(job);
        return;
    } else if (job->rc == 0 && c->s->full.code) {
        e = c->s->full;
    } else if (job->rc == 0 && deed_request_read(c, &r, &e) == 0) {
        result = mend_take_back(c, job, &r.d, &e);
    }
    deed_request_deinit(&r);
    call_end(c, result, &e);
    journal_job_free(job);
}

static void look_up_target(struct call *c, int64_t seq, const char *key)
{
    struct journal_job *job = journal_job_new(JOURNAL_JOB_DEED, on_target_found, c);

    job->seq = seq;
    (void)snprintf(job->key, sizeof job->key, "%s", key);
    journal_thread_submit(&c->s->journal, job);
}

int begin_void(struct call *c, struct err *e)
{
    const char *key;
    int64_t seq;

    if (mend_asks(c, &key, &seq, e) < 0) {
        return e->code;
    }
    look_up_target(c, seq, key);
    return 0;
}
