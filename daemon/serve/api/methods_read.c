/* Questions: nothing here changes the room. */
#include "daemon/serve/api/methods.h"

#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/base/wire.h"
#include "daemon/core/chem/ions.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"
#include "daemon/core/work/plan_costs.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/upkeep.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LOG_LIMIT_MAX  1000
#define LOG_LIMIT      200
#define SHOWN_ENTRIES  10
#define CLOCK_MAX_DAYS 3660

json_t *ask_hello(struct call *c, struct err *e)
{
    struct server *s = c->s;
    json_int_t protocol = rpc_int(&c->req, "protocol", 0);

    if (protocol != WIRE_PROTOCOL) {
        (void)err_field(e, WIRE_VERSION, "protocol", "tarnd %s speaks protocol %d, not %lld",
                        TARN_VERSION, WIRE_PROTOCOL, (long long)protocol);
        return NULL;
    }
    return json_pack("{s:i,s:s,s:s,s:b,s:o,s:o}", "protocol", WIRE_PROTOCOL, "version",
                     TARN_VERSION, "room", s->live.room.name, "simulated", (int)s->clock.simulated,
                     "now", out_instant(&s->live.room, server_now_s(s)), "units",
                     out_units(&s->live.room.units));
}

static json_t *list_notices(struct server *s)
{
    json_t *list = json_array();
    struct notices notices;

    upkeep_notices(s, &notices);
    for (size_t i = 0; i < notices.n; i++) {
        json_array_append_new(list, json_pack("{s:s,s:s}", "key", notices.notice[i].key, "text",
                                              notices.notice[i].text));
    }
    notices_deinit(&notices);
    return list;
}

static json_t *list_alarms(const struct live_room *k)
{
    json_t *list = json_array();
    struct alarms alarms;

    alarms_derive(&k->room, &k->state, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        json_array_append_new(
            list, json_pack("{s:s,s:s,s:o,s:o,s:s,s:s,s:b}", "kind", alarm_words[a->kind],
                            "subject", room_subject_name(&k->room, a->subject), "since",
                            out_instant(&k->room, a->since_s), "sure_pct", out_number(a->sure_pct),
                            "says", a->says, "look", a->look, "seen", (int)a->seen));
    }
    alarms_deinit(&alarms);
    return list;
}

json_t *ask_status(struct call *c, struct err *e)
{
    struct server *s = c->s;
    const struct live_room *k = &s->live;
    int64_t now_s = server_now_s(s);
    json_t *containers = json_array();
    json_t *meters = json_array();
    json_t *o = json_object();

    (void)e;
    server_plan(s);
    for (size_t i = 0; i < k->room.n_containers; i++) {
        json_array_append_new(containers, out_container(k, i, now_s));
    }
    for (size_t i = 0; i < k->room.n_meters; i++) {
        json_array_append_new(meters, out_meter(k, i, now_s));
    }
    json_object_set_new(o, "now", out_instant(&k->room, now_s));
    json_object_set_new(o, "simulated", json_boolean(s->clock.simulated));
    json_object_set_new(o, "room", json_string(k->room.name));
    json_object_set_new(o, "units", out_units(&k->room.units));
    json_object_set_new(o, "reservoir", out_reservoir(k, now_s));
    json_object_set_new(o, "containers", containers);
    json_object_set_new(o, "meters", meters);
    json_object_set_new(o, "notices", list_notices(s));
    json_object_set_new(o, "alarms", list_alarms(k));
    json_object_set_new(o, "room_file_fault", out_word(s->reload.fault));
    json_object_set_new(o, "entries", json_integer(k->next_seq - 1));
    json_object_set_new(o, "skipped", json_integer(k->state.n_skipped));
    return o;
}

static json_t *task_whole(const struct live_room *k, const struct task *t, int64_t now_s, bool full)
{
    json_t *o = out_task(k, t, zone_day(&k->room.zone, now_s));

    if (full) {
        json_object_set_new(o, "worksheet", out_worksheet(k, t, now_s));
    }
    return o;
}

/* The tasks of a day, their minutes, and those that there are for them. */
static json_t *list_day(const struct live_room *k, int64_t now_s, int32_t day, bool full)
{
    int32_t today = zone_day(&k->room.zone, now_s);
    json_t *tasks = json_array();
    double minutes = 0;

    for (size_t i = 0; i < k->agenda.n; i++) {
        const struct task *t = &k->agenda.task[i];

        if (task_is_on(t, day, today)) {
            json_array_append_new(tasks, task_whole(k, t, now_s, full));
            minutes += t->minutes;
        }
    }
    return json_pack("{s:o,s:o,s:o,s:o}", "date", out_day(day), "tasks", tasks, "minutes",
                     out_number(minutes), "budget_min", out_number(room_budget_min(&k->room, day)));
}

