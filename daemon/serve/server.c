#include "daemon/serve/server.h"

#include "config/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/wire.h"
#include "daemon/core/day.h"
#include "daemon/core/forecast.h"
#include "daemon/core/when.h"
#include "daemon/serve/json_out.h"
#include "daemon/serve/methods.h"
#include "daemon/serve/rpc.h"
#include "daemon/serve/sd.h"
#include "daemon/store/journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RELOAD_SOON_MS 300
#define BACK_STRANGE_S 60 /* smaller steps of the clock are its being kept right */

int64_t server_now_s(const struct server *s)
{
    return clock_now_s(&s->clock);
}

/* ---- replies, held until the journal has what they tell of */

static void release_held(struct server *s)
{
    while (s->held_first && s->held_first->after <= s->committed) {
        struct held_reply *r = s->held_first;

        s->held_first = r->next;
        s->held_last = r->next ? s->held_last : NULL;
        conn_send(r->conn, r->line);
        conn_unref(r->conn);
        json_decref(r->id);
        free(r);
    }
}

/* NOLINTNEXTLINE(readability-non-const-parameter): the line is taken, and freed when it was sent */
void server_reply(struct server *s, struct conn *c, const json_t *id, char *line)
{
    struct held_reply *r = mem_array(1, sizeof *r);

    *r = (struct held_reply){
        .conn = c, .id = id ? json_deep_copy(id) : NULL, .line = line, .after = s->submitted};
    conn_ref(c);
    c->n_owed++;
    if (s->held_last) {
        s->held_last->next = r;
    } else {
        s->held_first = r;
    }
    s->held_last = r;
    release_held(s);
}

static void drop_held(struct server *s, const struct err *e)
{
    for (struct held_reply *r = s->held_first; r; r = r->next) {
        free(r->line);
        r->line = rpc_error(r->id, WIRE_STORE, e);
        r->after = s->committed;
    }
    release_held(s);
}

void server_answer(struct server *s, struct conn *c, const json_t *id, json_t *result)
{
    server_reply(s, c, id, rpc_result(id, result));
}

void server_refuse(struct server *s, struct conn *c, const json_t *id, const struct err *e)
{
    server_reply(s, c, id, rpc_error(id, rpc_wire_code(e->code), e));
}

/* ---- writing */

static void fail(struct server *s, int rc, const struct err *e)
{
    if (s->exit_rc == 0) {
        s->exit_rc = rc;
        s->err = *e;
    }
    server_stop(s);
}

static void on_written(struct clerk_job *job)
{
    struct server *s = job->owner;

    s->committed++;
    if (job->rc < 0) {
        drop_held(s, &job->err);
        fail(s, job->rc, &job->err);
    }
    clerk_job_free(job);
    release_held(s);
    server_pump(s);
}

static void wake_when_due(struct server *s);

static void on_refolded(struct clerk_job *job)
{
    struct server *s = job->owner;

    s->committed++;
    s->refolding = false;
    if (job->rc < 0) {
        drop_held(s, &job->err);
        fail(s, job->rc, &job->err);
    } else {
        keeper_refolded(&s->keeper, job->state, s->new_room);
        s->hook.argv_waiting = s->keeper.room.notify;
        free(s->new_room);
        s->new_room = NULL;
        server_plan(s);
        wake_when_due(s);
    }
    clerk_job_free(job);
    release_held(s);
    server_pump(s);
}

static void refold(struct server *s)
{
    struct clerk_job *job = clerk_job_new(CLERK_REFOLD, on_refolded, s);

    job->room = s->new_room ? s->new_room : &s->keeper.room;
    s->refolding = true;
    s->submitted++;
    clerk_submit(&s->clerk, job);
}

void server_submit(struct server *s, struct batch *b)
{
    struct clerk_job *job;

    if (!s->clerk_runs) {
        batch_deinit(b);
        return;
    }
    if (!batch_is_empty(b)) {
        job = clerk_job_new(CLERK_WRITE, on_written, s);
        job->room = &s->keeper.room;
        job->batch = *b;
        batch_init(b);
        s->submitted++;
        clerk_submit(&s->clerk, job);
    }
    if (s->keeper.stale && !s->refolding) {
        refold(s);
    }
}

void server_plan(struct server *s)
{
    struct batch b;

    batch_init(&b);
    keeper_plan(&s->keeper, server_now_s(s), &b);
    server_submit(s, &b);
}

/* ---- requests */

