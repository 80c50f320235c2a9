/* One thing of the room, or one task, as a whole. Nothing here changes the room. */
#include "daemon/base/num.h"
#include "daemon/core/chem/ions.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/plan_costs.h"
#include "daemon/core/units/day.h"
#include "daemon/serve/api/closed_task.h"
#include "daemon/serve/api/history.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/show_crop.h"
#include "daemon/serve/api/verbs.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SHOWN_ENTRIES 10 /* the newest, as wire.h has it */

static json_t *tasks_about(struct server *s, struct subject subject)
{
    const struct live_room *live = &s->live;
    int32_t today = zone_day(&live->room.zone, server_now_s(s));
    json_t *list = json_array();

    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];

        for (size_t j = 0; j < t->n_jobs; j++) {
            if (t->job[j].subject.kind == subject.kind && t->job[j].subject.at == subject.at) {
                json_array_append_new(list, out_task(live, t, today));
                break;
            }
        }
    }
    return list;
}

static json_t *show_reservoir(struct server *s)
{
    const struct live_room *live = &s->live;
    int64_t now_s = server_now_s(s);
    json_t *o = out_reservoir(live, now_s);

    json_object_set_new(
        o, "draw_l_day",
        out_number(forecast_draw_l(&live->room, &live->state, now_s, now_s + 86400)));
    json_object_set_new(
        o, "ph", out_number(live->state.reservoir.ph.at_s ? live->state.reservoir.ph.value : NAN));
    json_object_set_new(
        o, "temp_c",
        out_number(live->state.reservoir.temp.at_s ? live->state.reservoir.temp.value : NAN));
    json_object_set_new(o, "seen", out_seen(live, (struct subject){SUBJECT_RESERVOIR, 0}, now_s));
    return o;
}

static json_t *show_product(const struct live_room *live, size_t at)
{
    const struct product *p = &live->room.product[at];
    const struct product_state *ps = &live->state.product[at];
    json_t *o = out_product(live, at);
    json_t *recipes = json_array();

    for (size_t i = 0; i < live->room.n_recipes; i++) {
        for (size_t j = 0; j < live->room.recipe[i].n_doses; j++) {
            if (live->room.recipe[i].dose[j].product == at) {
                json_array_append_new(recipes, json_string(live->room.recipe[i].name));
            }
        }
    }
    json_object_set_new(o, "recipes", recipes);
    json_object_set_new(o, "reagent",
                        p->reagent ? json_string(reagent_words[p->reagent]) : json_null());
    json_object_set_new(o, "contents", out_feed(&p->contents, NULL, 0));
    json_object_set_new(o, "strength", out_learned(&ps->strength));
    return o;
}

static json_t *show_recipe(const struct live_room *live, size_t at)
{
    const struct recipe *r = &live->room.recipe[at];
    const struct learned *gain = &live->state.recipe[at].gain;
    struct nutrients feed =
        dosing_feed_from(&live->room, &live->state, at, live->room.source.ec_ms_cm, gain->value);
    struct ions ions;
    json_t *doses = json_array();

    for (size_t i = 0; i < r->n_doses; i++) {
        const struct product *p = &live->room.product[r->dose[i].product];

        json_array_append_new(doses, json_pack("{s:s,s:o,s:s}", "product", p->name, "per_l",
                                               out_number(r->dose[i].per_l), "unit",
                                               p->kind == PRODUCT_DRY ? "g" : "mL"));
    }
    ions = ions_of_nutrients(&feed);
    return json_pack("{s:s,s:o,s:o,s:b,s:o,s:o,s:o,s:o,s:o}", "name", r->name, "ec_gain_ms_cm",
                     out_number(gain->value), "told_gain_ms_cm", out_number(r->ec_gain_ms_cm),
                     "estimated", (int)r->ec_estimated, "learned", out_learned(gain),
                     "estimate_ms_cm",
                     out_number(nutrients_none(&feed) ? NAN : ions_ec_ms_cm(&ions)),
                     "estimate_off_pct", out_number(100 * ions_ec_off_frac(&feed)), "feed",
                     out_feed(&feed, NULL, 0), "doses", doses);
}

/* The thing itself, under its own name in the answer. */
static json_t *show_thing(struct server *s, struct subject subject, const char **out_type)
{
    const struct live_room *live = &s->live;

    switch (subject.kind) {
    case SUBJECT_CONTAINER:
        *out_type = "container";
        return out_container_whole(live, subject.at, server_now_s(s));
    case SUBJECT_RESERVOIR:
        *out_type = "reservoir";
        return show_reservoir(s);
    case SUBJECT_PRODUCT:
        *out_type = "product";
        return show_product(live, subject.at);
    case SUBJECT_METER:
        *out_type = "meter";
        return out_meter(live, subject.at, server_now_s(s));
    default:
        *out_type = "recipe";
        return show_recipe(live, subject.at);
    }
}

