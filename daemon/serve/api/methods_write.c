/* What changes the room. A request with a key is first looked up in the journal: told once is
 * enough. */
#include "daemon/serve/api/methods.h"

#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/base/suggest.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"
#include "daemon/core/work/plan_costs.h"
#include "daemon/serve/api/params.h"
#include "daemon/serve/api/shapes.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A deed with what it points at. */
struct telling {
    struct deed d;
    struct told_list told;
    const char **only;
};

static void doing_deinit(struct telling *w)
{
    told_list_deinit(&w->told);
    free(w->only);
}

static int read_only(struct call *c, struct telling *w, struct err *e)
{
    json_t *list = rpc_part(&c->req, "only");
    size_t n = json_array_size(list);

    if (!list) {
        return 0;
    }
    if (n == 0) {
        return err_field(e, ERR_MISSING, "only", "'only' names at least one thing");
    }
    w->only = mem_array(n, sizeof *w->only);
    for (size_t i = 0; i < n; i++) {
        w->only[i] = json_string_value(json_array_get(list, i));
        if (!w->only[i]) {
            return err_field(e, ERR_SYNTAX, "only", "'only' is a list of names");
        }
    }
    w->d.only = w->only;
    w->d.n_only = n;
    return 0;
}

static int check_text(struct call *c, const char *name, size_t most, const char **out,
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

/* The parts of a deed that most methods share: when, who, why, which. */
static int read_deed(struct call *c, struct telling *w, struct err *e)
{
    const char *at = rpc_text(&c->req, "at");
    int rc = 0;

    w->d = (struct deed){.now_s = server_now_s(c->s),
                         .happened_s = server_now_s(c->s),
                         .sure = rpc_bool(&c->req, "sure"),
                         .uid = c->conn->uid,
                         .who = c->conn->who,
                         .note = "",
                         .key = ""};
    if (at) {
        rc = when_parse_past(at, &c->s->live.room.zone, w->d.now_s, &w->d.happened_s, e);
        if (rc < 0) {
            (void)snprintf(e->field, sizeof e->field, "at");
        }
    }
    if (rc == 0) {
        rc = check_text(c, "note", ENTRY_NOTE_MAX, &w->d.note, e);
    }
    if (rc == 0) {
        rc = check_text(c, "why", ENTRY_NOTE_MAX, &w->d.note, e);
    }
    if (rc == 0) {
        rc = check_text(c, "key", ENTRY_KEY_MAX, &w->d.key, e);
    }
    return rc < 0 ? rc : read_only(c, w, e);
}

static int read_told(struct call *c, struct telling *w, struct err *e)
{
    const struct room *room = &c->s->live.room;
    json_t *figures = rpc_part(&c->req, "figures");
    json_t *subjects = rpc_part(&c->req, "subjects");
    int rc = 0;

    if (json_object_size(figures)) {
        rc = told_read(room, "", figures, &w->told, e);
    }
    if (rc == 0 && subjects) {
        rc = told_read_subjects(room, subjects, &w->told, e);
    }
    w->d.told = w->told.told;
    w->d.n_told = w->told.n;
    return rc;
}

static const struct task *find_task(struct call *c, struct err *e)
{
    const char *text = rpc_text(&c->req, "task");
    const struct task *t = NULL;
    int64_t id = 0;

    server_plan(c->s);
    if (num_parse_int(text, 1, INT64_MAX, &id, NULL) < 0) {
        (void)err_field(e, ERR_SYNTAX, "task", "'%.40s' is no number of a task", text);
        return NULL;
    }
    t = agenda_find(&c->s->live.agenda, id);
    if (!t) {
        (void)err_field(e, ERR_UNKNOWN, "task", "there is no open task %lld", (long long)id);
    }
    return t;
}

/* Tells the entries, and gives them as the answer. */
static json_t *tell(struct call *c, struct entries *es)
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

/* ---- each kind of deed: from the request to its answer */

/* What is left of the task is added by conclude: it may show after a fold only. */
static json_t *do_ack(struct call *c, struct telling *w, struct err *e)
{
    const struct live_room *k = &c->s->live;
    const struct task *t = find_task(c, e);
    struct entries es = {0};
    int64_t id;

    if (!t || read_told(c, w, e) < 0 || deed_ack(&k->room, &k->state, t, &w->d, &es, e) < 0) {
        return NULL;
    }
    id = t->id;
    return json_pack("{s:o,s:o}", "task", out_id(id), "entries", tell(c, &es));
}

/* What it costs that a change was put off. Its due day moves with it, so that how late it comes is
 * reckoned from the day on which it was due before. */
static json_t *cost_of_moving(struct call *c, const struct task *before, int64_t id,
                              const struct plan_amounts *is)
{
    const struct live_room *k = &c->s->live;
    struct plan_amounts then;
    const struct task *t;

    server_plan(c->s);
    then = plan_costs_now(&k->room, &k->state, server_now_s(c->s), &k->agenda);
    t = agenda_find(&k->agenda, id);
    then.late_days = is->late_days;
    then.early_days = is->early_days;
    if (t && t->on > before->due) {
        int32_t from = before->on > before->due ? before->on : before->due;

        then.late_days += (double)(t->on - from) * (double)before->n_jobs;
    }
    return out_difference(is, &then);
}

static json_t *do_defer(struct call *c, struct telling *w, struct err *e)
{
    const struct live_room *k = &c->s->live;
    const struct task *t = find_task(c, e);
    struct entries es = {0};
    struct plan_amounts is;
    struct task before;
    json_t *answer;
    int32_t to;
    int64_t id;

    if (!t) {
        return NULL;
    }
    if (when_parse_day(rpc_text(&c->req, "to"), zone_day(&k->room.zone, w->d.now_s), &to, e) < 0) {
        (void)snprintf(e->field, sizeof e->field, "to");
        return NULL;
    }
    if (deed_defer(&k->room, &k->state, t, to, &w->d, &es, e) < 0) {
        return NULL;
    }
    id = t->id;
    before = (struct task){.kind = t->kind, .on = t->on, .due = t->due, .n_jobs = t->n_jobs};
    is = plan_costs_now(&k->room, &k->state, w->d.now_s, &k->agenda);
    answer = json_pack("{s:o,s:o}", "task", out_id(id), "entries", tell(c, &es));
    if (before.kind == TASK_CHANGE && !c->s->folding && !k->stale) {
        json_object_set_new(answer, "differs", cost_of_moving(c, &before, id, &is));
    }
    return answer;
}

static json_t *do_drop(struct call *c, struct telling *w, struct err *e)
{
    const struct live_room *k = &c->s->live;
    const struct task *t = find_task(c, e);
    struct entries es = {0};
    int64_t id;

    if (!t || deed_drop(&k->room, &k->state, t, &w->d, &es, e) < 0) {
        return NULL;
    }
    id = t->id;
    return json_pack("{s:o,s:o}", "task", out_id(id), "entries", tell(c, &es));
}

static int find_kind(const char *word, struct err *e)
{
    const char *names[ENTRY_KIND_N];
    int kind = entry_kind_find(word);
    const char *near;

    if (kind >= 0) {
        return kind;
    }
    for (int i = 0; i < ENTRY_KIND_N; i++) {
        names[i] = entry_kinds[i].word;
    }
    near = suggest_nearest(word, names, ENTRY_KIND_N);
    (void)err_field(e, ERR_UNKNOWN, "kind", "nothing is recorded as '%.40s'%s%s%s", word,
                    near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
    return -1;
}

static json_t *do_record(struct call *c, struct telling *w, struct err *e)
{
    const struct live_room *k = &c->s->live;
    int kind = find_kind(rpc_text(&c->req, "kind"), e);
    struct entries es = {0};

    if (kind < 0 || read_told(c, w, e) < 0 ||
        deed_record(&k->room, &k->state, (enum entry_kind)kind, &w->d, &es, e) < 0) {
        return NULL;
    }
    return json_pack("{s:o}", "entries", tell(c, &es));
}

/* ---- readings in bulk: each with its own verdict */

/* A reading's own time: words as for `at`, or seconds since 1970. */
static int read_instant(struct call *c, const json_t *at, int64_t now_s, int64_t *out,
                        struct err *e)
{
    if (json_is_number(at)) {
        double t = json_number_value(at);

        if (!(t > 0 && t <= (double)now_s + 1)) {
            return err_field(e, ERR_RANGE, "at", "a reading lies in the past");
        }
        *out = (int64_t)t;
        return 0;
    }
    if (!json_is_string(at)) {
        return err_field(e, ERR_SYNTAX, "at", "'at' is text, or seconds since 1970");
    }
    return when_parse_past(json_string_value(at), &c->s->live.room.zone, now_s, out, e);
}

/* "level" is what a sensor calls the volume. */
static void rename_level(json_t *figures)
{
    static const char *const names[][2] = {
        {"level",   "volume"  },
        {"level_l", "volume_l"}
    };

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        json_t *value = json_object_get(figures, names[i][0]);

        if (value) {
            (void)json_object_set(figures, names[i][1], value);
            (void)json_object_del(figures, names[i][0]);
        }
    }
}

static int read_reading(struct call *c, const struct deed *d, json_t *reading,
                        struct told_list *told, struct deed *out, struct err *e)
{
    json_t *figures = json_is_object(reading) ? json_copy(reading) : NULL;
    const char *subject = json_string_value(json_object_get(figures, "subject"));
    json_t *at = json_object_get(figures, "at");
    int rc = 0;

    *out = *d;
    if (!subject) {
        rc = err_field(e, ERR_MISSING, "subject", "a reading names its subject");
    } else if (at) {
        rc = read_instant(c, at, d->now_s, &out->happened_s, e);
    }
    if (rc == 0) {
        char name[NAME_LEN_MAX + 2];

        (void)snprintf(name, sizeof name, "%s", subject); /* cut, it is no name of the room */
        (void)json_object_del(figures, "subject");
        (void)json_object_del(figures, "at");
        rename_level(figures);
        rc = told_read(&c->s->live.room, name, figures, told, e);
    }
    json_decref(figures);
    return rc;
}

static void append(struct entries *all, struct entries *one)
{
    for (size_t i = 0; i < one->n; i++) {
        all->entry = mem_grow(all->entry, &all->cap, all->n + 1, sizeof *all->entry);
        all->entry[all->n++] = one->entry[i];
    }
    entries_deinit(one);
}

static int by_happened(const void *pa, const void *pb)
{
    const struct entry *a = pa;
    const struct entry *b = pb;

    return (a->happened_s > b->happened_s) - (a->happened_s < b->happened_s);
}

static json_t *do_readings(struct call *c, struct telling *w, struct err *e)
{
    const struct live_room *k = &c->s->live;
    json_t *readings = rpc_part(&c->req, "readings");
    json_t *refused = json_array();
    struct entries all = {0};
    struct unwritten b;
    int64_t first;
    size_t i;
    json_t *reading;

    (void)e;
    json_array_foreach(readings, i, reading)
    {
        struct told_list told = {0};
        struct entries one = {0};
        struct err bad = {0};
        struct deed d;

        if (read_reading(c, &w->d, reading, &told, &d, &bad) == 0) {
            d.told = told.told;
            d.n_told = told.n;
            (void)deed_record(&k->room, &k->state, ENTRY_READING, &d, &one, &bad);
        }
        append(&all, &one);
        json_array_append_new(refused, bad.code ? json_string(bad.msg) : json_null());
        told_list_deinit(&told);
    }
    if (all.n > 1) { /* what is told in the order of its time needs no fold */
        qsort(all.entry, all.n, sizeof *all.entry, by_happened);
    }
    if (all.n) {
        unwritten_init(&b);
        live_room_tell(&c->s->live, &all, &b, &first);
        server_submit(c->s, &b);
    }
    return json_pack("{s:o}", "refused", refused);
}

/* ---- the way of every deed: its key is looked up, then it is done and answered */

struct pending {
    struct call *call;
    json_t *(*act)(struct call *c, struct telling *w, struct err *e);
    bool names_task; /* its answer names the task */
    json_t *answer;  /* of an acknowledgement that waits for a fold … */
    unsigned n_lost; /* … and server.n_lost when it was told */
};

static json_t *told_already(struct call *c, const struct journal_job *job, bool names_task)
{
    json_t *entries = json_array();
    const char *task = names_task ? rpc_text(&c->req, "task") : NULL;
    json_t *answer;

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

static json_t *act_now(struct pending *p, struct err *e)
{
    struct telling w = {0};
    json_t *result = NULL;

    if (p->call->s->stopping) {
        (void)err_set(e, ERR_BUSY, "tarnd is ending; nothing was taken");
    } else if (p->call->s->full.code) {
        *e = p->call->s->full;
    } else if (read_deed(p->call, &w, e) == 0) {
        result = p->act(p->call, &w, e);
    }
    doing_deinit(&w);
    return result;
}

/* Says what is open yet of the task that was acknowledged, by the names of its subjects. */
static void add_left(struct call *c, json_t *answer)
{
    const struct live_room *k = &c->s->live;
    const struct task *t;
    json_t *left = json_array();
    int64_t id = 0;

    if (!c->s->stopping) {
        server_plan(c->s);
    }
    (void)num_parse_int(rpc_text(&c->req, "task"), 1, INT64_MAX, &id, NULL);
    t = agenda_find(&k->agenda, id);
    for (size_t i = 0; t && i < t->n_jobs; i++) {
        json_array_append_new(left, json_string(room_subject_name(&k->room, t->job[i].subject)));
    }
    json_object_set_new(answer, "done", json_boolean(json_array_size(left) == 0));
    json_object_set_new(answer, "left", left);
}

static void on_fold_passed(struct journal_job *job);

/* Answers (answer taken, or NULL and *e); an acknowledgement only once no fold is under way. */
static void conclude(struct pending *p, json_t *answer, const struct err *e)
{
    struct server *s = p->call->s;
    bool ack = answer && p->act == do_ack;

    if (ack && s->folding && !s->stopping) {
        p->answer = answer;
        p->n_lost = s->n_lost;
        journal_thread_submit(&s->journal,
                              journal_job_new(JOURNAL_JOB_KEY, on_fold_passed, p)); /* has no key */
        return;
    }
    if (ack) {
        add_left(p->call, answer);
    }
    call_end(p->call, answer, e);
    free(p);
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
        result = told_already(c, job, p->names_task);
    } else if (job->rc == 0 && c->s->folding && !c->s->stopping) {
        journal_thread_submit(&c->s->journal, job); /* behind the fold that is under way */
        return;
    } else if (job->rc == 0) {
        result = act_now(p, &e);
    }
    conclude(p, result, &e);
    journal_job_free(job);
}

/* Is another request with this key under way? A second one has to wait for it, or both were told.
 */
static bool key_is_under_way(const struct server *s, const struct conn *self, const char *key)
{
    for (const struct conn *c = s->conns.first; c; c = c->next) {
        if (c != self && c->busy && strcmp(c->key, key) == 0) {
            return true;
        }
    }
    return false;
}

static int begin(struct call *c, json_t *(*act)(struct call *c, struct telling *w, struct err *e),
                 bool names_task, struct err *e)
{
    const char *key = "";
    struct pending *p;
    struct journal_job *job;
    int rc = check_text(c, "key", ENTRY_KEY_MAX, &key, e);

    if (rc == 0 && *key && key_is_under_way(c->s, c->conn, key)) {
        rc = err_field(e, ERR_BUSY, "key", "a request with this key is under way; try again");
    }
    if (rc < 0) {
        return rc;
    }
    p = mem_array(1, sizeof *p);
    *p = (struct pending){.call = c, .act = act, .names_task = names_task};
    if (!*key) {
        struct err bad = {0};

        conclude(p, act_now(p, &bad), &bad);
        return 0;
    }
    (void)snprintf(c->conn->key, sizeof c->conn->key, "%s", key);
    job = journal_job_new(JOURNAL_JOB_KEY, on_key_found, p);
    (void)snprintf(job->key, sizeof job->key, "%s", key);
    journal_thread_submit(&c->s->journal, job);
    return 0;
}

int begin_ack(struct call *c, struct err *e)
{
    return begin(c, do_ack, true, e);
}

int begin_defer(struct call *c, struct err *e)
{
    return begin(c, do_defer, true, e);
}

int begin_drop(struct call *c, struct err *e)
{
    return begin(c, do_drop, true, e);
}

int begin_record(struct call *c, struct err *e)
{
    return begin(c, do_record, false, e);
}

int begin_readings(struct call *c, struct err *e)
{
    return begin(c, do_readings, false, e);
}

/* ---- a void: the entry it is about is looked up first, with what was told with it */

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
    return json_pack("{s:o}", "entries", tell(c, &all));
}

