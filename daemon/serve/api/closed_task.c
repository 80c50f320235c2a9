#include "daemon/serve/api/closed_task.h"

#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/serve/api/old_sheet.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/live/journal_thread.h"

#include <stdio.h>
#include <string.h>

/* The entry that closed it; NULL where none counts. */
static const struct entry *closing_of(const struct journal_job *job)
{
    for (size_t i = job->n_rows; i > 0; i--) {
        const struct journal_row *row = &job->row[i - 1];

        if (!row->voided &&
            (row->entry.kind == ENTRY_ACKNOWLEDGED || row->entry.kind == ENTRY_DROPPED)) {
            return &row->entry;
        }
    }
    return NULL;
}

/* What became of it, in words. */
static int say(const struct room *room, int64_t now_s, const struct journal_job *job, struct err *e)
{
    const struct entry *by = closing_of(job);
    long long id = (long long)job->seq;
    char day[DAY_WORDS_MAX];

    if (job->told && job->task.end.outcome == OUTCOME_WITHDRAWN) {
        return err_field(e, ERR_UNKNOWN, CLOSED_TASK_FIELD, "task %lld was withdrawn: %s", id,
                         job->task.end.reason);
    }
    if (job->told && by) {
        return err_field(
            e, ERR_UNKNOWN, CLOSED_TASK_FIELD,
            "task %lld was %s on %s by entry %lld; 'tarn show %lld' shows it, and "
            "'tarn void %lld --why …' opens it again",
            id, by->kind == ENTRY_DROPPED ? "dropped" : "closed",
            day_words(day, zone_day(&room->zone, by->happened_s), zone_day(&room->zone, now_s)),
            (long long)by->seq, id, (long long)by->seq);
    }
    if (job->told && !job->task.open) {
        return err_field(e, ERR_UNKNOWN, CLOSED_TASK_FIELD,
                         "task %lld is over: what it was about was told otherwise", id);
    }
    return err_field(e, ERR_UNKNOWN, CLOSED_TASK_FIELD, "there is no open task %lld", id);
}

static struct journal_job *look_up(struct call *c, int64_t id, void (*done)(struct journal_job *))
{
    struct journal_job *job = journal_job_new(JOURNAL_JOB_TASK, done, c);

    job->seq = id;
    journal_thread_submit(&c->s->journal, job);
    return job;
}

bool closed_task_is_meant(const struct request *req, const struct err *e)
{
    int64_t id;

    return e->code == ERR_UNKNOWN && strcmp(e->field, CLOSED_TASK_FIELD) == 0 &&
           rpc_text(req, "task") &&
           num_parse_int(rpc_text(req, "task"), 1, INT64_MAX, &id, NULL) == 0;
}

static void on_refused_found(struct journal_job *job)
{
    struct call *c = job->owner;

    if (job->rc == 0) {
        (void)say(&c->s->live.room, server_now_s(c->s), job, &job->err);
    }
    call_end(c, NULL, &job->err);
    journal_job_free(job);
}

void closed_task_refuse(struct call *c, const struct err *e)
{
    int64_t id = 0;

    (void)e;
    (void)num_parse_int(rpc_text(&c->req, "task"), 1, INT64_MAX, &id, NULL);
    (void)look_up(c, id, on_refused_found);
}

/* With the sheet (taken), if there is one. */
static json_t *out_closed(const struct live_room *live, const struct journal_job *job,
                          json_t *worksheet)
{
    const struct entry *by = closing_of(job);
    json_t *closed = json_pack("{s:o,s:s,s:o,s:o,s:o}", "id", out_id(job->seq), "outcome",
                               outcome_words[job->task.end.outcome], "on",
                               out_day_of(&live->room, by ? by->happened_s : 0), "entry",
                               out_id(by ? by->seq : 0), "reason", out_word(job->task.end.reason));

    return json_pack("{s:s,s:o,s:o*,s:o}", "type", "closed", "closed", closed, "worksheet",
                     worksheet, "entries", out_rows(live, job->row, job->n_rows));
}

static void on_shown_found(struct journal_job *job);

/* A second look: the rows go along. */
static void on_stood_found(struct journal_job *job)
{
    struct call *c = job->owner;
    bool folded = job->rc == 0;
    json_t *result = NULL;

    if (folded && c->s->folding && !c->s->stopping) {
        (void)look_up(c, job->task.end.id, on_shown_found); /* behind the fold under way */
    } else {
        job->seq = job->task.end.id;
        if (folded) {
            result =
                out_closed(&c->s->live, job,
                           old_sheet(&c->s->live, &job->restored, job->found.entry.happened_s));
        }
        call_end(c, result, &job->err);
    }
    if (folded) {
        agenda_deinit(&job->restored.agenda);
        state_deinit(&job->restored.state);
    }
    journal_job_free(job);
}

/* Asks for the room as it stood before that entry; the job is over. */
static void look_at_the_room(struct call *c, struct journal_job *found, int64_t by)
{
    struct journal_job *job = journal_job_new(JOURNAL_JOB_STOOD, on_stood_found, c);

    job->room = &c->s->live.room;
    job->seq = by;
    job->task = found->task;
    job->row = found->row;
    job->n_rows = found->n_rows;
    found->row = NULL;
    found->n_rows = 0;
    journal_job_free(found);
    journal_thread_submit(&c->s->journal, job);
}

/* Not while a fold is under way: the room that is read on the journal's thread may be put in place
 * of another when it is over. */
static void on_shown_found(struct journal_job *job)
{
    struct call *c = job->owner;
    const struct live_room *live = &c->s->live;
    const struct entry *by = closing_of(job);
    json_t *result = NULL;

    if (job->rc == 0 && c->s->folding && !c->s->stopping) {
        (void)look_up(c, job->seq, on_shown_found);
        journal_job_free(job);
        return;
    }
    if (job->rc == 0 && by && job->told && !job->task.open && !c->s->stopping) {
        look_at_the_room(c, job, by->seq);
        return;
    }
    if (job->rc == 0 && (!job->told || job->task.open)) {
        (void)say(&live->room, server_now_s(c->s), job, &job->err);
        (void)snprintf(job->err.field, sizeof job->err.field, "what");
    } else if (job->rc == 0) {
        result = out_closed(live, job, NULL);
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

void closed_task_show(struct call *c, int64_t id)
{
    (void)look_up(c, id, on_shown_found);
}
