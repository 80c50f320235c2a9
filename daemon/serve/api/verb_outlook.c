/* What is coming, and how sure. Nothing here changes the room. */
#include "daemon/base/mem.h"
#include "daemon/core/room/water_source.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/tasks/feeding.h"
#include "daemon/core/tasks/plan_costs.h"
#include "daemon/core/tasks/water_need.h"
#include "daemon/core/tasks/what_if.h"
#include "daemon/core/units/day.h"
#include "daemon/serve/api/advise.h"
#include "daemon/serve/api/day_list.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/verbs.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define OUTLOOK_DAYS 14
#define LO           0.05 /* nine times in ten it lies between these */
#define HI           0.95
#define SPENT_DAYS   60 /* a solution that lasts longer is not said to be spent */

/* What is asked for: the days from now on, in the room as it is or as it is supposed to be. */
struct outlook {
    const struct live_room *live;
    const struct room *room;
    const struct state *state;
    int64_t now_s;
    int32_t today;
    int days;
};

static int64_t day_starts_s(const struct outlook *o, int32_t day)
{
    return zone_instant_s(&o->room->zone, day, o->room->day_start_s);
}

static json_t *out_span(double lo, double mid, double hi)
{
    return json_pack("{s:o,s:o,s:o}", "lo", out_number(lo), "mid", out_number(mid), "hi",
                     out_number(hi));
}

static json_t *out_ec(const struct outlook *o, size_t i, int64_t t_s)
{
    return out_span(predict_ec_at(o->room, o->state, i, t_s, 0.05),
                    predict_ec(o->room, o->state, i, t_s).mean,
                    predict_ec_at(o->room, o->state, i, t_s, 0.95));
}

static json_t *out_days(const struct outlook *o, int64_t lo_s, int64_t mid_s, int64_t hi_s)
{
    return json_pack("{s:o,s:o,s:o}", "from", out_day_of(o->room, lo_s), "on",
                     out_day_of(o->room, mid_s), "to", out_day_of(o->room, hi_s));
}

/* Plain water that planned work takes, the floats' apart. */
struct work_water {
    double mix_l;   /* for the mixes of changes */
    double start_l; /* for starts … */
    int n_starts;   /* … of so many containers */
};

/* What the planned starts and changes take of each product, and of water. */
static void need_products(const struct live_room *live, int32_t end_day, double *need,
                          struct work_water *out)
{
    struct amount amount[ROOM_DOSES_MAX];

    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];
        bool change = t->kind == TASK_CHANGE;
        double volume_l = change ? t->mix_l : 0;
        size_t n;

        if (t->on >= end_day || (!change && t->kind != TASK_START)) {
            continue;
        }
        for (size_t j = 0; j < t->n_jobs && !change; j++) {
            volume_l += t->job[j].volume_l;
        }
        out->mix_l += change ? volume_l : 0;
        out->start_l += change ? 0 : volume_l;
        out->n_starts += change ? 0 : (int)t->n_jobs;
        n = dosing_amounts(&live->room, &live->state, t->recipe, volume_l,
                           t->mix_ec_ms_cm - live->room.source.ec_ms_cm, amount);
        for (size_t j = 0; j < n; j++) {
            need[room_find(&live->room, amount[j].product).at] += amount[j].amount;
        }
    }
}

static json_t *list_needs(const struct live_room *live, int32_t end_day, struct work_water *out)
{
    double *need = mem_array(live->room.n_products, sizeof *need);
    json_t *list = json_array();

    need_products(live, end_day, need, out);
    for (size_t i = 0; i < live->room.n_products; i++) {
        const struct product *p = &live->room.product[i];

        json_array_append_new(list, json_pack("{s:s,s:o,s:o,s:s}", "name", p->name, "need",
                                              out_number(need[i]), "left",
                                              out_number(live->state.product[i].left), "unit",
                                              p->kind == PRODUCT_DRY ? "g" : "mL"));
    }
    free(need);
    return list;
}

