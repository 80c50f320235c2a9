#include "daemon/serve/live/server.h"

#include "config/read/fault_print.h"
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/wire.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/units/when.h"
#include "daemon/serve/api/methods.h"
#include "daemon/serve/api/upkeep.h"
#include "daemon/serve/net/rpc.h"
#include "daemon/serve/net/sd.h"
#include "daemon/store/journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define QUIET_MS 1000

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
        r->conn->held_len -= strlen(r->line);
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
    c->held_len += strlen(line);
    if (s->held_last) {
        s->held_last->next = r;
    } else {
        s->held_first = r;
    }
    s->held_last = r;
    release_held(s);
}

/* All who wait get the error instead of what they would have been told. */
static void drop_held(struct server *s, const struct err *e)
{
    s->n_lost++;
    s->lost = *e;
    for (struct held_reply *r = s->held_first; r; r = r->next) {
        r->conn->held_len -= strlen(r->line);
        free(r->line);
        r->line = rpc_error(r->id, WIRE_STORE, e);
        r->conn->held_len += strlen(r->line);
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

/* ---- folding */

static void fail(struct server *s, int rc, const struct err *e)
{
    if (s->exit_rc == 0) {
        s->exit_rc = rc;
        s->err = *e;
    }
    server_stop(s);
}

static void on_folded(struct journal_job *job);

static void start_fold(struct server *s, enum journal_job_kind kind)
{
    struct journal_job *job;

    if (!s->journal_runs) {
        return;
    }
    job = journal_job_new(kind, on_folded, s);
    job->room = s->new_room ? s->new_room : &s->live.room;
    s->folding = true;
    s->submitted++;
    journal_thread_submit(&s->journal, job);
}

static void take_fold(struct server *s, struct journal_job *job)
{
    if (job->kind == JOURNAL_JOB_RESTORE) {
        live_room_restored(&s->live, job->state, job->agenda, job->seq, job->day_started);
        if (s->retrying) {
            s->full = job->probed_err;
            s->full.code = job->probed;
        }
        s->retrying = false;
    } else {
        live_room_refolded(&s->live, job->state, s->new_room);
        s->notify.argv_waiting = s->live.room.notify;
        free(s->new_room);
        s->new_room = NULL;
        reload_done(s);
    }
    if (s->restore_wanted) {
        s->restore_wanted = false;
        start_fold(s, JOURNAL_JOB_RESTORE);
    } else {
        upkeep_run(s);
    }
}

static void on_folded(struct journal_job *job)
{
    struct server *s = job->owner;

    s->committed++;
    s->folding = false;
    if (job->rc < 0) {
        drop_held(s, &job->err);
        fail(s, job->rc, &job->err);
    } else {
        take_fold(s, job);
    }
    journal_job_free(job);
    release_held(s);
    server_pump(s);
}

void server_refold(struct server *s, struct room *new_room)
{
    s->new_room = new_room;
    start_fold(s, JOURNAL_JOB_REFOLD);
}

void server_retry(struct server *s)
{
    s->retrying = true;
    start_fold(s, JOURNAL_JOB_RESTORE);
}

/* ---- writing */

/* Nothing of it is in the journal, and nothing that came behind it will be. */
static void meet_full_disk(struct server *s, const struct err *e)
{
    if (s->full.code == 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e->msg);
    }
    s->full = *e;
    drop_held(s, e);
    if (s->folding) {
        s->restore_wanted = true;
    } else {
        start_fold(s, JOURNAL_JOB_RESTORE);
    }
}

static void on_checkpointed(struct journal_job *job)
{
    if (job->rc < 0) { /* what is in the log stays there, and is as safe */
        (void)fprintf(stderr, "tarnd: %s\n", job->err.msg);
    }
    journal_job_free(job);
}

/* What was told may move the next instant at which something is due; and the log is kept short. */
static void on_quiet(uv_timer_t *timer)
{
    struct server *s = timer->loop->data;

    upkeep_run(s);
    if (s->journal_runs && s->submitted == s->committed && !s->full.code) {
        journal_thread_submit(&s->journal,
                              journal_job_new(JOURNAL_JOB_CHECKPOINT, on_checkpointed, s));
    }
}

static void on_written(struct journal_job *job)
{
    struct server *s = job->owner;

    s->committed++;
    if (job->rc == ERR_FULL) {
        meet_full_disk(s, &job->err);
    } else if (job->rc < 0) {
        drop_held(s, &job->err);
        fail(s, job->rc, &job->err);
    } else if (!s->stopping && !uv_is_active((uv_handle_t *)&s->quiet)) {
        (void)uv_timer_start(&s->quiet, on_quiet, QUIET_MS, 0);
    }
    journal_job_free(job);
    release_held(s);
    server_pump(s);
}

void server_submit(struct server *s, struct unwritten *b)
{
    struct journal_job *job;

    if (!s->journal_runs || s->full.code) {
        unwritten_deinit(b);
        return;
    }
    if (!unwritten_is_empty(b)) {
        job = journal_job_new(JOURNAL_JOB_WRITE, on_written, s);
        job->room = &s->live.room;
        job->batch = *b;
        unwritten_init(b);
        s->submitted++;
        journal_thread_submit(&s->journal, job);
    }
    if (s->live.stale && !s->folding) {
        start_fold(s, JOURNAL_JOB_REFOLD);
    }
}

void server_plan(struct server *s)
{
    struct unwritten b;

    unwritten_init(&b);
    live_room_plan(&s->live, server_now_s(s), &b);
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
    while (more && !s->stopping && !s->folding) {
        more = false;
        for (struct conn *c = s->conns.first; c && !s->folding && !s->stopping;) {
            struct conn *next = c->next;
            struct line *line = c->busy ? NULL : conn_take_line(c);

            if (line) {
                more = true;
                conn_ref(c);
                if (methods_call(s, c, line->text, line->len)) {
                    free(line->text);
                    free(line);
                } else {
                    conn_put_back(c, line);
                }
                conn_rest(c);
                conn_unref(c);
            }
            c = next;
        }
    }
    s->pumping = false;
}

/* ---- start and stop */

static void on_sighup(uv_signal_t *signal, int number)
{
    (void)number;
    reload_now(signal->loop->data);
}

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

/* Runs when the loop has nothing else to do: the journal's thread ends after what waits was written.
 */
static void finish(uv_handle_t *handle)
{
    struct server *s = handle->loop->data;

    if (s->journal_runs) {
        journal_thread_submit(&s->journal,
                              journal_job_new(JOURNAL_JOB_CHECKPOINT, on_checkpointed, s));
        s->journal_runs = false;
        journal_thread_stop(&s->journal);
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
    notify_stop(&s->notify);
    close_handle(&s->sigterm);
    close_handle(&s->sigint);
    close_handle(&s->sighup);
    close_handle(&s->watchdog);
    reload_stop(s);
    uv_close((uv_handle_t *)&s->quiet, finish);
}

static void on_wake(void *owner)
{
    upkeep_run(owner);
}

static int start_handles(struct server *s, struct err *e)
{
    uint64_t watchdog_ms = sd_watchdog_ms();
    int rc = uv_signal_init(&s->loop, &s->sigterm);

    rc = rc < 0 ? rc : uv_signal_init(&s->loop, &s->sigint);
    rc = rc < 0 ? rc : uv_signal_init(&s->loop, &s->sighup);
    rc = rc < 0 ? rc : uv_timer_init(&s->loop, &s->quiet);
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
    return reload_start(s, e);
}

static int start_clock(struct server *s, int64_t latest_told_s, struct err *e)
{
    int64_t at_s = 0;
    int rc;

    if (!s->options.simulate) {
        return clock_start_real(&s->clock, &s->loop, on_wake, s, e);
    }
    rc = when_parse(s->options.simulate, &s->live.room.zone, 0, &at_s, e);
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

    fold_entry(f->state, f->room, e);
    return true;
}

/* Reads the room file, printing every fault. */
static int read_room(const struct server_options *o, struct room *out, struct err *e)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    int rc = room_read(o->room_path, o->crops_dir, out, faults);

    if (rc < 0) {
        fault_print(faults, stderr);
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
    if (rc == 0 && journal_probe(journal, &s->full) != ERR_FULL) {
        s->full.code = 0;
    }
    if (rc < 0) {
        state_deinit(&state);
        room_deinit(&room);
        journal_close(journal);
        return rc;
    }
    live_room_init(&s->live, room, state, agenda, journal_last_seq(journal),
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
        rc = journal_thread_start(&s->journal, &s->loop, journal, e);
    }
    if (rc < 0) {
        journal_close(journal);
        return rc;
    }
    s->journal_runs = true;
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
    notify_init(&s->notify, &s->loop);
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
    live_room_deinit(&s->live);
    if (s->new_room) {
        room_deinit(s->new_room);
        free(s->new_room);
    }
    free(s);
    return rc;
}