void server_pump(struct server *s)
{
    bool more =
        !s->pumping; /* an answer given at once asks for the next: the loop below sees to it */

    if (!more) {
        return;
    }
    s->pumping = true;
    while (more && !s->stopping && !s->refolding) {
        more = false;
        for (struct conn *c = s->conns.first; c && !s->refolding && !s->stopping;) {
            struct conn *next = c->next;
            struct line *line = c->busy ? NULL : conn_take_line(c);

            if (line) {
                more = true;
                conn_ref(c);
                methods_call(s, c, line->text, line->len);
                conn_rest(c);
                conn_unref(c);
                free(line->text);
                free(line);
            }
            c = next;
        }
    }
    s->pumping = false;
}

/* ---- notices, the day's start, and being woken */

void server_notices(struct server *s, struct notices *out)
{
    struct notice *n;

    notices_derive(&s->keeper.room, &s->keeper.state, &s->keeper.agenda, server_now_s(s), out);
    if (*s->hook.fault) {
        out->notice = mem_grow(out->notice, &out->cap, out->n + 1, sizeof *out->notice);
        n = &out->notice[out->n++];
        (void)snprintf(n->key, sizeof n->key, "notify");
        (void)snprintf(n->text, sizeof n->text, "%s", s->hook.fault);
    }
    if (s->clock_back_s) {
        out->notice = mem_grow(out->notice, &out->cap, out->n + 1, sizeof *out->notice);
        n = &out->notice[out->n++];
        (void)snprintf(n->key, sizeof n->key, "clock-back");
        (void)snprintf(n->text, sizeof n->text,
                       "the clock is %lld min behind what was told last; set it right",
                       (long long)s->clock_back_s / 60);
    }
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

/* Tells the hook of what is new. Returns whether there was anything. */
static void look_at_notices(struct server *s)
{
    struct notices now;
    json_t *fresh = json_array();

    server_notices(s, &now);
    for (size_t i = 0; i < now.n; i++) {
        if (!has_notice(&s->notices, now.notice[i].key)) {
            json_array_append_new(fresh, json_pack("{s:s,s:s}", "key", now.notice[i].key, "text",
                                                   now.notice[i].text));
        }
    }
    notices_deinit(&s->notices);
    s->notices = now;
    if (json_array_size(fresh) && s->keeper.room.notify) {
        json_t *told = json_pack("{s:s,s:O}", "event", "notices", "notices", fresh);

        hook_run(&s->hook, s->keeper.room.notify, json_dumps(told, JSON_COMPACT));
        json_decref(told);
    }
    json_decref(fresh);
}

static void tell_the_day(struct server *s, int32_t day)
{
    json_t *list;

    if (!s->keeper.room.notify) {
        return;
    }
    list = methods_today(s, day, false);
    json_object_set_new(list, "event", json_string("day"));
    hook_run(&s->hook, s->keeper.room.notify,
             json_dumps(list, JSON_COMPACT | JSON_REAL_PRECISION(15)));
    json_decref(list);
}

/* What is due at this instant: the day's list, once a day, however the clock got here. */
static void do_what_is_due(struct server *s)
{
    int64_t now_s = server_now_s(s);
    const struct room *room = &s->keeper.room;
    int32_t today = zone_day(&room->zone, now_s);
    int64_t latest_s = s->keeper.state.latest_s;
    struct batch b;

    if (s->refolding || s->stopping) {
        return;
    }
    s->clock_back_s = latest_s - now_s > BACK_STRANGE_S ? latest_s - now_s : 0;
    batch_init(&b);
    keeper_plan(&s->keeper, now_s, &b);
    if (today > s->keeper.day_started &&
        now_s >= zone_instant_s(&room->zone, today, room->day_start_s)) {
        keeper_start_day(&s->keeper, today, &b);
        server_submit(s, &b);
        tell_the_day(s, today);
    } else {
        server_submit(s, &b);
    }
    look_at_notices(s);
}

static int64_t next_due_s(const struct server *s)
{
    const struct room *room = &s->keeper.room;
    int64_t now_s = server_now_s(s);
    int32_t today = zone_day(&room->zone, now_s);
    int64_t start_s = zone_instant_s(&room->zone, today, room->day_start_s);
    int64_t notice_s = notices_next_s(room, &s->keeper.state, now_s);

    if (start_s <= now_s || today <= s->keeper.day_started) {
        start_s = zone_instant_s(&room->zone, today + 1, room->day_start_s);
    }
    return start_s < notice_s ? start_s : notice_s;
}

static void wake_when_due(struct server *s)
{
    struct err e;

    if (!s->stopping && clock_wake_at(&s->clock, next_due_s(s), &e) < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e.msg);
    }
}

static void on_wake(void *owner)
{
    struct server *s = owner;

    do_what_is_due(s);
    wake_when_due(s);
}

void server_advance(struct server *s, int64_t to_s)
{
    int64_t next_s;

    while (!s->stopping && (next_s = next_due_s(s)) <= to_s) {
        s->clock.simulated_s = next_s > s->clock.simulated_s ? next_s : s->clock.simulated_s + 1;
        do_what_is_due(s);
    }
    s->clock.simulated_s = to_s;
    do_what_is_due(s);
}

