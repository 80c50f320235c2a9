/* conn.h - clients on the socket: lines in, lines out, within limits. */
#ifndef TARN_SERVE_NET_CONN_H
#define TARN_SERVE_NET_CONN_H

#include "daemon/base/text.h"

#include <stdbool.h>
#include <stdint.h>
#include <uv.h>

#define CONN_MAX         64
#define CONN_MAX_PER_UID 32
#define CONN_LINES_MAX   32
#define CONN_OUT_STOP    (256 * 1024) /* no request is looked at while this much waits to go out */
#define CONN_LINE_MS     30000        /* from a line's first byte to its last */
#define CONN_STALL_MS    30000        /* a client that takes no byte for so long is let go */

struct err;
struct server;

struct line {
    char *text;
    size_t len;
    struct line *next;
};

struct conn {
    uv_pipe_t pipe;
    uv_timer_t line_timer, stall_timer;
    struct server *server;
    struct conn *prev, *next;
    uint32_t uid;
    char who[33];
    struct text in;            /* the line being read */
    bool in_too_long;          /* it is over the limit: the client is told and let go */
    struct line *first, *last; /* lines not looked at yet */
    unsigned n_lines;
    bool busy;    /* its last request waits for the journal's thread … */
    char key[64]; /* … and had this key; "" = none */
    bool closing;
    bool no_more; /* the client has sent all it wants to */
    bool reading;
    bool tried;         /* its next line had the full disk tried anew already */
    size_t held_len;    /* bytes of answers that are held for the journal */
    size_t stalled_len; /* queued when the stall timer was set, and since: less means progress */
    unsigned n_owed;    /* answers held for the journal, or being sent */
    unsigned n_refs;    /* who has a pointer to it; its handles count as one until closed */
    unsigned n_handles; /* not closed yet */
};

struct conns {
    uv_pipe_t listener;
    struct conn *first;
    unsigned n;
    char read_buf[16384]; /* one read is taken in before the next is made */
    char path[108];       /* "" = handed over by the system's manager: not ours to remove */
};

/* Binds and listens (0660 from its birth), or takes over the descriptor that LISTEN_FDS hands. */
int conns_listen(struct server *s, const char *path, struct err *e);
void conns_close(struct server *s);

/* Takes the line, sends it, frees it; the answer is owed no more then. A client that is gone is no
 * error. */
void conn_send(struct conn *c, char *line);
void conn_close(struct conn *c);

/* The next line that may be looked at: NULL when there is none, or too much waits to go out. */
struct line *conn_take_line(struct conn *c);
void conn_put_back(struct conn *c, struct line *line);

void conn_ref(struct conn *c);
void conn_unref(struct conn *c);

/* After its answer: the next line may be looked at; ends it when nothing more can come. */
void conn_rest(struct conn *c);

#endif
