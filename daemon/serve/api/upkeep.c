#include "daemon/serve/api/upkeep.h"

#include "daemon/core/units/day.h"
#include "daemon/serve/api/day_list.h"
#include "daemon/serve/live/due.h"
#include "daemon/serve/live/planning.h"
#include "daemon/serve/live/server.h"
#include "daemon/serve/live/thin_day.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DAY_S 86400

static void add_notice(struct notices *all, const char *key, const char *text)
{
    struct notice *n = notices_more(all);

    (void)snprintf(n->key, sizeof n->key, "%s", key);
    (void)snprintf(n->text, sizeof n->text, "%s", text);
}

static void add_clock_notice(const struct server *s, struct notices *out)
{
    const struct live_room *live = &s->live;
    int64_t back_s = due_back_s(&live->room, &live->state, live->day_started, server_now_s(s));
    char text[200];
    char day[DAY_TEXT_MAX];

    if (back_s >= DAY_S) { /* a person may have told by a clock that was wrong */
        (void)day_format(day, zone_day(&live->room.zone, server_now_s(s) + back_s));
        (void)snprintf(text, sizeof text,
                       "the clock is behind what was told last, which is of %s; set it right, or "
                       "if it is, take back what was told while it was wrong (tarn log, tarn void)",
                       day);
        add_notice(out, "clock-back", text);
    } else if (back_s) {
        (void)snprintf(text, sizeof text,
                       "the clock is %lld min behind what was told last; set it right",
                       (long long)back_s / 60);
        add_notice(out, "clock-back", text);
    }
}

void upkeep_notices(const struct server *s, struct notices *out)
{
    const struct live_room *live = &s->live;

    notices_derive(&live->room, &live->state, &live->agenda, server_now_s(s), out);
    if (*s->notify.fault) {
        add_notice(out, "notify", s->notify.fault);
    }
    if (s->full.code) {
        add_notice(out, "disk-full", "the disk is full: nothing can be told until there is room");
    }
    if (*s->old_room) {
        add_notice(out, "room-file", s->old_room);
    }
    if (*s->left_off && server_now_s(s) < s->left_off_until_s) {
        add_notice(out, "left-off", s->left_off);
    }
    if (s->backup.code) {
        add_notice(out, "backup", s->backup.msg);
    }
    if (s->damage.code) {
        add_notice(out, "journal-damaged", s->damage.msg);
    }
    add_clock_notice(s, out);
}

static bool has_notice(const struct notices *all, const char *key)
{
    for (size_t i = 0; i < all->n; i++) {
        if (strcmp(all->notice[i].key, key) == 0) {
            return true;
        }
    }
    return false;
}

/* Tells the notify command of what is new since the last look. */
static void look_at_notices(struct server *s)
{
    struct notices now;
    json_t *fresh = json_array();

    upkeep_notices(s, &now);
    for (size_t i = 0; i < now.n; i++) {
        if (!has_notice(&s->notices, now.notice[i].key)) {
            json_array_append_new(fresh, json_pack("{s:s,s:s}", "key", now.notice[i].key, "text",
                                                   now.notice[i].text));
        }
    }
    notices_deinit(&s->notices);
    s->notices = now;
    if (json_array_size(fresh) && s->live.room.notify) {
        json_t *told = json_pack("{s:s,s:O}", "event", "notices", "notices", fresh);

        notify_run(&s->notify, s->live.room.notify, json_dumps(told, JSON_COMPACT));
        json_decref(told);
    }
    json_decref(fresh);
}

static void tell_the_day(struct server *s, int32_t day)
{
    json_t *list;

    if (!s->live.room.notify) {
        return;
    }
    list = day_list(&s->live, server_now_s(s), day, false);
    json_object_set_new(list, "event", json_string("day"));
    notify_run(&s->notify, s->live.room.notify,
               json_dumps(list, JSON_COMPACT | JSON_REAL_PRECISION(15)));
    json_decref(list);
}

/* The plan is made. */
static void do_what_is_due(struct server *s)
{
    struct live_room *live = &s->live;
    int64_t now_s = server_now_s(s);
    int32_t day;
    int32_t started = due_started(&live->room, &live->state, live->day_started, now_s);
    bool starts = due_day(&live->room, started, now_s, &day);
    struct unwritten b;

    if (starts) {
        unwritten_init(&b);
        live_room_start_day(live, day, &b);
        server_submit(s, &b);
        server_back_up_day(s, day);
        thin_day(s);
        tell_the_day(s, day);
    }
    look_at_notices(s);
}

static int64_t next_s(const struct server *s)
{
    const struct live_room *live = &s->live;

    return due_next_s(&live->room, &live->state, server_now_s(s));
}

/* A simulated clock stands still after its first list: what is told is planned with when somebody
 * asks, so that the same requests give the same list, however fast they come. */
static bool is_planned(struct server *s)
{
    return (s->clock.simulated && s->n_plans) || planning_is_done(s, &s->due_plan);
}

void upkeep_run(struct server *s)
{
    struct err e;

    if (s->folding || s->stopping) {
        return;
    }
    if (is_planned(s)) {
        do_what_is_due(s);
    }
    if (clock_wake_at(&s->clock, next_s(s), &e) < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e.msg);
    }
}

void upkeep_until(struct server *s, int64_t to_s)
{
    int64_t at_s;

    while ((at_s = next_s(s)) <= to_s) {
        s->clock.simulated_s = at_s;
        planning_do_now(s);
        do_what_is_due(s);
    }
    s->clock.simulated_s = to_s;
    planning_do_now(s);
    do_what_is_due(s);
}