/* ---- the room file anew */

static void on_reload_soon(uv_timer_t *timer)
{
    server_reload(timer->loop->data);
}

static void reload_soon(struct server *s)
{
    (void)uv_timer_start(&s->reload_soon, on_reload_soon, RELOAD_SOON_MS, 0);
}

void server_reload(struct server *s)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    struct room *room = mem_array(1, sizeof *room);

    if (s->refolding || s->stopping) { /* it is read once the fold is through */
        reload_soon(s);
        free(room);
        free(faults);
        return;
    }
    sd_notify_reloading();
    if (room_read(s->options.room_path, s->options.crops_dir, room, faults) < 0) {
        (void)snprintf(s->room_fault, sizeof s->room_fault, "%s:%u:%u: %.250s%s",
                       faults->fault[0].file, faults->fault[0].line, faults->fault[0].column,
                       faults->fault[0].msg, faults->n > 1 ? "; and more" : "");
        (void)fprintf(stderr, "tarnd: the room file is faulty, the old one stays: %s\n",
                      s->room_fault);
        free(room);
    } else {
        s->room_fault[0] = '\0';
        s->new_room = room;
        refold(s);
    }
    free(faults);
    sd_notify("READY=1");
}

static void on_room_changed(uv_fs_event_t *watch, const char *name, int events, int status)
{
    struct server *s = watch->loop->data;
    const char *base = strrchr(s->options.room_path, '/');

    (void)events;
    base = base ? base + 1 : s->options.room_path;
    if (status == 0 && name && strcmp(name, base) == 0) {
        reload_soon(s);
    }
}

static void on_sighup(uv_signal_t *signal, int number)
{
    (void)number;
    server_reload(signal->loop->data);
}

/* ---- start and stop */

static void on_stop_signal(uv_signal_t *signal, int number)
{
    (void)number;
    server_stop(signal->loop->data);
}

static void on_watchdog(uv_timer_t *timer)
{
    (void)timer;
    sd_notify("WATCHDOG=1");
}

static void on_last_written(struct clerk_job *job)
{
    clerk_job_free(job);
}

/* Runs when the loop has nothing else to do: the clerk's thread ends after what waits was written.
 */
static void finish(uv_handle_t *handle)
{
    struct server *s = handle->loop->data;

    if (s->clerk_runs) {
        clerk_submit(&s->clerk, clerk_job_new(CLERK_SETTLE, on_last_written, s));
        s->clerk_runs = false;
        clerk_stop(&s->clerk);
    }
    conns_close(s);
}

static void close_handle(void *handle)
{
    uv_handle_t *h = handle;

    if (h->loop && !uv_is_closing(h)) {
        uv_close(h, NULL);
    }
}

void server_stop(struct server *s)
{
    if (s->stopping) {
        return;
    }
    s->stopping = true;
    sd_notify("STOPPING=1");
    clock_stop(&s->clock);
    hook_stop(&s->hook);
    close_handle(&s->sigterm);
    close_handle(&s->sigint);
    close_handle(&s->sighup);
    close_handle(&s->room_watch);
    close_handle(&s->watchdog);
    uv_close((uv_handle_t *)&s->reload_soon, finish);
}

static int start_handles(struct server *s, struct err *e)
{
    char dir[4096];
    char *slash;
    uint64_t watchdog_ms = sd_watchdog_ms();
    int rc = uv_signal_init(&s->loop, &s->sigterm);

    rc = rc < 0 ? rc : uv_signal_init(&s->loop, &s->sigint);
    rc = rc < 0 ? rc : uv_signal_init(&s->loop, &s->sighup);
    rc = rc < 0 ? rc : uv_fs_event_init(&s->loop, &s->room_watch);
    rc = rc < 0 ? rc : uv_timer_init(&s->loop, &s->reload_soon);
    rc = rc < 0 ? rc : uv_timer_init(&s->loop, &s->watchdog);
    rc = rc < 0 ? rc : uv_signal_start(&s->sigterm, on_stop_signal, SIGTERM);
    rc = rc < 0 ? rc : uv_signal_start(&s->sigint, on_stop_signal, SIGINT);
    rc = rc < 0 ? rc : uv_signal_start(&s->sighup, on_sighup, SIGHUP);
    if (rc < 0) {
        return err_set(e, rc, "cannot start: %s", uv_strerror(rc));
    }
    if (watchdog_ms) {
        (void)uv_timer_start(&s->watchdog, on_watchdog, watchdog_ms, watchdog_ms);
    }
    (void)snprintf(dir, sizeof dir, "%s", s->options.room_path);
    slash = strrchr(dir, '/');
    if (slash) {
        *slash = '\0';
    }
    /* The folder, not the file: editors put a new file in its place. Without a watch SIGHUP still
     * serves. */
    (void)uv_fs_event_start(&s->room_watch, on_room_changed, slash ? (*dir ? dir : "/") : ".", 0);
    return 0;
}