static json_t *list_floats(const struct outlook *o)
{
    json_t *list = json_array();

    for (size_t i = 0; i < o->room->n_containers; i++) {
        int64_t float_s = predict_float_s(o->room, o->state, i, 0.5);
        json_t *one;

        if (float_s == FORECAST_NEVER || o->state->container[i].float_s ||
            zone_day(&o->room->zone, float_s) >= o->today + o->days) {
            continue;
        }
        one = out_days(o, predict_float_s(o->room, o->state, i, LO), float_s,
                       predict_float_s(o->room, o->state, i, HI));
        json_object_set_new(one, "name", json_string(o->room->container[i].name));
        json_object_set_new(one, "seen", json_false());
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *list_days(const struct outlook *o)
{
    int64_t from_s = o->now_s;
    json_t *list = json_array();

    for (int32_t day = o->today; day < o->today + o->days; day++) {
        int64_t to_s = zone_instant_s(&o->room->zone, day + 1, 0);
        json_t *one = day_list(o->live, o->now_s, day, false);

        json_object_set_new(one, "draw_l",
                            out_number(forecast_draw_l(o->room, o->state, from_s, to_s)));
        json_object_set_new(one, "reservoir_l",
                            out_span(predict_reservoir_l(o->room, o->state, to_s, LO),
                                     forecast_reservoir(o->room, o->state, to_s).volume_l,
                                     predict_reservoir_l(o->room, o->state, to_s, HI)));
        json_array_append_new(list, one);
        from_s = to_s;
    }
    return list;
}

static json_t *out_by_when(const struct outlook *o, double volume_l)
{
    return out_days(o, predict_reservoir_s(o->room, o->state, volume_l, LO, o->now_s),
                    predict_reservoir_s(o->room, o->state, volume_l, 0.5, o->now_s),
                    predict_reservoir_s(o->room, o->state, volume_l, HI, o->now_s));
}

static const struct task *change_of(const struct live_room *live, size_t container)
{
    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];

        for (size_t j = 0; t->kind == TASK_CHANGE && j < t->n_jobs; j++) {
            if (t->job[j].subject.at == container) {
                return t;
            }
        }
    }
    return NULL;
}

/* When its present solution is spent: the share of its strength that the stage bears is gone. */
static json_t *out_spent(const struct outlook *o, size_t i)
{
    const struct container_state *cs = &o->state->container[i];
    struct forecast now = forecast_container(o->room, o->state, i, o->now_s);
    const struct stage *stage = &o->room->crop[cs->crop].stage[now.stage];
    double spent = strength_spent_ms_cm(o->room, cs, stage);
    int64_t mid_s = predict_food_below_s(o->room, o->state, i, spent, 0.5, o->now_s);

    if (mid_s == FORECAST_NEVER || mid_s > o->now_s + SPENT_DAYS * 86400LL) {
        return json_null();
    }
    return out_days(o, predict_food_below_s(o->room, o->state, i, spent, LO, o->now_s), mid_s,
                    predict_food_below_s(o->room, o->state, i, spent, HI, o->now_s));
}

static json_t *list_containers(const struct outlook *o)
{
    json_t *list = json_array();

    for (size_t i = 0; i < o->room->n_containers; i++) {
        const struct task *change = change_of(o->live, i);
        int32_t on = change ? change->on : DAY_NONE;

        if (o->state->container[i].crop < 0) {
            continue;
        }
        json_array_append_new(list,
                              json_pack("{s:s,s:o,s:o,s:o,s:o}", "name", o->room->container[i].name,
                                        "ec_tomorrow", out_ec(o, i, o->now_s + 86400), "spent",
                                        out_spent(o, i), "change_on", out_day(on), "ec_then",
                                        change ? out_ec(o, i, day_starts_s(o, on)) : json_null()));
    }
    return list;
}

/* The next work that needs plain water: how much, and when the source has to begin. */
static json_t *out_source(const struct outlook *o)
{
    struct water_need n;

    if (!water_need_next(o->room, o->state, &o->live->agenda, o->now_s, &n)) {
        return json_null();
    }
    return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o}", "task", out_id(n.task->id), "on",
                     out_day(n.task->on), "need_l", out_number(n.need_l), "has_l",
                     out_number(n.has_l), "start", out_instant(o->room, n.start_s), "drain_l",
                     out_number(water_source_drain_l(&o->room->source, n.need_l)));
}