static void look_up_target(struct call *c, int64_t seq, const char *key);

static void on_target_found(struct journal_job *job)
{
    struct call *c = job->owner;
    struct telling w = {0};
    struct err e = job->err;
    json_t *result = NULL;

    if (job->rc == 0 && job->told) {
        result = told_already(c, job, false);
    } else if (job->rc == 0 && c->s->stopping) {
        (void)err_set(&e, ERR_BUSY, "tarnd is ending; nothing was taken");
    } else if (job->rc == 0 && c->s->folding) {
        look_up_target(c, job->seq, job->key); /* behind the fold that is under way */
        journal_job_free(job);
        return;
    } else if (job->rc == 0 && c->s->full.code) {
        e = c->s->full;
    } else if (job->rc == 0 && read_deed(c, &w, &e) == 0) {
        result = void_rows(c, job, &w.d, &e);
    }
    doing_deinit(&w);
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
    const char *text = rpc_text(&c->req, "entry");
    const char *key = "";
    int64_t seq;

    if (check_text(c, "key", ENTRY_KEY_MAX, &key, e) < 0) {
        return e->code;
    }
    if (num_parse_int(text, 1, INT64_MAX, &seq, NULL) < 0) {
        return err_field(e, ERR_SYNTAX, "entry", "'%.40s' is no number of an entry", text);
    }
    look_up_target(c, seq, key);
    return 0;
}