static int start_clock(struct server *s, int64_t latest_told_s, struct err *e)
{
    int64_t at_s = 0;
    int rc;

    if (!s->options.simulate) {
        return clock_start_real(&s->clock, &s->loop, on_wake, s, e);
    }
    rc = when_parse(s->options.simulate, &s->keeper.room.zone, 0, &at_s, e);
    if (rc < 0) {
        return err_prefix(e, "--simulate: ");
    }
    clock_start_simulated(&s->clock, at_s > latest_told_s ? at_s : latest_told_s);
    return 0;
}

struct folding {
    struct state *state;
    const struct room *room;
};

static bool fold_one(void *ctx, const struct entry *e)
{
    struct folding *f = ctx;

    state_apply(f->state, f->room, e);
    return true;
}

/* Reads the room file, printing every fault. */
static int read_room(const struct server_options *o, struct room *out, struct err *e)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    int rc = room_read(o->room_path, o->crops_dir, out, faults);

    for (size_t i = 0; i < faults->n && rc < 0; i++) {
        struct text line = {0};

        room_fault_format(&faults->fault[i], NULL, 0, &line);
        (void)fputs(text_str(&line), stderr);
        text_deinit(&line);
    }
    free(faults);
    return rc < 0 ? err_set(e, ERR_CONFIG, "the room file %.200s is faulty", o->room_path) : 0;
}

/* The room as the file and the journal have it. */
static int load(struct server *s, struct journal **out_journal, struct err *e)
{
    struct room room = {0};
    struct state state;
    struct agenda agenda = {0};
    struct journal *journal = NULL;
    struct folding f = {&state, &room};
    int rc = read_room(&s->options, &room, e);

    if (rc < 0) {
        return rc;
    }
    rc = journal_open(s->options.state_dir, &journal, e);
    if (rc < 0) {
        room_deinit(&room);
        return rc;
    }
    state_init(&state, &room);
    rc = journal_fold(journal, fold_one, &f, e);
    if (rc == 0) {
        rc = journal_load_agenda(journal, &room, &agenda, e);
    }
    if (rc < 0) {
        state_deinit(&state);
        room_deinit(&room);
        journal_close(journal);
        return rc;
    }
    keeper_init(&s->keeper, room, state, agenda, journal_last_seq(journal),
                journal_day_started(journal));
    *out_journal = journal;
    return 0;
}

static int start(struct server *s, struct journal *journal, struct err *e)
{
    int rc = start_clock(s, journal_latest_told_s(journal), e);

    if (rc == 0) {
        rc = start_handles(s, e);
    }
    if (rc == 0) {
        rc = conns_listen(s, s->options.socket_path, e);
    }
    if (rc == 0) {
        rc = clerk_start(&s->clerk, &s->loop, journal, e);
    }
    if (rc < 0) {
        journal_close(journal);
        return rc;
    }
    s->clerk_runs = true;
    do_what_is_due(s);
    wake_when_due(s);
    sd_notify("READY=1");
    return 0;
}

static void close_leftover(uv_handle_t *handle, void *arg)
{
    (void)arg;
    if (!uv_is_closing(handle)) {
        uv_close(handle, NULL);
    }
}

int server_run(const struct server_options *options, struct err *e)
{
    struct server *s = mem_array(1, sizeof *s);
    struct journal *journal = NULL;
    int rc;

    s->options = *options;
    rc = uv_loop_init(&s->loop);
    if (rc < 0) {
        free(s);
        return err_set(e, rc, "cannot make a loop: %s", uv_strerror(rc));
    }
    s->loop.data = s;
    hook_init(&s->hook, &s->loop);
    rc = load(s, &journal, e);
    if (rc == 0) {
        rc = start(s, journal, e);
        if (rc < 0) {
            uv_walk(&s->loop, close_leftover, NULL);
        }
    }
    (void)uv_run(&s->loop, UV_RUN_DEFAULT);
    if (rc == 0 && s->exit_rc < 0) {
        rc = s->exit_rc;
        *e = s->err;
    }
    if (uv_loop_close(&s->loop) != 0) {
        (void)fputs("tarnd: a handle was left open\n", stderr);
        abort();
    }
    notices_deinit(&s->notices);
    keeper_deinit(&s->keeper);
    if (s->new_room) {
        room_deinit(s->new_room);
        free(s->new_room);
    }
    free(s);
    return rc;
}
