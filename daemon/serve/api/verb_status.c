/* The room as it is, and what there is to do and to record. Nothing here changes the room. */
#include "daemon/base/wire.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/pace.h"
#include "daemon/core/tell/room_example.h"
#include "daemon/core/units/when.h"
#include "daemon/core/words/entry_kind.h"
#include "daemon/serve/api/day_list.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/upkeep.h"
#include "daemon/serve/api/verbs.h"

#include <stdio.h>

json_t *answer_hello(struct call *c, struct err *e)
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
        json_array_append_new(list, json_pack("{s:s,s:s,s:b}", "key", notices.notice[i].key, "text",
                                              notices.notice[i].text, "alarm",
                                              (int)notices.notice[i].alarm));
    }
    notices_deinit(&notices);
    return list;
}

static json_t *list_alarms(const struct live_room *live, int64_t now_s)
{
    json_t *list = json_array();
    struct alarms alarms;

    alarms_derive(&live->room, &live->state, now_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        json_array_append_new(list, json_pack("{s:s,s:s,s:o,s:o,s:s,s:s,s:b}", "kind",
                                              alarm_words[a->kind], "subject",
                                              room_subject_name(&live->room, a->subject), "since",
                                              out_instant(&live->room, a->since_s), "sure_pct",
                                              out_number(a->sure_pct), "says", a->says, "look",
                                              a->look, "seen", (int)a->seen));
    }
    alarms_deinit(&alarms);
    return list;
}

/* The kinds of work of which somebody told how long they took. */
static json_t *list_paces(const struct live_room *live)
{
    struct room worked = pace_room(&live->room, &live->state);
    json_t *list = json_array();

    for (int k = 0; k < TASK_KIND_N; k++) {
        const struct learned *pace = &live->state.pace[k];
        int told = (int)(pace->n_used + pace->n_aside);

        if (told > 0) {
            json_array_append_new(
                list,
                json_pack("{s:s,s:o,s:o,s:i}", "of", task_words[k], "minutes",
                          out_number(pace_job_min(&worked.labour, (enum task_kind)k)), "file_min",
                          out_number(pace_job_min(&live->room.labour, (enum task_kind)k)), "told",
                          told));
        }
    }
    return list;
}

json_t *answer_status(struct call *c, struct err *e)
{
    struct server *s = c->s;
    const struct live_room *live = &s->live;
    int64_t now_s = server_now_s(s);
    json_t *containers = json_array();
    json_t *meters = json_array();
    json_t *o = json_object();

    (void)e;
    for (size_t i = 0; i < live->room.n_containers; i++) {
        json_array_append_new(containers, out_container(live, i, now_s));
    }
    for (size_t i = 0; i < live->room.n_meters; i++) {
        json_array_append_new(meters, out_meter(live, i, now_s));
    }
    json_object_set_new(o, "now", out_instant(&live->room, now_s));
    json_object_set_new(o, "simulated", json_boolean(s->clock.simulated));
    json_object_set_new(o, "room", json_string(live->room.name));
    json_object_set_new(o, "units", out_units(&live->room.units));
    json_object_set_new(o, "reservoir", out_reservoir(live, now_s));
    json_object_set_new(o, "containers", containers);
    json_object_set_new(o, "meters", meters);
    json_object_set_new(o, "paces", list_paces(live));
    json_object_set_new(o, "notices", list_notices(s));
    json_object_set_new(o, "alarms", list_alarms(live, now_s));
    json_object_set_new(o, "room_file_fault", out_word(s->reload.fault));
    json_object_set_new(o, "entries", json_integer(live->next_seq - 1));
    json_object_set_new(o, "skipped", json_integer(live->state.n_skipped));
    return o;
}

/* The first day after this one that has tasks of its own, and how much it is. */
static json_t *next_work(const struct live_room *live, int32_t after)
{
    int32_t on = INT32_MAX;
    double minutes = 0;
    int n = 0;

    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];

        if (t->on > after && t->on < on) {
            on = t->on;
            minutes = 0;
            n = 0;
        }
        if (t->on == on) {
            minutes += t->minutes;
            n++;
        }
    }
    return n ? json_pack("{s:o,s:i,s:o}", "date", out_day(on), "tasks", n, "minutes",
                         out_number(minutes))
             : json_null();
}

json_t *answer_today(struct call *c, struct err *e)
{
    struct server *s = c->s;
    json_t *o;
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
    o = day_list(&s->live, server_now_s(s), day, rpc_bool(&c->req, "full"));
    json_object_set_new(o, "off", json_boolean(room_is_off(&s->live.room, day)));
    json_object_set_new(o, "next", next_work(&s->live, day));
    json_object_set_new(o, "notices", list_notices(s));
    json_object_set_new(o, "room_file_fault", out_word(s->reload.fault));
    json_object_set_new(o, "reservoir", out_reservoir(&s->live, server_now_s(s)));
    return o;
}

json_t *answer_stock(struct call *c, struct err *e)
{
    const struct live_room *live = &c->s->live;
    json_t *list = json_array();

    (void)e;
    for (size_t i = 0; i < live->room.n_products; i++) {
        json_array_append_new(list, out_product(live, i));
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

json_t *answer_kinds(struct call *c, struct err *e)
{
    static const char *const whats[] = {
        [WHAT_NONE] = "",        [WHAT_CROP] = "crop",       [WHAT_RECIPE] = "recipe",
        [WHAT_STAGE] = "stage",  [WHAT_OBSERVATION] = "saw", [WHAT_CARE] = "what",
        [WHAT_YES_NO] = "float", [WHAT_PART_FINAL] = "what", [WHAT_JOB] = "what",
        [WHAT_METER] = "meter",  [WHAT_CONTAINER] = "to",    [WHAT_SAME_OTHER] = "strength",
    };
    json_t *list = json_array();
    struct text help = {0};

    (void)e;
    for (int i = 0; i < ENTRY_KIND_N; i++) {
        const struct entry_def *d = &entry_kinds[i];

        if (d->recordable) {
            text_clear(&help);
            room_example(&c->s->live.room, d->help, &help);
            json_array_append_new(
                list, json_pack("{s:s,s:s,s:o,s:o,s:o,s:s}", "word", d->word, "says", d->says,
                                "what", out_word(whats[d->what]), "figures",
                                figure_words(d->needs | d->needs_one | d->takes), "needs",
                                figure_words(d->needs), "help", text_str(&help)));
        }
    }
    text_deinit(&help);
    return json_pack("{s:o}", "kinds", list);
}
