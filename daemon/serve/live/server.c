#include "daemon/serve/live/server.h"

#include "daemon/core/tell/strength_changed.h"
#include "daemon/core/units/day.h"
#include "daemon/serve/live/room_accepted.h"
#include "daemon/serve/net/rpc.h"
#include "daemon/serve/net/sd.h"
#include "daemon/store/backup.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

/* Chosen by us: a morning's acknowledgements come faster than this, and a log that is
 * moved into the file each second stays short. */
#define QUIET_MS 1000

/* Chosen by us: a person notices no wait of less than a tenth of a second. */
#define SLICE_MS 50

int64_t server_now_s(const struct server *s)
{
    return clock_now_s(&s->clock);
}

/* ---- replies */

void server_reply(struct server *s, struct conn *c, const json_t *id, char *line)
{
    held_replies_add(&s->held, c, id, line);
}

void server_answer(struct server *s, struct conn *c, const json_t *id, json_t *result)
{
    server_reply(s, c, id, rpc_result(id, result));
}

void server_refuse(struct server *s, struct conn *c, const json_t *id, const struct err *e)
{
    server_reply(s, c, id, rpc_error(id, rpc_wire_code(e->code), e));
}

/* What was submitted came to nothing: all who wait are told so. */
static void lose(struct server *s, const struct err *e)
{
    s->n_lost++;
    s->lost = *e;
    held_replies_fail(&s->held, e);
}

/* Nobody knows what the journal has: it is read again by the daemon that is started next. */
static void fail(struct server *s, const struct err *e)
{
    lose(s, e);
    if (s->exit_err.code == 0) {
        s->exit_err = *e;
    }
    server_stop(s);
}

/* ---- folding */

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
    s->held.n_submitted++;
    journal_thread_submit(&s->journal, job);
}

static void use_new_room(struct server *s)
{
    if (s->new_room) {
        free(s->new_room); /* its parts are the live room's now */
        s->new_room = NULL;
        s->notify.argv_waiting = s->live.room.notify;
        sd_notify("READY=1"); /* ends the reload of the room file */
    }
}

/* The room file was read anew: what was learned of bottles that hold something else now. */
static void use_refolded(struct server *s, struct journal_job *job)
{
    struct entries changed = {0};
    struct unwritten b;
    int64_t first;

    if (s->new_room) {
        strength_changed(&s->live.room, s->new_room, &s->live.room, &s->live.state, server_now_s(s),
                         (uint32_t)geteuid(), &changed);
    }
    live_room_refolded(&s->live, job->restored.state, s->new_room);
    use_new_room(s);
    if (changed.n) {
        unwritten_init(&b);
        live_room_tell(&s->live, &changed, &b, &first);
        server_submit(s, &b);
    }
    entries_deinit(&changed);
}

static void take_fold(struct server *s, struct journal_job *job)
{
    if (job->kind == JOURNAL_JOB_RESTORE) {
        live_room_restored(&s->live, &job->restored);
        if (s->retrying) {
            s->full = job->restored.full;
        }
        if (s->backup.code && s->live.day_started != DAY_NONE) { /* it may have met the full disk */
            server_back_up_day(s, s->live.day_started);
        }
        s->retrying = false;
    } else {
        use_refolded(s, job);
    }
    if (s->restore_wanted) {
        s->restore_wanted = false;
        start_fold(s, JOURNAL_JOB_RESTORE);
    } else {
        s->hooks.on_due(s);
    }
}

