#include "daemon/serve/net/conn.h"

#include "daemon/base/mem.h"
#include "daemon/base/wire.h"
#include "daemon/serve/net/peer.h"
#include "daemon/serve/net/rpc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Chosen by us, no source: a person has one or two clients at once, a script that
 * follows the room a few. 32 lines and a quarter of a megabyte let a script send
 * ahead of the answers; 30 s is longer than any program takes that is not stuck.
 * An answer may have a few megabytes, and the unit lets the daemon have 256. */
const struct conn_limits conn_usual_limits = {
    .clients = 64,
    .clients_of_uid = 32,
    .lines = 32,
    .out_len = 256 * 1024,
    .all_out_len = 32 * 1024 * 1024,
    .idle_ms = 1000,
    .line_ms = 30000,
    .stall_ms = 30000,
};

void line_free(struct line *line)
{
    free(line->text);
    free(line);
}

static void free_lines(struct conn *c)
{
    struct line *line;

    while ((line = c->first)) {
        c->first = line->next;
        line_free(line);
    }
}

void conn_ref(struct conn *c)
{
    c->n_refs++;
}

void conn_unref(struct conn *c)
{
    if (--c->n_refs == 0) {
        free_lines(c);
        text_deinit(&c->in);
        free(c);
    }
}

static void on_handle_closed(uv_handle_t *handle)
{
    struct conn *c = handle->data;

    if (--c->n_handles == 0) {
        conn_unref(c);
    }
}

static void unlink_conn(struct conn *c)
{
    struct conns *all = c->all;

    if (c->prev) {
        c->prev->next = c->next;
    } else {
        all->first = c->next;
    }
    if (c->next) {
        c->next->prev = c->prev;
    } else {
        all->last = c->prev;
    }
    all->n--;
}

static void link_conn(struct conn *c)
{
    struct conns *all = c->all;

    c->prev = all->last;
    c->next = NULL;
    if (c->prev) {
        c->prev->next = c;
    } else {
        all->first = c;
    }
    all->last = c;
    all->n++;
}

void conn_to_back(struct conn *c)
{
    if (!c->closing) {
        unlink_conn(c);
        link_conn(c);
    }
}

void conn_close(struct conn *c)
{
    if (c->closing) {
        return;
    }
    c->closing = true;
    unlink_conn(c);
    uv_close((uv_handle_t *)&c->pipe, on_handle_closed);
    uv_close((uv_handle_t *)&c->line_timer, on_handle_closed);
    uv_close((uv_handle_t *)&c->stall_timer, on_handle_closed);
}

static size_t queued_len(const struct conn *c)
{
    return uv_stream_get_write_queue_size((const uv_stream_t *)&c->pipe);
}

static size_t owed_len(const struct conn *c)
{
    return queued_len(c) + c->held_len;
}

static bool is_behind(const struct conn *c)
{
    return owed_len(c) > c->all->limits.out_len;
}

/* Clients that never read would have the daemon keep an answer for each: who owes most goes. */
static void bound_all(struct conns *all)
{
    for (;;) {
        struct conn *most = all->first;
        size_t sum = 0;

        for (struct conn *c = all->first; c; c = c->next) {
            sum += owed_len(c);
            most = owed_len(c) > owed_len(most) ? c : most;
        }
        if (sum <= all->limits.all_out_len) {
            return;
        }
        conn_close(most);
    }
}

struct line *conn_take_line(struct conn *c)
{
    struct line *line = c->closing || c->busy || is_behind(c) ? NULL : c->first;

    if (line) {
        c->first = line->next;
        c->last = c->first ? c->last : NULL;
        c->n_lines--;
    }
    return line;
}

void conn_put_back(struct conn *c, struct line *line)
{
    line->next = c->first;
    c->first = line;
    c->last = c->last ? c->last : line;
    c->n_lines++;
}

struct sending {
    uv_write_t req;
    struct conn *conn;
    char *text;
};

static void on_stall(uv_timer_t *timer)
{
    struct conn *c = timer->data;
    size_t len = queued_len(c);

    if (len >= c->stalled_len) {
        conn_close(c);
        return;
    }
    c->stalled_len = len;
    (void)uv_timer_start(timer, on_stall, c->all->limits.stall_ms, 0);
}