static json_t *out_water(const struct outlook *o, const struct work_water *work)
{
    int64_t end_s = zone_instant_s(&o->room->zone, o->today + o->days, 0);
    struct gauss draw = predict_draw_l(o->room, o->state, o->now_s, end_s);
    double off = NINE_IN_TEN * sqrt(draw.var);

    return json_pack("{s:o,s:o,s:o,s:o,s:o,s:i,s:o}", "draw_l",
                     out_number(forecast_draw_l(o->room, o->state, o->now_s, end_s)), "draw_lo_l",
                     out_number(fmax(0, draw.mean - off)), "draw_hi_l", out_number(draw.mean + off),
                     "mix_l", out_number(work->mix_l), "start_l", out_number(work->start_l),
                     "starts", work->n_starts, "source", out_source(o));
}

/* The changes to come, by day: what is mixed, for whom. */
static json_t *list_mixes(const struct outlook *o)
{
    json_t *list = json_array();

    for (size_t i = 0; i < o->live->agenda.n; i++) {
        const struct task *t = &o->live->agenda.task[i];

        if (t->kind == TASK_CHANGE && t->on < o->today + o->days) {
            json_array_append_new(list, out_task(o->live, t, o->today));
        }
    }
    return list;
}

static json_t *out_plan(const struct outlook *o)
{
    struct plan_amounts sum = plan_costs_now(o->room, o->state, o->now_s, &o->live->agenda);
    json_t *plan = out_plan_amounts(&sum);

    json_object_set_new(
        plan, "gap_pct",
        out_number(plan_costs_gap_pct(o->room, o->state, o->now_s, &o->live->agenda)));
    return plan;
}

#define FEEDING_DAYS 28 /* two lives of a solution: less would say nothing of changes */

static json_t *out_feeding(const struct room *room, const struct state *s, int64_t now_s)
{
    struct feeding f = feeding_foresee(room, s, now_s, FEEDING_DAYS);

    return json_pack("{s:i,s:i,s:i,s:o,s:o}", "days", FEEDING_DAYS, "bumps", f.bumps, "changes",
                     f.changes, "minutes", out_number(f.minutes), "short_days",
                     out_number(f.short_day));
}

static json_t *describe(const struct outlook *o)
{
    const struct reservoir *v = &o->room->reservoir;
    json_t *answer = json_object();
    struct work_water work = {0};

    json_object_set_new(answer, "from", out_day(o->today));
    json_object_set_new(answer, "days", list_days(o));
    json_object_set_new(answer, "mixes", list_mixes(o));
    json_object_set_new(answer, "plan", out_plan(o));
    json_object_set_new(answer, "reservoir",
                        json_pack("{s:o,s:o,s:o,s:o}", "capacity_l", out_number(v->capacity_l),
                                  "low_l", out_number(v->low_l), "low", out_by_when(o, v->low_l),
                                  "empty", out_by_when(o, v->remainder_l)));
    json_object_set_new(answer, "products", list_needs(o->live, o->today + o->days, &work));
    json_object_set_new(answer, "water", out_water(o, &work));
    json_object_set_new(answer, "floats", list_floats(o));
    json_object_set_new(answer, "containers", list_containers(o));
    json_object_set_new(answer, "feeding", out_feeding(o->room, o->state, o->now_s));
    return answer;
}

/* The plan of a room that is not, and how it differs from that of the room that is. */
static json_t *describe_supposed(const struct outlook *o, const char *text, struct err *e)
{
    struct live_room live = {0};
    struct plan_amounts is = plan_costs_now(o->room, o->state, o->now_s, &o->live->agenda);
    struct plan_amounts then;
    struct task_ends ends = {0};
    struct outlook supposed = *o;
    struct what_if w;
    json_t *answer = NULL;

    what_if_init(&w, o->room, o->state);
    if (what_if_suppose(&w, text, o->today, e) == 0) {
        live.room = w.room;
        live.state = w.s;
        agenda_derive(&live.room, &live.state, o->now_s, LIVE_ROOM_PLAN_DAYS, &o->live->agenda,
                      false, &live.agenda);
        task_numbers_carry_over(&live.room, &live.state, o->now_s, &o->live->agenda, &live.agenda,
                                &ends);
        supposed.live = &live;
        supposed.room = &live.room;
        supposed.state = &live.state;
        then = plan_costs_now(&live.room, &live.state, o->now_s, &live.agenda);
        answer = describe(&supposed);
        json_object_set_new(answer, "if", json_string(text));
        json_object_set_new(answer, "differs", out_difference(&is, &then));
        json_object_set_new(answer, "feeding_now", out_feeding(o->room, o->state, o->now_s));
        task_ends_deinit(&ends);
        agenda_deinit(&live.agenda);
    }
    what_if_deinit(&w);
    return answer;
}