json_t *methods_day(const struct live_room *k, int64_t now_s, int32_t day)
{
    return list_day(k, now_s, day, false);
}

json_t *methods_today(struct server *s, int32_t day, bool full)
{
    server_plan(s);
    return list_day(&s->live, server_now_s(s), day, full);
}

json_t *ask_today(struct call *c, struct err *e)
{
    struct server *s = c->s;
    int32_t today = zone_day(&s->live.room.zone, server_now_s(s));
    const char *on = rpc_text(&c->req, "on");
    int32_t day = today;

    if (on && when_parse_day(on, today, &day, e) < 0) {
        (void)snprintf(e->field, sizeof e->field, "on");
        return NULL;
    }
    if (day < today || day >= today + LIVE_ROOM_PLAN_DAYS) {
        (void)err_field(e, ERR_RANGE, "on", "lists are made for today and the %d days after it",
                        LIVE_ROOM_PLAN_DAYS - 1);
        return NULL;
    }
    return methods_today(s, day, rpc_bool(&c->req, "full"));
}

json_t *ask_stock(struct call *c, struct err *e)
{
    const struct live_room *k = &c->s->live;
    json_t *list = json_array();

    (void)e;
    for (size_t i = 0; i < k->room.n_products; i++) {
        json_array_append_new(list, out_product(k, i));
    }
    return json_pack("{s:o}", "products", list);
}

static json_t *figure_words(unsigned bits)
{
    json_t *list = json_array();

    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (bits & FIGURE_BIT(f)) {
            json_array_append_new(list, json_string(figure_defs[f].word));
        }
    }
    return list;
}

json_t *ask_kinds(struct call *c, struct err *e)
{
    static const char *const whats[] = {
        [WHAT_NONE] = "",        [WHAT_CROP] = "crop",       [WHAT_RECIPE] = "recipe",
        [WHAT_STAGE] = "stage",  [WHAT_OBSERVATION] = "saw", [WHAT_CARE] = "what",
        [WHAT_YES_NO] = "float", [WHAT_PART_FINAL] = "what", [WHAT_JOB] = "what",
        [WHAT_METER] = "meter",
    };
    json_t *list = json_array();

    (void)c;
    (void)e;
    for (int i = 0; i < ENTRY_KIND_N; i++) {
        const struct entry_def *d = &entry_kinds[i];

        if (d->recordable) {
            json_array_append_new(list,
                                  json_pack("{s:s,s:s,s:o,s:o,s:o,s:s}", "word", d->word, "says",
                                            d->says, "what", out_word(whats[d->what]), "figures",
                                            figure_words(d->needs | d->needs_one | d->takes),
                                            "needs", figure_words(d->needs), "help", d->help));
        }
    }
    return json_pack("{s:o}", "kinds", list);
}

/* ---- moving the simulated clock */

static int parse_target(struct call *c, int64_t now_s, int64_t *out_s, struct err *e)
{
    const char *advance = rpc_text(&c->req, "advance");
    const char *to = rpc_text(&c->req, "to");
    double days;
    int rc;

    if (advance && to) {
        return err_field(e, ERR_SYNTAX, "to", "say either how far, or where to");
    }
    if (advance) {
        rc = quantity_parse(QUANTITY_SPAN, advance, &days, e);
        if (rc < 0) {
            return rc;
        }
        if (!(days > 0 && days <= CLOCK_MAX_DAYS)) {
            return err_field(e, ERR_RANGE, "advance", "the clock is moved by up to %d days",
                             CLOCK_MAX_DAYS);
        }
        *out_s = now_s + (int64_t)llround(days * 86400);
        return 0;
    }
    rc = when_parse(to, &c->s->live.room.zone, now_s, out_s, e);
    if (rc == 0 && (*out_s < now_s || *out_s > now_s + CLOCK_MAX_DAYS * 86400LL)) {
        rc = err_field(e, ERR_RANGE, "to", "the clock goes forward only, by up to %d days",
                       CLOCK_MAX_DAYS);
    }
    return rc;
}

json_t *ask_clock(struct call *c, struct err *e)
{
    struct server *s = c->s;
    int64_t now_s = server_now_s(s);
    int64_t to_s = now_s;

    if (rpc_part(&c->req, "advance") || rpc_part(&c->req, "to")) {
        if (!s->clock.simulated) {
            (void)err_set(e, ERR_REFUSED,
                          "the clock is the real one; only tarnd --simulate can be moved");
            return NULL;
        }
        if (parse_target(c, now_s, &to_s, e) < 0) {
            return NULL;
        }
        upkeep_until(s, to_s);
    }
    return json_pack("{s:o,s:b}", "now", out_instant(&s->live.room, server_now_s(s)), "simulated",
                     (int)s->clock.simulated);
}