static void on_folded(struct journal_job *job)
{
    struct server *s = job->owner;

    s->held.n_done++;
    s->folding = false;
    if (job->rc < 0) {
        fail(s, &job->err);
    } else {
        take_fold(s, job);
    }
    journal_job_free(job);
    held_replies_release(&s->held);
    server_look_at_requests(s);
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
    lose(s, e);
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

static void checkpoint(struct server *s)
{
    journal_thread_submit(&s->journal, journal_job_new(JOURNAL_JOB_CHECKPOINT, on_checkpointed, s));
}

static void on_snapped(struct journal_job *job)
{
    struct server *s = job->owner;

    s->snapping = false;
    if (job->rc < 0) {
        (void)fprintf(stderr, "tarnd: no snapshot was kept: %s\n", job->err.msg);
    }
    journal_job_free(job);
}

/* Where so much was told since the last that a start would take long without. */
static void keep_snapshot(struct server *s)
{
    int64_t last = s->live.next_seq - 1;
    struct journal_job *job;

    if (!s->snapping && !s->folding && last - s->snapped >= refold_apart(&s->live.room)) {
        job = journal_job_new(JOURNAL_JOB_SNAPSHOT, on_snapped, s);
        job->room = &s->live.room; /* a new one comes by a fold, which ends the job first */
        s->snapping = true;
        s->snapped = last;
        journal_thread_submit(&s->journal, job);
    }
}

/* What was told may move the next instant at which something is due; and the log is kept short. */
static void on_quiet(uv_timer_t *timer)
{
    struct server *s = timer->data;

    s->hooks.on_due(s);
    if (s->journal_runs && s->held.n_submitted == s->held.n_done && !s->full.code) {
        checkpoint(s);
    }
    if (s->journal_runs && !s->full.code) {
        keep_snapshot(s);
    }
}

static void on_written(struct journal_job *job)
{
    struct server *s = job->owner;

    s->held.n_done++;
    if (job->rc == ERR_FULL) {
        meet_full_disk(s, &job->err);
    } else if (job->rc < 0) {
        fail(s, &job->err);
    } else if (!s->stopping && !uv_is_active((uv_handle_t *)&s->quiet)) {
        (void)uv_timer_start(&s->quiet, on_quiet, QUIET_MS, 0);
    }
    if (job->rc == 0 && s->keeps_room_file) {
        s->keeps_room_file = false;
        server_keep_room_file(s, s->reload.room_path);
    }
    journal_job_free(job);
    held_replies_release(&s->held);
    server_look_at_requests(s);
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
        s->held.n_submitted++;
        journal_thread_submit(&s->journal, job);
    }
    if (s->live.stale && !s->folding) {
        start_fold(s, JOURNAL_JOB_REFOLD);
    }
}

/* ---- copies */

static void on_backed_up(struct journal_job *job)
{
    struct server *s = job->owner;

    s->backing_up = false;
    s->backup = job->err;
    s->backup.code = job->rc;
    if (job->rc < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", job->err.msg);
    }
    journal_job_free(job);
}

void server_back_up_day(struct server *s, int32_t day)
{
    const struct backups *b = &s->live.room.backup;
    struct journal_job *job;

    if (b->keep < 1 || s->backing_up || !s->journal_runs || s->full.code) {
        return;
    }
    job = journal_job_new(JOURNAL_JOB_BACKUP, on_backed_up, s);
    (void)day_format(job->day, day);
    (void)snprintf(job->in, sizeof job->in, "%s", b->folder);
    job->keep = (int)b->keep;
    s->backing_up = true;
    journal_thread_submit(&s->journal, job);
}

void server_name_backup(struct server *s, struct journal_job *job)
{
    char *folder = journal_backup_folder(s->journal.journal);
    const char *in = *s->live.room.backup.folder ? s->live.room.backup.folder : folder;
    struct text path = {0};

    text_add(&path, "%s/asked-%lld-%lld.db", in, (long long)server_now_s(s),
             (long long)s->live.next_seq - 1);
    (void)mkdir(in, 0700);
    free(folder);
    job->path = text_take(&path);
}

/* ---- requests */

static bool may_look(const struct server *s)
{
    return !s->folding && !s->stopping;
}

/* The client's next request, if one may be looked at. */
static bool look_at_request(struct server *s, struct conn *c)
{
    struct line *line = conn_take_line(c);

    if (!line) {
        return false;
    }
    conn_ref(c);
    conn_to_back(c);
    if (s->hooks.on_line(s, c, line->text, line->len)) {
        line_free(line);
    } else {
        conn_put_back(c, line);
    }
    conn_resume(c);
    conn_unref(c);
    return true;
}

/* Of the client that had no turn for longest. */
static bool look_at_next(struct server *s)
{
    for (struct conn *c = s->conns.first; c; c = c->next) {
        bool waits = s->planning && c->plan_due > s->n_plans;

        if (!waits && look_at_request(s, c)) {
            return true;
        }
    }
    return false;
}

