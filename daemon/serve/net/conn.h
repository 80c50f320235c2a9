/* conn.h - clients on the socket: lines in, lines out, within limits.
 *
 * Knows neither the room nor what a line means: who owns the connections is called
 * when there are lines to look at, and takes them one at a time. A client cannot use
 * up the daemon: what it sends, what it is owed and how long it takes are bounded
 * (struct conn_limits). One thread: the loop's. */
#ifndef TARN_SERVE_NET_CONN_H
#define TARN_SERVE_NET_CONN_H

#include "daemon/base/text.h"
#include "daemon/serve/net/peer.h"

#include <stdbool.h>
#include <stdint.h>
#include <uv.h>

struct conn_limits {
    unsigned clients, clients_of_uid;
    unsigned lines;     /* of one client, not looked at yet: no more is read beyond */
    size_t out_len;     /* bytes that wait to go out: no line is looked at beyond */
    size_t all_out_len; /* of all clients together: who owes most is let go beyond */
    uint64_t idle_ms;   /* who said nothing for so long is let go where another wants the place */
    uint64_t line_ms;   /* from a line's first byte to its last */
    uint64_t stall_ms;  /* a client that takes no byte for so long is let go */
};
extern const struct conn_limits conn_usual_limits;

/* A line that was read, without its newline. */
struct line {
    char *text; /* ends with a zero byte behind len */
    size_t len;
    struct line *next;
};

struct conn {
    uv_pipe_t pipe;
    uv_timer_t line_timer, stall_timer;
    struct conns *all;
    struct conn *prev, *next;
    uint32_t uid;              /* of the process at the other end, as the kernel has it … */
    char who[PEER_NAME_LEN];   /* … and its user's name, or "uid 1234" */
    struct text in;            /* the line being read */
    bool in_too_long;          /* it is over the limit: the client is told and let go */
    struct line *first, *last; /* lines not looked at yet */
    unsigned n_lines;
    bool closing;
    bool no_more; /* the client has sent all it wants to */
    bool reading;
    size_t held_len;    /* bytes of replies that are held for the journal (held_replies.h) */
    size_t stalled_len; /* queued when the stall timer was set, and since: less means progress */
    unsigned n_owed;    /* replies held for the journal, or being sent */
    unsigned n_refs;    /* who has a pointer to it; its handles count as one until closed */
    unsigned n_handles; /* not closed yet */
    uint64_t said_ms;   /* loop time of its last line, or of when it came */

    /* What the owner keeps of its last request. */
    bool busy;         /* not answered yet: no further line is taken … */
    bool tried;        /* its next line had the full disk tried anew already */
    uint64_t plan_due; /* its next line waits for the plan of that number; 0 = for none */
};

/* All of them, and who is called for them. Fill in with conns_init. */
struct conns {
    uv_loop_t *loop;
    struct conn_limits limits;
    struct conn *first, *last; /* who had no turn for longest is first */
    unsigned n;
    const char *turned_away; /* what new clients are told instead of being served; NULL = nothing */
    char read_buf[16384];    /* one read is taken in before the next is made */
    void *owner;
    /* Some client may have a line to look at: conn_take_line. */
    void (*on_lines)(void *owner);
    /* A reply to no request (taken) that has to go to c in its turn, after those it is owed. */
    void (*on_reply)(void *owner, struct conn *c, char *reply);
};

/* Nobody is connected yet. `owner` and what the callbacks need must outlive the connections. */
void conns_init(struct conns *all, uv_loop_t *loop, void *owner, void (*on_lines)(void *owner),
                void (*on_reply)(void *owner, struct conn *c, char *reply));

/* Takes the client that waits on the listener; one too many is told so and let go. */
void conns_accept(struct conns *all, uv_stream_t *listener);

/* Lets every client go. Their handles are closed with the loop's next turns. */
void conns_close(struct conns *all);

/* Takes the line (with its newline, malloc'd), sends it, frees it; the reply is owed no more then.
 * A client that is gone is no error. */
void conn_send(struct conn *c, char *line);

/* Lets the client go; what it sent is not looked at. Twice is as once. */
void conn_close(struct conn *c);

/* The next line that may be looked at, the caller's from now on: NULL when there is none, the last
 * request is not answered yet, or too much waits to go out. */
struct line *conn_take_line(struct conn *c);

/* It had its turn: all others come before it in the list. */
void conn_to_back(struct conn *c);

/* The line (taken) is to come again, before all others. */
void conn_put_back(struct conn *c, struct line *line);
void line_free(struct line *line);

/* A pointer to it is kept beyond this call, or no more; the last one frees a client
 * that is gone. */
void conn_ref(struct conn *c);
void conn_unref(struct conn *c);

/* After a line was taken or a reply went out: reads on where it may, ends it when nothing more can
 * come. */
void conn_resume(struct conn *c);

#endif