static void on_entries_found(struct journal_job *job)
{
    struct call *c = job->owner;
    const struct room *room = &c->s->live.room;
    struct subject subject = room_find(room, job->of);
    const char *type = "";
    json_t *result = NULL;

    if (job->rc == 0 && subject.kind != SUBJECT_NONE) {
        json_t *thing = show_thing(c->s, subject, &type);

        result = json_pack("{s:s,s:o,s:o,s:o}", "type", type, type, thing, "tasks",
                           tasks_about(c->s, subject), "entries",
                           out_rows(&c->s->live, job->row, job->n_rows));
    } else if (job->rc == 0) {
        (void)err_set(&job->err, ERR_UNKNOWN, "the room has no '%s' any more", job->of);
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

/* What each container of a change wants, and when: why they go together. */
static json_t *list_wants(const struct live_room *live, const struct task *t)
{
    json_t *list = json_array();

    for (size_t i = 0; t->kind == TASK_CHANGE && i < t->n_jobs; i++) {
        const struct job *j = &t->job[i];

        json_array_append_new(list,
                              json_pack("{s:s,s:o,s:o,s:o,s:o}", "name",
                                        room_subject_name(&live->room, j->subject), "ec_ms_cm",
                                        out_number(j->ec_ms_cm), "earliest", out_day(j->earliest),
                                        "due", out_day(j->due), "latest", out_day(j->latest)));
    }
    return list;
}

static json_t *list_other_days(const struct live_room *live, const struct task *t, int64_t now_s)
{
    struct plan_amounts is;
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    size_t n =
        plan_costs_other_days(&live->room, &live->state, now_s, &live->agenda, t, &is, other);
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++) {
        json_t *o = out_difference(&is, &other[i].sum);

        json_object_set_new(o, "on", out_day(other[i].day));
        json_object_set_new(o, "dearer", out_number(other[i].dearer));
        json_array_append_new(list, o);
    }
    return list;
}

static int show_task(struct call *c, int64_t id)
{
    struct server *s = c->s;
    int32_t today = zone_day(&s->live.room.zone, server_now_s(s));
    const struct task *t;

    t = agenda_find(&s->live.agenda, id);
    if (!t) {
        closed_task_show(c, id);
        return 0;
    }
    call_end(c,
             json_pack("{s:s,s:o,s:o,s:o,s:o,s:o}", "type", "task", "task",
                       out_task(&s->live, t, today), "worksheet",
                       out_worksheet(&s->live, t, server_now_s(s)), "gives", out_gives(&s->live, t),
                       "wants", list_wants(&s->live, t), "other_days",
                       list_other_days(&s->live, t, server_now_s(s))),
             NULL);
    return 0;
}

int begin_show(struct call *c, struct err *e)
{
    const char *what = rpc_text(&c->req, "what");
    struct journal_job *job;
    struct subject subject;
    int64_t id;
    int rc;

    if (!what) {
        call_end(c, show_things(&c->s->live), NULL);
        return 0;
    }
    if (num_parse_int(what, 1, INT64_MAX, &id, NULL) == 0) {
        return show_task(c, id);
    }
    if (room_find(&c->s->live.room, what).kind == SUBJECT_NONE &&
        room_find_crop(&c->s->live.room, what) >= 0) {
        call_end(c, show_crop(&c->s->live, (size_t)room_find_crop(&c->s->live.room, what)), NULL);
        return 0;
    }
    if (room_find(&c->s->live.room, what).kind == SUBJECT_NONE && strcmp(what, "forecasts") == 0) {
        call_end(c, show_forecasts(&c->s->live), NULL);
        return 0;
    }
    rc = room_lookup(&c->s->live.room, what, &subject, e);
    if (rc < 0) {
        (void)snprintf(e->field, sizeof e->field, "what");
        return rc;
    }
    if (subject.kind == SUBJECT_RECIPE) {
        call_end(c,
                 json_pack("{s:s,s:o}", "type", "recipe", "recipe",
                           show_recipe(&c->s->live, subject.at)),
                 NULL);
        return 0;
    }
    if (subject.kind == SUBJECT_ROOM) {
        return err_field(e, ERR_UNKNOWN, "what", "for the room as a whole ask its status");
    }
    job = journal_job_new(JOURNAL_JOB_LIST, on_entries_found, c);
    job->query = (struct journal_query){
        .since_s = INT64_MIN, .until_s = INT64_MAX, .limit = SHOWN_ENTRIES, .newest_first = true};
    history_of(&c->s->live, subject, job);
    journal_thread_submit(&c->s->journal, job);
    return 0;
}
