#include "daemon/serve/serve.h"

#include "config/read/fault_print.h"
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/core/units/when.h"
#include "daemon/serve/api/methods.h"
#include "daemon/serve/api/upkeep.h"
#include "daemon/serve/live/planning.h"
#include "daemon/serve/live/room_accepted.h"
#include "daemon/serve/live/room_compared.h"
#include "daemon/serve/live/server.h"
#include "daemon/serve/net/rpc.h"
#include "daemon/serve/net/sd.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <uv.h>

#define DAY_S 86400

/* The server with what only the process as a whole has. */
struct process {
    struct server server; /* first: a hook gets a pointer to it and means all of this */
    uv_signal_t sigterm, sigint, sighup;
    uv_timer_t watchdog;
};

static void on_sighup(uv_signal_t *signal, int number)
{
    struct server *s = signal->data;

    (void)number;
    room_reload_now(&s->reload);
}

static void on_stop_signal(uv_signal_t *signal, int number)
{
    (void)number;
    server_stop(signal->data);
}

/* Chosen by us: no fold of what a room tells in thirty years takes so long, and no disk that will
 * ever answer. */
#define STUCK_NS (300 * 1000000000ULL)

/* The loop turns, and the journal is not stuck: that is what the manager asks. */
static void on_watchdog(uv_timer_t *timer)
{
    const struct server *s = timer->data;

    if (journal_thread_busy_ns(&s->journal) < STUCK_NS) {
        sd_notify("WATCHDOG=1");
    } else {
        (void)fputs("tarnd: the disk under the journal does not answer\n", stderr);
    }
}

static void on_wake(void *owner)
{
    upkeep_run(owner);
}

/* What else keeps the loop running. */
static void on_stop(struct server *s)
{
    struct process *p = (struct process *)s;
    uv_handle_t *all[] = {(uv_handle_t *)&p->sigterm, (uv_handle_t *)&p->sigint,
                          (uv_handle_t *)&p->sighup, (uv_handle_t *)&p->watchdog};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        uv_close(all[i], NULL);
    }
}

static const struct server_hooks hooks = {
    .on_line = methods_call,
    .on_due = upkeep_run,
    .on_turn = planning_look_at_waits,
    .on_stop = on_stop,
};

static int start_signal(struct process *p, uv_signal_t *handle, uv_signal_cb on_signal, int number)
{
    int rc = uv_signal_init(&p->server.loop, handle);

    handle->data = &p->server;
    return rc < 0 ? rc : uv_signal_start(handle, on_signal, number);
}

static int start_handles(struct process *p, struct err *e)
{
    uint64_t watchdog_ms = sd_watchdog_ms();
    int rc = start_signal(p, &p->sigterm, on_stop_signal, SIGTERM);

    rc = rc < 0 ? rc : start_signal(p, &p->sigint, on_stop_signal, SIGINT);
    rc = rc < 0 ? rc : start_signal(p, &p->sighup, on_sighup, SIGHUP);
    rc = rc < 0 ? rc : uv_timer_init(&p->server.loop, &p->watchdog);
    if (rc < 0) {
        return err_set(e, rc, "cannot start: %s", uv_strerror(rc));
    }
    p->watchdog.data = &p->server;
    if (watchdog_ms) {
        (void)uv_timer_start(&p->watchdog, on_watchdog, watchdog_ms, watchdog_ms);
    }
    return 0;
}

/* A simulated clock never begins before what was told, nor before the last list was made: the
 * journal goes on. */
static int start_clock(struct server *s, const char *simulate, const struct journal *j,
                       struct err *e)
{
    const struct room *room = &s->live.room;
    int32_t day = journal_day_started(j);
    int64_t list_s =
        day == DAY_NONE ? INT64_MIN : zone_instant_s(&room->zone, day, room->day_start_s);
    int64_t least_s = journal_latest_told_s(j) > list_s ? journal_latest_told_s(j) : list_s;
    int64_t at_s = 0;
    int rc;

    if (!simulate) {
        return clock_start_real(&s->clock, &s->loop, on_wake, s, e);
    }
    rc = when_parse(simulate, &s->live.room.zone, 0, &at_s, e);
    if (rc < 0) {
        return err_prefix(e, "--simulate: ");
    }
    clock_start_simulated(&s->clock, at_s > least_s ? at_s : least_s);
    return 0;
}

/* The room file that was accepted last, where there is one: the room goes on to be looked after. */
static int read_old_room(struct server *s, const struct serve_options *o,
                         const struct room_faults *faults, struct room *out)
{
    const struct err *first = &faults->fault[0];
    struct room_faults *own = mem_array(1, sizeof *own);
    char *path = room_accepted_path(o->state_dir);
    int rc = room_read(path, o->crops_dir, out, own);

    if (rc == 0) {
        (void)snprintf(s->old_room, sizeof s->old_room,
                       "the room file is faulty, and the one that was accepted last is in use "
                       "(%.100s:%u:%u: %.180s)",
                       first->file, first->line, first->column, first->msg);
        (void)fprintf(stderr, "tarnd: %s\n", s->old_room);
    }
    free(path);
    free(own);
    return rc;
}