static void on_again(uv_timer_t *timer)
{
    server_look_at_requests(timer->data);
}

/* One of each client in turn, so that nobody who sends many at once holds up the others; and no
 * longer than a slice of time, so that all of them together hold up neither who comes new nor the
 * watchdog. */
void server_look_at_requests(struct server *s)
{
    uint64_t end_ns = uv_hrtime() + SLICE_MS * 1000000ULL;
    bool more = true;

    s->hooks.on_turn(s);
    if (s->looking) { /* an answer given at once asks for the next: the loop below sees to it */
        return;
    }
    s->looking = true;
    while (more && may_look(s) && uv_hrtime() < end_ns) {
        more = look_at_next(s);
    }
    s->looking = false;
    if (more && may_look(s)) {
        (void)uv_timer_start(&s->again, on_again, 0, 0);
    }
}

/* ---- start and end */

static void on_lines(void *owner)
{
    server_look_at_requests(owner);
}

static void on_reply(void *owner, struct conn *c, char *reply)
{
    server_reply(owner, c, NULL, reply);
}

void server_init(struct server *s, const struct server_hooks *hooks)
{
    s->hooks = *hooks;
    s->thinned_s = INT64_MIN;
    conns_init(&s->conns, &s->loop, s, on_lines, on_reply);
    notify_init(&s->notify, &s->loop);
    (void)uv_timer_init(&s->loop, &s->quiet); /* cannot fail: it only fills the struct in */
    (void)uv_timer_init(&s->loop, &s->again);
    s->quiet.data = s;
    s->again.data = s;
}

/* What is supposed or planned on a thread goes by the room as it is. */
static bool may_reload(void *owner)
{
    const struct server *s = owner;

    return may_look(s) && !s->supposing && !s->planning;
}

void server_keep_room_file(struct server *s, const char *room_path)
{
    struct err e;

    s->old_room[0] = '\0';
    if (room_accepted_keep(room_path, s->state_dir, &e) < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e.msg);
    }
}

static void on_room(void *owner, struct room *room)
{
    struct server *s = owner;

    server_keep_room_file(s, s->reload.room_path);
    s->new_room = room;
    start_fold(s, JOURNAL_JOB_REFOLD);
}

int server_watch_room_file(struct server *s, const char *room_path, const char *crops_dir,
                           struct err *e)
{
    s->reload = (struct room_reload){.room_path = room_path,
                                     .crops_dir = crops_dir,
                                     .owner = s,
                                     .may_reload = may_reload,
                                     .on_room = on_room};
    return room_reload_start(&s->reload, &s->loop, e);
}

/* It is served on: what is wrong with one entry is no reason to leave the plants alone. */
static void on_damage(struct journal_thread *t)
{
    struct server *s = t->owner;

    s->damage = t->damage;
    (void)fprintf(stderr, "tarnd: %s\n", s->damage.msg);
    s->hooks.on_due(s);
}

int server_start(struct server *s, struct journal *journal, struct err *e)
{
    int rc = journal_thread_start(&s->journal, &s->loop, journal, on_damage, s, e);

    s->journal_runs = rc == 0;
    return rc;
}

/* Runs when the loop has nothing else to do: the journal's thread ends after what
 * waits was written.
 */
static void finish(uv_handle_t *handle)
{
    struct server *s = handle->data;

    s->hooks.on_turn(s);
    if (s->journal_runs) {
        checkpoint(s);
        s->journal_runs = false;
        journal_thread_stop(&s->journal);
    }
    listener_stop(&s->listener);
    conns_close(&s->conns);
}

void server_stop(struct server *s)
{
    if (s->stopping) {
        return;
    }
    s->stopping = true;
    s->conns.turned_away = "tarnd is ending";
    sd_notify("STOPPING=1");
    clock_stop(&s->clock);
    notify_stop(&s->notify);
    room_reload_stop(&s->reload);
    s->hooks.on_stop(s);
    uv_close((uv_handle_t *)&s->again, NULL);
    uv_close((uv_handle_t *)&s->quiet, finish);
}

void server_deinit(struct server *s)
{
    notices_deinit(&s->notices);
    live_room_deinit(&s->live);
    if (s->new_room) {
        room_deinit(s->new_room);
        free(s->new_room);
    }
}
