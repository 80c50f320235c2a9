/* Acknowledging, deferring and dropping a task, and recording what was done besides. */
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/base/suggest.h"
#include "daemon/core/tasks/plan_costs.h"
#include "daemon/core/tell/room_example.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"
#include "daemon/core/words/hint.h"
#include "daemon/serve/api/deed_call.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>

/* What is left of the task is added by add_left: it may show after a fold only. */
static json_t *do_ack(struct call *c, struct deed_request *r, struct err *e)
{
    const struct live_room *live = &c->s->live;
    const struct task *t = deed_request_task(c, r, e);
    struct entries es = {0};
    int64_t id;

    if (!t || deed_request_read_told(c, r, e) < 0 ||
        deed_ack(&live->room, &live->state, t, &r->d, &es, e) < 0) {
        return NULL;
    }
    id = t->id;
    return json_pack("{s:o,s:o}", "task", out_id(id), "entries", deed_request_tell(c, &es));
}

/* A change as it was before it was put off. */
struct moved {
    int64_t id;
    int32_t on, due;
    size_t n_jobs;
    struct plan_amounts is; /* what all of the plan came to */
};

/* What it costs that a change was put off. Its due day moves with it, so that how late it comes is
 * reckoned from the day on which it was due before. */
static void add_cost_of_moving(struct call *c, json_t *answer, const void *kept)
{
    const struct live_room *live = &c->s->live;
    const struct moved *m = kept;
    struct plan_amounts then;
    const struct task *t;

    if (!m || c->s->folding || live->stale) {
        return;
    }
    then = plan_costs_now(&live->room, &live->state, server_now_s(c->s), &live->agenda);
    t = agenda_find(&live->agenda, m->id);
    then.late_days = m->is.late_days;
    then.early_days = m->is.early_days;
    if (t && t->on > m->due) {
        int32_t from = m->on > m->due ? m->on : m->due;

        then.late_days += (double)(t->on - from) * (double)m->n_jobs;
    }
    json_object_set_new(answer, "differs", out_difference(&m->is, &then));
}

static struct moved *before_moving(const struct live_room *live, const struct task *t,
                                   int64_t now_s)
{
    struct moved *m = mem_array(1, sizeof *m);

    *m = (struct moved){.id = t->id,
                        .on = t->on,
                        .due = t->due,
                        .n_jobs = t->n_jobs,
                        .is = plan_costs_now(&live->room, &live->state, now_s, &live->agenda)};
    return m;
}

static json_t *do_defer(struct call *c, struct deed_request *r, struct err *e)
{
    const struct live_room *live = &c->s->live;
    const struct task *t = deed_request_task(c, r, e);
    struct entries es = {0};
    int32_t to;

    if (!t) {
        return NULL;
    }
    if (when_parse_day(rpc_text(&c->req, "to"), zone_day(&live->room.zone, r->d.now_s), &to, e) <
        0) {
        (void)snprintf(e->field, sizeof e->field, "to");
        return NULL;
    }
    if (deed_defer(&live->room, &live->state, t, to, &r->d, &es, e) < 0) {
        return NULL;
    }
    if (t->kind == TASK_CHANGE) {
        r->kept = before_moving(live, t, r->d.now_s);
    }
    return json_pack("{s:o,s:o}", "task", out_id(t->id), "entries", deed_request_tell(c, &es));
}

static json_t *do_drop(struct call *c, struct deed_request *r, struct err *e)
{
    const struct live_room *live = &c->s->live;
    const struct task *t = deed_request_task(c, r, e);
    struct entries es = {0};
    int64_t id;

    if (!t || deed_drop(&live->room, &live->state, t, &r->d, &es, e) < 0) {
        return NULL;
    }
    id = t->id;
    return json_pack("{s:o,s:o}", "task", out_id(id), "entries", deed_request_tell(c, &es));
}

static int find_kind(const struct room *room, const char *word, struct err *e)
{
    const char *names[ENTRY_KIND_N];
    int kind = entry_kind_find(word);
    char tail[SUGGEST_TEXT_MAX];

    if (kind >= 0) {
        return kind;
    }
    if (hint_of(word)) {
        struct text hint = {0};

        room_example(room, hint_of(word), &hint);
        (void)err_field(e, ERR_UNKNOWN, "kind", "nothing is recorded as '%.40s'; %s", word,
                        text_str(&hint));
        text_deinit(&hint);
        return -1;
    }
    for (int i = 0; i < ENTRY_KIND_N; i++) {
        names[i] = entry_kinds[i].word;
    }
    (void)err_field(
        e, ERR_UNKNOWN, "kind", "nothing is recorded as '%.40s'%s", word,
        suggest_tail(tail, word, names, ENTRY_KIND_N, "; 'tarn help record' lists the kinds"));
    return -1;
}

static json_t *do_record(struct call *c, struct deed_request *r, struct err *e)
{
    const struct live_room *live = &c->s->live;
    int kind = find_kind(&c->s->live.room, rpc_text(&c->req, "kind"), e);
    struct entries es = {0};

    if (kind < 0 || deed_request_read_told(c, r, e) < 0 ||
        deed_record(&live->room, &live->state, (enum entry_kind)kind, &r->d, &es, e) < 0) {
        return NULL;
    }
    return json_pack("{s:o}", "entries", deed_request_tell(c, &es));
}

/* Says what is open yet of the task that was acknowledged, by the names of its subjects. */
static void add_left(struct call *c, json_t *answer, const void *kept)
{
    const struct live_room *live = &c->s->live;
    json_t *left = json_array();
    struct task t;
    int64_t id = 0;

    (void)kept;
    (void)num_parse_int(rpc_text(&c->req, "task"), 1, INT64_MAX, &id, NULL);
    (void)live_room_open_task(live, id, server_now_s(c->s), &t);
    for (size_t i = 0; i < t.n_jobs; i++) {
        json_array_append_new(left, json_string(room_subject_name(&live->room, t.job[i].subject)));
    }
    live_room_drop_task(&t);
    json_object_set_new(answer, "done", json_boolean(json_array_size(left) == 0));
    json_object_set_new(answer, "left", left);
}

int begin_ack(struct call *c, struct err *e)
{
    static const struct deed_verb ack = {do_ack, true, NULL, add_left, false};

    return deed_call_begin(c, &ack, e);
}

int begin_defer(struct call *c, struct err *e)
{
    static const struct deed_verb defer = {do_defer, true, NULL, add_cost_of_moving, true};

    return deed_call_begin(c, &defer, e);
}

int begin_drop(struct call *c, struct err *e)
{
    static const struct deed_verb drop = {do_drop, true, NULL, NULL, false};

    return deed_call_begin(c, &drop, e);
}

int begin_record(struct call *c, struct err *e)
{
    static const struct deed_verb record = {do_record, false, NULL, NULL, false};

    return deed_call_begin(c, &record, e);
}