/* `added` bytes were handed over to be sent. */
static void watch_stall(struct conn *c, size_t added)
{
    if (queued_len(c) == 0) {
        (void)uv_timer_stop(&c->stall_timer);
    } else if (uv_is_active((uv_handle_t *)&c->stall_timer)) {
        c->stalled_len += added;
    } else {
        c->stalled_len = queued_len(c);
        (void)uv_timer_start(&c->stall_timer, on_stall, c->all->limits.stall_ms, 0);
    }
}

static void on_sent(uv_write_t *req, int status)
{
    struct sending *w = (struct sending *)req;
    struct conn *c = w->conn;

    c->n_owed--;
    if (status < 0) {
        conn_close(c);
    } else if (!c->closing) {
        (void)uv_timer_stop(&c->stall_timer);
        watch_stall(c, 0);
        c->all->on_lines(c->all->owner);
        conn_resume(c);
    }
    free(w->text);
    free(w);
    conn_unref(c);
}

void conn_send(struct conn *c, char *line)
{
    struct sending *w;
    uv_buf_t buf;

    if (c->closing) {
        c->n_owed--;
        free(line);
        return;
    }
    w = mem_array(1, sizeof *w);
    w->conn = c;
    w->text = line;
    buf = uv_buf_init(line, (unsigned)strlen(line));
    if (uv_write(&w->req, (uv_stream_t *)&c->pipe, &buf, 1, on_sent) < 0) {
        c->n_owed--;
        free(line);
        free(w);
        conn_close(c);
        return;
    }
    conn_ref(c);
    watch_stall(c, buf.len);
    bound_all(c->all);
}

/* An error that belongs to no request, after which the client is let go. */
static void send_last(struct conn *c, int wire_code, const char *message)
{
    struct err e;

    (void)err_set(&e, wire_code, "%s", message);
    c->no_more = true;
    c->all->on_reply(c->all->owner, c, rpc_error(NULL, wire_code, &e));
}

static void start_reading(struct conn *c);

void conn_resume(struct conn *c)
{
    if (c->closing) {
        return;
    }
    if (c->no_more && !c->first && !c->busy && c->n_owed == 0) {
        conn_close(c);
        return;
    }
    if (!c->no_more && c->n_lines < c->all->limits.lines && !is_behind(c)) {
        start_reading(c);
    }
}

static void add_line(struct conn *c)
{
    struct line *line = mem_array(1, sizeof *line);

    line->len = c->in.len;
    line->text = text_take(&c->in);
    if (c->last) {
        c->last->next = line;
    } else {
        c->first = line;
    }
    c->last = line;
    c->n_lines++;
    c->said_ms = uv_now(c->all->loop);
}

/* Cuts what was read into lines. The rest of an over-long line is not kept. */
static void take_bytes(struct conn *c, const char *p, size_t len)
{
    while (len > 0) {
        const char *end = memchr(p, '\n', len);
        size_t n = end ? (size_t)(end - p) : len;

        if (c->in.len + n + 1 > WIRE_LINE_MAX) {
            c->in_too_long = true;
            return;
        }
        text_add_bytes(&c->in, p, n);
        if (end) {
            add_line(c);
            (void)uv_timer_stop(&c->line_timer); /* the next one has its own time */
            n++;
        }
        p += n;
        len -= n;
    }
}

static void stop_reading(struct conn *c)
{
    (void)uv_read_stop((uv_stream_t *)&c->pipe);
    c->reading = false;
}

static void on_line_timeout(uv_timer_t *timer)
{
    struct conn *c = timer->data;

    stop_reading(c);
    send_last(c, WIRE_REQUEST, "the line was not finished in 30 s");
}

static void time_the_line(struct conn *c)
{
    if (c->in.len == 0) {
        (void)uv_timer_stop(&c->line_timer);
    } else if (!uv_is_active((uv_handle_t *)&c->line_timer)) {
        (void)uv_timer_start(&c->line_timer, on_line_timeout, c->all->limits.line_ms, 0);
    }
}

static void on_alloc(uv_handle_t *handle, size_t suggested, uv_buf_t *buf)
{
    struct conn *c = handle->data;
    struct conns *all = c->all;

    (void)suggested;
    *buf = uv_buf_init(all->read_buf, sizeof all->read_buf);
}

