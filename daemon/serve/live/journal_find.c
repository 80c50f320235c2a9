#include "daemon/serve/live/journal_find.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/serve/live/journal_job.h"
#include "daemon/serve/live/restored.h"

/* 1 = it is there; 0 = it was thinned. */
static int get_if_kept(struct journal *j, int64_t seq, struct journal_row *out, struct err *e)
{
    int rc = journal_get(j, seq, out, e);

    return rc == ERR_UNKNOWN ? 0 : rc < 0 ? rc : 1;
}

void journal_find_told(struct journal *j, struct journal_job *job)
{
    int64_t first = 0;
    int64_t last = 0;
    int told = *job->key ? journal_find_key(j, job->key, &first, &last, &job->err) : 0;

    job->rc = told < 0 ? told : 0;
    if (told != 1) {
        return;
    }
    job->row = mem_array((size_t)(last - first + 1), sizeof *job->row);
    for (int64_t seq = first; seq <= last && job->rc == 0; seq++) {
        job->rc = get_if_kept(j, seq, &job->row[job->n_rows], &job->err);
        job->n_rows += job->rc == 1;
        job->rc = job->rc == 1 ? 0 : job->rc;
    }
    if (job->rc == 0 && job->n_rows == 0) {
        job->rc = err_set(&job->err, ERR_REFUSED,
                          "what was told with this key were a sensor's readings, which are thinned "
                          "since; take another for this");
    }
}

/* An acknowledgement stands first, and what it told follows it: same task, told at the same
 * instant. */
static bool belongs_to(const struct entry *e, const struct entry *ack)
{
    return e->task == ack->task && e->told_s == ack->told_s && e->uid == ack->uid &&
           e->kind != ENTRY_ACKNOWLEDGED && e->kind != ENTRY_VOIDED;
}

static bool same_telling(const struct entry *a, const struct entry *b)
{
    return a->task && a->told_s == b->told_s && a->uid == b->uid && a->task == b->task;
}

/* From where on the telling goes that ends with this entry: by its key, and without one by its
 * task. */
static int telling_begins(struct journal *j, const struct entry *e, int64_t *out_first,
                          struct err *err)
{
    int64_t last;
    int rc = journal_told_with(j, e->seq, out_first, &last, err);

    if (rc != 0) {
        return rc < 0 ? rc : 0;
    }
    for (*out_first = e->seq; *out_first > 1; (*out_first)--) {
        struct journal_row before;

        rc = get_if_kept(j, *out_first - 1, &before, err);
        if (rc < 1 || !same_telling(&before.entry, e)) {
            break;
        }
    }
    return rc < 0 ? rc : 0;
}

/* The entry that closed or moved the task, of the same telling as row; seq 0 where there is
 * none. */
static int find_closing(struct journal *j, const struct entry *e, struct journal_row *out,
                        struct err *err)
{
    int rc = 0;

    *out = (struct journal_row){.entry = *e};
    while (rc == 0 && e->task && out->entry.kind != ENTRY_ACKNOWLEDGED && out->entry.seq > 1) {
        struct journal_row before;

        rc = get_if_kept(j, out->entry.seq - 1, &before, err);
        if (rc == 0 || (rc == 1 && !same_telling(&before.entry, e))) {
            break;
        }
        *out = rc == 1 ? before : *out;
        rc = rc == 1 ? 0 : rc;
    }
    rc = rc < 0 ? rc : 0;
    if (e->task == 0 ||
        (out->entry.kind != ENTRY_ACKNOWLEDGED && out->entry.kind != ENTRY_DROPPED)) {
        out->entry.seq = 0;
    }
    return rc;
}