/* Reads the room file, printing every fault. */
static int read_room(struct server *s, const struct serve_options *o, struct room *out,
                     struct err *e)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    int rc = room_read(o->room_path, o->crops_dir, out, faults);

    if (rc < 0) {
        fault_print(faults, stderr);
        rc = read_old_room(s, o, faults, out);
    }
    free(faults);
    return rc < 0 ? err_set(e, ERR_CONFIG, "the room file %.200s is faulty", o->room_path) : 0;
}

static void look_where_it_left_off(struct server *s, const struct journal *j)
{
    long long first = (long long)journal_last_seq(j) + 1;
    long long last = (long long)journal_left_off(j);

    if (last) {
        (void)snprintf(
            s->left_off, sizeof s->left_off,
            "tarnd ended while entry %lld%s was on its way to the disk, and it is not "
            "there; nobody was told that it is kept, but look in 'tarn log' whether what "
            "you told last is",
            first, last > first ? " and more" : "");
        (void)fprintf(stderr, "tarnd: %s\n", s->left_off);
    }
}

/* The room as the file and the journal have it. */
static int load(struct server *s, const struct serve_options *o, struct journal **out_journal,
                struct err *e)
{
    struct room room = {0};
    struct restored restored;
    int rc = read_room(s, o, &room, e);

    if (rc < 0) {
        return rc;
    }
    rc = journal_open(o->state_dir, out_journal, e);
    if (rc == 0) {
        look_where_it_left_off(s, *out_journal);
        if (journal_was_sealed_now(*out_journal)) {
            (void)fputs("tarnd: the journal comes from an older tarn: its entries are chained from "
                        "now on, so that it shows when one changes or is lost\n",
                        stderr);
        }
        rc = journal_claim(*out_journal, room.name, o->simulate != NULL, e);
        rc = rc < 0 ? rc : restore_all(*out_journal, &room, &restored, e);
        if (rc < 0) {
            journal_close(*out_journal);
        }
    }
    if (rc < 0) {
        room_deinit(&room);
        return rc;
    }
    live_room_init(&s->live, room, &restored);
    s->full = restored.full;
    s->state_dir = o->state_dir;
    return 0;
}

/* The room file may have been changed while tarnd did not run. Where the copy of the last one
 * cannot be read there is nothing to compare. */
static void compare_rooms(struct server *s, const struct serve_options *o)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    char *path = room_accepted_path(o->state_dir);
    struct room before = {0};

    if (room_read(path, o->crops_dir, &before, faults) == 0) {
        room_compared_tell(s, &before);
        room_deinit(&before);
    } else {
        server_keep_room_file(s, o->room_path);
    }
    free(path);
    free(faults);
}

/* Takes the journal. The socket comes late: who connects is served. */
static int start(struct process *p, const struct serve_options *o, struct journal *journal,
                 struct err *e)
{
    struct server *s = &p->server;
    int rc = start_clock(s, o->simulate, journal, e);

    if (rc == 0) {
        s->left_off_until_s = server_now_s(s) + DAY_S;
        rc = start_handles(p, e);
    }
    if (rc == 0) {
        rc = server_watch_room_file(s, o->room_path, o->crops_dir, e);
    }
    if (rc == 0) {
        (void)snprintf(s->reload.fault, sizeof s->reload.fault, "%s", s->old_room);
        rc = listener_start(&s->listener, &s->conns, o->socket_path, e);
    }
    if (rc == 0) {
        rc = server_start(s, journal, e);
    }
    if (rc < 0) {
        journal_close(journal);
        return rc;
    }
    if (!*s->old_room) {
        compare_rooms(s, o);
    }
    if (s->full.code) {
        (void)fprintf(stderr, "tarnd: %s\n", s->full.msg);
    }
    upkeep_run(s);
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

int serve_run(const struct serve_options *options, struct err *e)
{
    struct process *p = mem_array(1, sizeof *p);
    struct server *s = &p->server;
    struct journal *journal = NULL;
    int rc = uv_loop_init(&s->loop);

    if (rc < 0) {
        free(p);
        return err_set(e, rc, "cannot make a loop: %s", uv_strerror(rc));
    }
    rpc_init();
    server_init(s, &hooks);
    rc = load(s, options, &journal, e);
    if (rc == 0) {
        rc = start(p, options, journal, e);
    }
    if (rc < 0) {
        listener_stop(&s->listener);
        uv_walk(&s->loop, close_leftover, NULL);
    }
    (void)uv_run(&s->loop, UV_RUN_DEFAULT);
    if (rc == 0 && s->exit_err.code < 0) {
        rc = s->exit_err.code;
        *e = s->exit_err;
    }
    if (uv_loop_close(&s->loop) != 0) { /* our own mistake: the loop ended with a handle open */
        (void)fputs("tarnd: a handle was left open\n", stderr);
        abort();
    }
    server_deinit(s);
    free(p);
    return rc;
}