/* ---- on a thread: a plan takes a second, or many, and others are served meanwhile */

/* One is reckoned at a time; those who came later wait. The room's parts stay the live one's, which
 * is not changed for another while any is under way; state and tasks are copies. */
struct supposing {
    uv_work_t work; /* first: libuv gives a pointer to it, and all of this is meant */
    struct call *call;
    bool advises; /* asked for advice; else for what is supposed */
    struct live_room was;
    struct outlook o;
    json_t *answer;
    struct err err;
    struct supposing *next;
};

static void start_supposing(struct server *s);

static void end_supposing(struct supposing *p)
{
    struct server *s = p->call->s;

    call_end(p->call, p->answer, &p->err); /* who asks at this moment waits behind it */
    s->supposing = p->next;
    live_room_drop_copy(&p->was);
    free(p);
    if (s->supposing) {
        start_supposing(s);
    }
}

static void suppose(uv_work_t *work)
{
    struct supposing *p = (struct supposing *)work;
    struct unwritten unused;

    unwritten_init(&unused); /* who plans for the room itself has it written */
    live_room_plan(&p->was, p->o.now_s, &unused);
    unwritten_deinit(&unused);
    if (p->advises) {
        p->answer = advise(p->o.room, p->o.state, p->o.now_s);
        return;
    }
    p->answer = describe_supposed(&p->o, rpc_text(&p->call->req, "if"), &p->err);
    if (!p->answer) {
        (void)snprintf(p->err.field, sizeof p->err.field, "if");
    }
}

static void on_supposed(uv_work_t *work, int status)
{
    (void)status; /* nobody cancels one */
    end_supposing((struct supposing *)work);
}

static void on_fold_passed(struct journal_job *job)
{
    struct server *s = job->owner;

    journal_job_free(job);
    start_supposing(s);
}

/* The first, once the state is whole. */
static void start_supposing(struct server *s)
{
    struct supposing *p = s->supposing;

    if (s->stopping) {
        (void)err_set(&p->err, ERR_BUSY, "tarnd is ending");
        end_supposing(p);
        return;
    }
    if (s->folding) {
        journal_thread_submit(&s->journal, journal_job_new(JOURNAL_JOB_KEY, on_fold_passed, s));
        return;
    }
    live_room_copy(&p->was, &s->live);
    p->o.live = &p->was;
    p->o.room = &p->was.room;
    p->o.state = &p->was.state;
    p->o.now_s = server_now_s(s);
    p->o.today = zone_day(&s->live.room.zone, p->o.now_s);
    if (uv_queue_work(&s->loop, &p->work, suppose, on_supposed) < 0) {
        suppose(&p->work); /* without a thread the others wait */
        end_supposing(p);
    }
}

static void add_supposing(struct call *c, int days, bool advises)
{
    struct supposing *p = mem_array(1, sizeof *p);
    struct supposing **last = &c->s->supposing;

    p->call = c;
    p->o.days = days;
    p->advises = advises;
    while (*last) {
        last = &(*last)->next;
    }
    *last = p;
    if (c->s->supposing == p) {
        start_supposing(c->s);
    }
}

int begin_advise(struct call *c, struct err *e)
{
    (void)e;
    add_supposing(c, OUTLOOK_DAYS, true);
    return 0;
}

int begin_outlook(struct call *c, struct err *e)
{
    struct server *s = c->s;
    json_int_t days = rpc_int(&c->req, "days", OUTLOOK_DAYS);
    struct outlook o = {.live = &s->live,
                        .room = &s->live.room,
                        .state = &s->live.state,
                        .now_s = server_now_s(s),
                        .days = (int)days};

    if (days < 1 || days > LIVE_ROOM_PLAN_DAYS) {
        return err_field(e, ERR_RANGE, "days", "an outlook has 1 to %d days", LIVE_ROOM_PLAN_DAYS);
    }
    if (rpc_text(&c->req, "if")) {
        add_supposing(c, (int)days, false);
        return 0;
    }
    o.today = zone_day(&s->live.room.zone, o.now_s);
    call_end(c, describe(&o), e);
    return 0;
}