/* ---- what the journal's thread looks up */

static json_t *list_rows(const struct live_room *k, const struct journal_job *job)
{
    json_t *list = json_array();

    for (size_t i = 0; i < job->n_rows; i++) {
        json_array_append_new(list, out_entry(k, &job->row[i].entry, job->row[i].voided));
    }
    return list;
}

static void on_logged(struct journal_job *job)
{
    struct call *c = job->owner;
    json_t *result = NULL;

    if (job->rc == 0) {
        bool more = job->n_rows == job->query.limit;

        result = json_pack("{s:o,s:o}", "entries", list_rows(&c->s->live, job), "next",
                           more ? json_integer(job->row[job->n_rows - 1].entry.seq) : json_null());
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

/* "after" names an entry by its number: the list goes on behind it. */
static void on_after_found(struct journal_job *job)
{
    struct call *c = job->owner;

    if (job->rc < 0) {
        call_end(c, NULL, &job->err);
        journal_job_free(job);
        return;
    }
    job->query.after_happened_s = job->found.entry.happened_s;
    job->query.after_seq = job->found.entry.seq;
    job->kind = JOURNAL_JOB_LIST;
    job->done = on_logged;
    if (!c->s->journal_runs) {
        (void)err_set(&job->err, ERR_BUSY, "tarnd is ending");
        call_end(c, NULL, &job->err);
        journal_job_free(job);
        return;
    }
    journal_thread_submit(&c->s->journal, job);
}

static int parse_limits(struct call *c, struct journal_query *q, struct err *e)
{
    const struct zone *zone = &c->s->live.room.zone;
    int64_t now_s = server_now_s(c->s);
    const char *since = rpc_text(&c->req, "since");
    const char *until = rpc_text(&c->req, "until");
    json_int_t limit = rpc_int(&c->req, "limit", LOG_LIMIT);

    *q = (struct journal_query){.since_s = INT64_MIN, .until_s = INT64_MAX};
    if ((since && when_parse(since, zone, now_s, &q->since_s, e) < 0) ||
        (until && when_parse(until, zone, now_s, &q->until_s, e) < 0)) {
        return e->code;
    }
    if (limit < 1 || limit > LOG_LIMIT_MAX) {
        return err_field(e, ERR_RANGE, "limit", "1 to %d entries are listed at once",
                         LOG_LIMIT_MAX);
    }
    q->limit = (size_t)limit;
    return 0;
}

int begin_log(struct call *c, struct err *e)
{
    const char *of = rpc_text(&c->req, "of");
    json_int_t after = rpc_int(&c->req, "after", 0);
    struct journal_query q;
    struct journal_job *job;
    struct subject subject;
    int rc = parse_limits(c, &q, e);

    if (rc == 0 && of) {
        rc = room_lookup(&c->s->live.room, of, &subject, e);
    }
    if (rc < 0) {
        return rc;
    }
    job = journal_job_new(after ? JOURNAL_JOB_GET : JOURNAL_JOB_LIST,
                          after ? on_after_found : on_logged, c);
    job->query = q;
    job->seq = after;
    (void)snprintf(job->of, sizeof job->of, "%s", of ? of : "");
    journal_thread_submit(&c->s->journal, job);
    return 0;
}

static json_t *tasks_about(struct server *s, struct subject subject)
{
    const struct live_room *k = &s->live;
    int32_t today = zone_day(&k->room.zone, server_now_s(s));
    json_t *list = json_array();

    for (size_t i = 0; i < k->agenda.n; i++) {
        const struct task *t = &k->agenda.task[i];

        for (size_t j = 0; j < t->n_jobs; j++) {
            if (t->job[j].subject.kind == subject.kind && t->job[j].subject.at == subject.at) {
                json_array_append_new(list, out_task(k, t, today));
                break;
            }
        }
    }
    return list;
}

static json_t *show_reservoir(struct server *s)
{
    const struct live_room *k = &s->live;
    int64_t now_s = server_now_s(s);
    json_t *o = out_reservoir(k, now_s);

    json_object_set_new(o, "draw_l_day",
                        out_number(forecast_draw_l(&k->room, &k->state, now_s, now_s + 86400)));
    json_object_set_new(o, "ph",
                        out_number(k->state.reservoir.ph.at_s ? k->state.reservoir.ph.value : NAN));
    return o;
}

static json_t *show_product(const struct live_room *k, size_t at)
{
    const struct product *p = &k->room.product[at];
    const struct product_state *ps = &k->state.product[at];
    json_t *o = out_product(k, at);
    json_t *recipes = json_array();

    for (size_t i = 0; i < k->room.n_recipes; i++) {
        for (size_t j = 0; j < k->room.recipe[i].n_doses; j++) {
            if (k->room.recipe[i].dose[j].product == at) {
                json_array_append_new(recipes, json_string(k->room.recipe[i].name));
            }
        }
    }
    json_object_set_new(o, "recipes", recipes);
    json_object_set_new(o, "reagent",
                        p->reagent ? json_string(reagent_words[p->reagent]) : json_null());
    json_object_set_new(o, "contents", out_feed(&p->contents, NULL, 0));
    json_object_set_new(o, "per_ph_water", out_learned(&ps->per_ph[TITRATED_WATER]));
    json_object_set_new(o, "per_ph_solution", out_learned(&ps->per_ph[TITRATED_SOLUTION]));
    return o;
}

static json_t *show_recipe(const struct live_room *k, size_t at)
{
    const struct recipe *r = &k->room.recipe[at];
    const struct learned *gain = &k->state.recipe[at].gain;
    struct nutrients feed = dosing_feed(&k->room, &k->state, at, gain->value);
    struct ions ions;
    json_t *doses = json_array();

    for (size_t i = 0; i < r->n_doses; i++) {
        const struct product *p = &k->room.product[r->dose[i].product];

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
    const struct live_room *k = &s->live;

    switch (subject.kind) {
    case SUBJECT_CONTAINER:
        *out_type = "container";
        return out_container_whole(k, subject.at, server_now_s(s));
    case SUBJECT_RESERVOIR:
        *out_type = "reservoir";
        return show_reservoir(s);
    case SUBJECT_PRODUCT:
        *out_type = "product";
        return show_product(k, subject.at);
    case SUBJECT_METER:
        *out_type = "meter";
        return out_meter(k, subject.at, server_now_s(s));
    default:
        *out_type = "recipe";
        return show_recipe(k, subject.at);
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
                           tasks_about(c->s, subject), "entries", list_rows(&c->s->live, job));
    } else if (job->rc == 0) {
        (void)err_set(&job->err, ERR_UNKNOWN, "the room has no '%s' any more", job->of);
    }
    call_end(c, result, &job->err);
    journal_job_free(job);
}

/* What each container of a change wants, and when: why they go together. */
static json_t *list_wants(const struct live_room *k, const struct task *t)
{
    json_t *list = json_array();

    for (size_t i = 0; t->kind == TASK_CHANGE && i < t->n_jobs; i++) {
        const struct job *j = &t->job[i];

        json_array_append_new(list,
                              json_pack("{s:s,s:o,s:o,s:o,s:o}", "name",
                                        room_subject_name(&k->room, j->subject), "ec_ms_cm",
                                        out_number(j->ec_ms_cm), "earliest", out_day(j->earliest),
                                        "due", out_day(j->due), "latest", out_day(j->latest)));
    }
    return list;
}

static json_t *list_other_days(const struct live_room *k, const struct task *t, int64_t now_s)
{
    struct plan_amounts is;
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    size_t n = plan_costs_other_days(&k->room, &k->state, now_s, &k->agenda, t, &is, other);
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++) {
        json_t *o = out_difference(&is, &other[i].sum);

        json_object_set_new(o, "on", out_day(other[i].day));
        json_object_set_new(o, "dearer", out_number(other[i].dearer));
        json_array_append_new(list, o);
    }
    return list;
}

static int show_task(struct call *c, int64_t id, struct err *e)
{
    struct server *s = c->s;
    int32_t today = zone_day(&s->live.room.zone, server_now_s(s));
    const struct task *t;

    server_plan(s);
    t = agenda_find(&s->live.agenda, id);
    if (!t) {
        return err_field(e, ERR_UNKNOWN, "what", "there is no open task %lld", (long long)id);
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

    if (num_parse_int(what, 1, INT64_MAX, &id, NULL) == 0) {
        return show_task(c, id, e);
    }
    rc = room_lookup(&c->s->live.room, what, &subject, e);
    if (rc < 0) {
        (void)snprintf(e->field, sizeof e->field, "what");
        return rc;
    }
    server_plan(c->s);
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
    (void)snprintf(job->of, sizeof job->of, "%s", what);
    journal_thread_submit(&c->s->journal, job);
    return 0;
}
