#include "daemon/serve/api/deed_request.h"

#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/units/when.h"
#include "daemon/serve/api/closed_task.h"
#include "daemon/serve/api/shapes.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void deed_request_deinit(struct deed_request *r)
{
    told_list_deinit(&r->told);
    free(r->only);
    live_room_drop_task(&r->task);
}

static int read_only(struct call *c, struct deed_request *r, struct err *e)
{
    json_t *list = rpc_part(&c->req, "only");
    size_t n = json_array_size(list);

    if (!list) {
        return 0;
    }
    if (n == 0) {
        return err_field(e, ERR_MISSING, "only", "'only' names at least one thing");
    }
    r->only = mem_array(n, sizeof *r->only);
    for (size_t i = 0; i < n; i++) {
        r->only[i] = json_string_value(json_array_get(list, i));
        if (!r->only[i]) {
            return err_field(e, ERR_SYNTAX, "only", "'only' is a list of names");
        }
    }
    r->d.only = r->only;
    r->d.n_only = n;
    return 0;
}

int deed_request_text(struct call *c, const char *name, size_t most, const char **out,
                      struct err *e)
{
    const char *text = rpc_text(&c->req, name);

    if (text && strlen(text) > most) {
        return err_field(e, ERR_RANGE, name, "'%s' has %zu bytes; at most %zu are kept", name,
                         strlen(text), most);
    }
    *out = text ? text : *out;
    return 0;
}

int deed_request_read(struct call *c, struct deed_request *r, struct err *e)
{
    const char *at = rpc_text(&c->req, "at");
    int rc = 0;

    r->d = (struct deed){.now_s = server_now_s(c->s),
                         .happened_s = server_now_s(c->s),
                         .sure = rpc_bool(&c->req, "sure"),
                         .sensor = rpc_bool(&c->req, "sensor"),
                         .uid = c->conn->uid,
                         .who = c->conn->who,
                         .note = "",
                         .key = ""};
    if (at) {
        rc = when_parse_past(at, &c->s->live.room.zone, r->d.now_s, &r->d.happened_s, e);
        if (rc < 0) {
            (void)snprintf(e->field, sizeof e->field, "at");
        }
    }
    if (rc == 0) {
        rc = deed_request_text(c, "note", ENTRY_NOTE_MAX, &r->d.note, e);
    }
    if (rc == 0) {
        rc = deed_request_text(c, "why", ENTRY_NOTE_MAX, &r->d.note, e);
    }
    if (rc == 0) {
        rc = deed_request_text(c, "key", ENTRY_KEY_MAX, &r->d.key, e);
    }
    return rc < 0 ? rc : read_only(c, r, e);
}

/* Where a ruler stands whose height is told of a task at large: in the reservoir, where it is
 * filled or a mix is made in it, or in the one thing that the task is about. */
static const char *vessel_of_task(struct call *c)
{
    const char *text = rpc_text(&c->req, "task");
    const struct task *t = NULL;
    int64_t id = 0;

    if (text && num_parse_int(text, 1, INT64_MAX, &id, NULL) == 0) {
        t = agenda_find(&c->s->live.agenda, id);
    }
    if (t && (t->kind == TASK_FILL || (t->kind == TASK_CHANGE && !t->by_hand))) {
        return room_subject_name(&c->s->live.room, (struct subject){SUBJECT_RESERVOIR, 0});
    }
    return t && t->n_jobs == 1 ? room_subject_name(&c->s->live.room, t->job[0].subject) : NULL;
}

int deed_request_read_told(struct call *c, struct deed_request *r, struct err *e)
{
    const struct room *room = &c->s->live.room;
    json_t *figures = rpc_part(&c->req, "figures");
    json_t *subjects = rpc_part(&c->req, "subjects");
    int rc = 0;

    r->told.vessel = r->told.vessel ?: vessel_of_task(c);
    if (json_object_size(figures)) {
        rc = told_read(room, "", figures, &r->told, e);
    }
    if (rc == 0 && subjects) {
        rc = told_read_subjects(room, subjects, &r->told, e);
    }
    r->d.told = r->told.told;
    r->d.n_told = r->told.n;
    return rc;
}