/* Backwards from the newest: what a user told last stands near the end. */
void journal_find_last(struct journal *j, struct journal_job *job)
{
    int64_t last = journal_last_seq(j);
    struct journal_row row = {0};
    int64_t from = 0;
    size_t cap = 0;

    journal_find_told(j, job);
    job->told = job->n_rows > 0;
    for (; last > 0 && job->rc == 0 && !job->told; last--) {
        int got = get_if_kept(j, last, &row, &job->err);

        job->rc = got < 0 ? got : 0;
        if (got == 1 && !row.voided && row.entry.kind != ENTRY_VOIDED &&
            row.entry.uid == job->uid) {
            break;
        }
    }
    if (job->rc < 0 || job->told || last == 0) {
        return;
    }
    job->rc = telling_begins(j, &row.entry, &from, &job->err);
    for (int64_t seq = from; seq <= last && job->rc == 0; seq++) {
        struct journal_row one;
        int got = get_if_kept(j, seq, &one, &job->err);

        job->rc = got < 0 ? got : 0;
        if (got == 0) {
            continue;
        }
        if (job->rc == 0 && one.entry.kind == ENTRY_VOIDED) { /* a fix: a void is not voided */
            job->rc = err_set(&job->err, ERR_REFUSED,
                              "what you told last mended entry %lld; mend entry %lld once more "
                              "(tarn fix %lld …)",
                              (long long)one.entry.voids, (long long)last, (long long)last);
        } else if (job->rc == 0 && !one.voided) {
            job->row = mem_grow(job->row, &cap, job->n_rows + 1, sizeof *job->row);
            job->row[job->n_rows++] = one;
        }
    }
    if (job->rc == 0 && job->n_rows) {
        job->rc = find_closing(j, &job->row[0].entry, &job->found, &job->err);
    }
}

void journal_find_before(struct journal *j, struct journal_job *job)
{
    journal_find_told(j, job);
    job->told = job->n_rows > 0;
    if (job->rc == 0 && !job->told) {
        job->rc = journal_get(j, job->seq, &job->found, &job->err);
    }
    if (job->rc == 0 && !job->told) {
        job->rc =
            restore_state_before(j, job->room, &job->found.entry, &job->restored.state, &job->err);
    }
}

void journal_find_stood(struct journal *j, struct journal_job *job)
{
    job->rc = journal_get(j, job->seq, &job->found, &job->err);
    if (job->rc == 0) {
        job->rc =
            journal_load_task(j, job->room, job->task.end.id, &job->restored.agenda, &job->err);
    }
    if (job->rc == 0) {
        job->rc =
            restore_state_before(j, job->room, &job->found.entry, &job->restored.state, &job->err);
        if (job->rc < 0) {
            agenda_deinit(&job->restored.agenda);
        }
    }
}

void journal_find_task(struct journal *j, struct journal_job *job)
{
    job->rc = journal_task(j, job->seq, &job->task, &job->row, &job->n_rows, &job->err);
    job->told = job->rc == 1;
    job->rc = job->rc < 0 ? job->rc : 0;
}

void journal_find_deed(struct journal *j, struct journal_job *job)
{
    size_t cap = 0;
    int64_t seq = job->seq;
    struct journal_row row;

    journal_find_told(j, job);
    job->told = job->n_rows > 0;
    if (job->rc < 0 || job->told) {
        return;
    }
    job->rc = journal_get(j, seq, &row, &job->err);
    if (job->rc == 0) {
        job->rc = find_closing(j, &row.entry, &job->found, &job->err);
    }
    while (job->rc == 0 && (job->n_rows == 0 || belongs_to(&row.entry, &job->row[0].entry))) {
        job->row = mem_grow(job->row, &cap, job->n_rows + 1, sizeof *job->row);
        job->row[job->n_rows++] = row;
        if (job->row[0].entry.kind != ENTRY_ACKNOWLEDGED || seq == journal_last_seq(j)) {
            return;
        }
        job->rc = get_if_kept(j, ++seq, &row, &job->err);
        if (job->rc == 0) { /* a sensor's stood behind it, and was thinned */
            return;
        }
        job->rc = job->rc == 1 ? 0 : job->rc;
    }
}