static void on_end(struct conn *c)
{
    stop_reading(c);
    (void)uv_timer_stop(&c->line_timer);
    if (c->in.len) { /* a last line may do without its newline */
        add_line(c);
    }
    c->no_more = true;
    c->all->on_lines(c->all->owner);
    conn_resume(c);
}

static void on_read(uv_stream_t *stream, ssize_t n, const uv_buf_t *buf)
{
    struct conn *c = stream->data;

    if (n == 0) {
        return;
    }
    conn_ref(c);
    if (n == UV_EOF) {
        on_end(c);
    } else if (n < 0) {
        conn_close(c);
    } else {
        take_bytes(c, buf->base, (size_t)n);
        time_the_line(c);
        if (c->n_lines >= c->all->limits.lines || is_behind(c) || c->in_too_long) {
            stop_reading(c);
        }
        c->all->on_lines(c->all->owner);
        if (c->in_too_long && !c->no_more) {
            (void)uv_timer_stop(&c->line_timer);
            send_last(c, WIRE_REQUEST, "the line is longer than 65536 bytes");
        }
    }
    conn_unref(c);
}

static void start_reading(struct conn *c)
{
    if (!c->reading && !c->in_too_long && !c->closing) {
        c->reading = uv_read_start((uv_stream_t *)&c->pipe, on_alloc, on_read) == 0;
    }
}

static unsigned count_of_uid(const struct conns *all, uint32_t uid)
{
    unsigned n = 0;

    for (const struct conn *c = all->first; c; c = c->next) {
        n += c->uid == uid;
    }
    return n;
}

static struct conn *conn_new(struct conns *all)
{
    struct conn *c = mem_array(1, sizeof *c);

    c->all = all;
    c->n_refs = 1;
    c->n_handles = 3;
    (void)uv_pipe_init(all->loop, &c->pipe, 0); /* cannot fail: it only fills the struct in */
    (void)uv_timer_init(all->loop, &c->line_timer);
    (void)uv_timer_init(all->loop, &c->stall_timer);
    c->pipe.data = c;
    c->line_timer.data = c;
    c->stall_timer.data = c;
    c->said_ms = uv_now(all->loop);
    link_conn(c);
    return c;
}

void conns_init(struct conns *all, uv_loop_t *loop, void *owner, void (*on_lines)(void *owner),
                void (*on_reply)(void *owner, struct conn *c, char *reply))
{
    *all = (struct conns){.loop = loop,
                          .limits = conn_usual_limits,
                          .owner = owner,
                          .on_lines = on_lines,
                          .on_reply = on_reply};
}

/* Lets the client go that said nothing for longest, of that user or (any) of all, if that is long
 * enough and nothing is owed to it. */
static void make_place(struct conns *all, const struct conn *wants, bool of_any)
{
    struct conn *idle = NULL;

    for (struct conn *c = all->first; c; c = c->next) {
        bool may_go = c != wants && !c->busy && !c->first && c->n_owed == 0 &&
                      uv_now(all->loop) - c->said_ms >= all->limits.idle_ms;

        if (may_go && (of_any || c->uid == wants->uid) && (!idle || c->said_ms < idle->said_ms)) {
            idle = c;
        }
    }
    if (idle) {
        conn_close(idle);
    }
}

void conns_accept(struct conns *all, uv_stream_t *listener)
{
    struct conn *c = conn_new(all);

    if (uv_accept(listener, (uv_stream_t *)&c->pipe) < 0) {
        conn_close(c);
        return;
    }
    peer_of(&c->pipe, &c->uid, c->who);
    if (count_of_uid(all, c->uid) > all->limits.clients_of_uid) {
        make_place(all, c, false);
    }
    if (all->n > all->limits.clients) {
        make_place(all, c, true);
    }
    if (all->turned_away) {
        send_last(c, WIRE_BUSY, all->turned_away);
    } else if (all->n > all->limits.clients ||
               count_of_uid(all, c->uid) > all->limits.clients_of_uid) {
        send_last(c, WIRE_BUSY, "too many clients; try again");
    } else {
        start_reading(c);
    }
}

void conns_close(struct conns *all)
{
    for (struct conn *c = all->first; c;) {
        struct conn *next = c->next;

        conn_close(c);
        c = next;
    }
}