const struct task *deed_request_task(struct call *c, struct deed_request *r, struct err *e)
{
    const char *text = rpc_text(&c->req, "task");
    int64_t id = 0;

    if (num_parse_int(text, 1, INT64_MAX, &id, NULL) < 0) {
        (void)err_field(e, ERR_SYNTAX, "task", "'%.40s' is no number of a task", text);
        return NULL;
    }
    if (!live_room_open_task(&c->s->live, id, server_now_s(c->s), &r->task)) {
        (void)err_field(e, ERR_UNKNOWN, CLOSED_TASK_FIELD, "there is no open task %lld",
                        (long long)id);
        return NULL;
    }
    return &r->task;
}

json_t *deed_request_tell(struct call *c, struct entries *es)
{
    struct server *s = c->s;
    json_t *list;
    struct unwritten b;
    int64_t first;

    unwritten_init(&b);
    live_room_tell(&s->live, es, &b, &first);
    list = out_entries(&s->live, b.entries.entry, b.entries.n);
    server_submit(s, &b);
    return list;
}

/* Does one of the entries hold this figure, as it was told? */
static bool holds(const struct journal_job *job, const struct told *t, enum figure f)
{
    for (size_t i = 0; i < job->n_rows; i++) {
        const struct entry *e = &job->row[i].entry;

        if ((!*t->subject || f == FIGURE_TOOK_MIN || strcmp(t->subject, e->subject) == 0) &&
            entry_has(e, f) && e->figure[f] == t->figure[f]) { /* of a task it is of the whole */
            return true;
        }
    }
    return false;
}

static bool says_the_same(const struct journal_job *job, const struct told_list *list)
{
    for (size_t i = 0; i < list->n; i++) {
        for (unsigned f = 0; f < FIGURE_N; f++) {
            if ((list->told[i].has & FIGURE_BIT(f)) &&
                !holds(job, &list->told[i], (enum figure)f)) {
                return false;
            }
        }
    }
    return true;
}

/* Is it the request that the entries came of? By what it names, and by its figures. */
static bool is_the_same(struct call *c, const struct journal_job *job, const struct told_list *told)
{
    const struct entry *first = &job->row[0].entry;
    const char *task = rpc_text(&c->req, "task");
    const char *kind = rpc_text(&c->req, "kind");
    const char *entry = rpc_text(&c->req, "entry");
    char id[24];

    (void)snprintf(id, sizeof id, "%lld", (long long)first->task);
    if (task && strcmp(task, id) != 0) {
        return false;
    }
    (void)snprintf(id, sizeof id, "%lld", (long long)first->voids);
    if (entry && strcmp(entry, id) != 0) {
        return false;
    }
    if (kind && strcmp(kind, entry_kinds[first->kind].word) != 0) {
        return false;
    }
    return says_the_same(job, told);
}

json_t *deed_request_told_already(struct call *c, const struct journal_job *job, bool names_task,
                                  struct err *e)
{
    const struct entry *first = &job->row[0].entry;
    struct deed_request r = {0};
    const char *task = names_task ? rpc_text(&c->req, "task") : NULL;
    json_t *entries;
    json_t *answer;
    bool same;

    for (size_t i = 0; i < job->n_rows; i++) { /* a ruler stands where it stood */
        if (entry_has(&job->row[i].entry, FIGURE_VOLUME_L)) {
            r.told.vessel = job->row[i].entry.subject;
        }
    }
    same = deed_request_read_told(c, &r, e) == 0 && is_the_same(c, job, &r.told);
    deed_request_deinit(&r);
    if (!same) {
        (void)err_field(
            e, ERR_REFUSED, "key",
            "the key '%s' was told before with something else (entry %lld, %s %s); take "
            "another for this",
            rpc_text(&c->req, "key"), (long long)first->seq, first->subject,
            entry_kinds[first->kind].says);
        return NULL;
    }
    entries = json_array();
    for (size_t i = 0; i < job->n_rows; i++) {
        json_array_append_new(entries,
                              out_entry(&c->s->live, &job->row[i].entry, job->row[i].voided));
    }
    answer = json_pack("{s:o}", "entries", entries);
    if (task) {
        json_object_set_new(answer, "task", json_string(task));
    }
    return answer;
}
