/* a_client.h - for tests: connections on a real loop and a socket in a temporary
 * folder, and clients of them in the same process. Nothing is slept over: the loop
 * turns until what is awaited has come. */
#ifndef TARN_TESTS_A_CLIENT_H
#define TARN_TESTS_A_CLIENT_H

#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/serve/net/conn.h"
#include "daemon/serve/net/listener.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#define AWAIT_MS 60000 /* sanitizers and a busy machine */

/* An owner that answers each line with itself, unless it is told to wait. */
struct house {
    uv_loop_t loop;
    struct conns conns;
    struct listener listener;
    uv_timer_t guard;
    char dir[64], path[108];
    char *line[256]; /* as they were looked at */
    size_t len[256];
    unsigned n;
    bool waits;        /* a request is looked at and not answered … */
    struct conn *asks; /* … of this client, the last */
};

/* Sends the client a line of its own, as the reply to one request more. The text is copied. */
static inline void answer_line(struct conn *c, const char *text)
{
    char *line = mem_array(strlen(text) + 2, 1);

    (void)snprintf(line, strlen(text) + 2, "%s\n", text);
    c->n_owed++;
    conn_send(c, line);
}

/* What the connections call when lines have come: takes one of each client, keeps it in `line`,
 * and answers it with itself, or leaves it unanswered where the house waits. Fails at the 257th
 * line. */
static inline void look_at_lines(void *owner)
{
    struct house *h = owner;

    for (struct conn *c = h->conns.first; c;) {
        struct conn *next = c->next;
        struct line *line = conn_take_line(c);

        if (!line) {
            c = next;
            continue;
        }
        assert_true(h->n < 256);
        h->line[h->n] = mem_strdup(line->text);
        h->len[h->n++] = line->len;
        h->asks = c;
        c->busy = h->waits;
        if (!h->waits) {
            answer_line(c, line->text);
        }
        line_free(line);
        conn_resume(c);
    }
}

/* What the connections call to answer a line that is no request: sends it. Takes the reply. */
static inline void reply_at_once(void *owner, struct conn *c, char *reply)
{
    (void)owner;
    c->n_owed++;
    conn_send(c, reply);
}

/* Opens a loop and a socket in a folder of their own; ended with house_close. Fails the test
 * where the socket cannot be listened at. */
static inline void house_open(struct house *h)
{
    struct err e = {0};

    memset(h, 0, sizeof *h);
    (void)snprintf(h->dir, sizeof h->dir, "/tmp/tarn-conn-XXXXXX");
    assert_non_null(mkdtemp(h->dir));
    (void)snprintf(h->path, sizeof h->path, "%s/sock", h->dir);
    assert_int_equal(uv_loop_init(&h->loop), 0);
    (void)uv_timer_init(&h->loop, &h->guard);
    conns_init(&h->conns, &h->loop, h, look_at_lines, reply_at_once);
    if (listener_start(&h->listener, &h->conns, h->path, &e) < 0) {
        fail_msg("%s", e.msg);
    }
}

/* Every handle closes, and nothing of a client is left: the loop ends by itself. */
static inline void house_close(struct house *h)
{
    uv_close((uv_handle_t *)&h->guard, NULL);
    listener_stop(&h->listener);
    conns_close(&h->conns);
    assert_int_equal(uv_run(&h->loop, UV_RUN_DEFAULT), 0);
    assert_int_equal(uv_loop_close(&h->loop), 0);
    assert_int_equal(h->conns.n, 0);
    for (unsigned i = 0; i < h->n; i++) {
        free(h->line[i]);
    }
    (void)unlink(h->path);
    assert_int_equal(rmdir(h->dir), 0);
}

/* For cmocka: a house that is open for the length of a test. */
static inline int house_set_up(void **ctx)
{
    struct house *h = mem_array(1, sizeof *h);

    house_open(h);
    *ctx = h;
    return 0;
}

/* Closes it: the test's clients have closed theirs. */
static inline int house_tear_down(void **ctx)
{
    house_close(*ctx);
    free(*ctx);
    return 0;
}

#define HOUSE(name) cmocka_unit_test_setup_teardown(name, house_set_up, house_tear_down)

/* A new client of the house: its descriptor, which does not block; the caller closes it. */
static inline int client_connect(const struct house *h)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);

    memcpy(addr.sun_path, h->path, strlen(h->path));
    assert_true(fd >= 0);
    assert_int_equal(connect(fd, (struct sockaddr *)&addr, sizeof addr), 0);
    return fd;
}

/* The guard of await_event: fails the test. */
static inline void on_too_late(uv_timer_t *timer)
{
    (void)timer;
    fail_msg("nothing came");
}

/* One turn of the loop; the test fails where nothing comes. */
static inline void await_event(struct house *h)
{
    (void)uv_timer_start(&h->guard, on_too_late, AWAIT_MS, 0);
    (void)uv_run(&h->loop, UV_RUN_ONCE);
}

#define AWAIT(h, condition)                                                                        \
    while (!(condition)) {                                                                         \
        await_event(h);                                                                            \
    }

/* Of await_client: its poll is closed, which is what it waits for. */
static inline void on_readable(uv_poll_t *poll, int status, int events)
{
    (void)status;
    (void)events;
    uv_close((uv_handle_t *)poll, NULL);
}

/* The loop turns until the client has something to read, or the end. */
static inline void await_client(struct house *h, int fd)
{
    uv_poll_t poll;

    assert_int_equal(uv_poll_init(&h->loop, &poll, fd), 0);
    assert_int_equal(uv_poll_start(&poll, UV_READABLE | UV_DISCONNECT, on_readable), 0);
    AWAIT(h, uv_is_closing((uv_handle_t *)&poll));
    (void)uv_run(&h->loop, UV_RUN_NOWAIT); /* it is closed by now */
}

/* All that can be done without anything new from outside. */
static inline void settle(struct house *h)
{
    for (int i = 0; i < 20; i++) {
        (void)uv_run(&h->loop, UV_RUN_NOWAIT);
    }
}

/* Sends all the bytes, turning the loop where the socket takes no more. */
static inline void client_write(struct house *h, int fd, const char *bytes, size_t len)
{
    while (len > 0) {
        ssize_t n = send(fd, bytes, len, MSG_NOSIGNAL);

        if (n > 0) {
            bytes += n;
            len -= (size_t)n;
        } else {
            (void)uv_run(&h->loop, UV_RUN_NOWAIT);
        }
    }
}

/* Sends a text as it is: whoever means a line ends it with a newline. */
static inline void client_say(struct house *h, int fd, const char *text)
{
    client_write(h, fd, text, strlen(text));
}

/* The client's next line without its newline, in buf; false at the end. Byte by byte:
 * what follows it stays where it is. */
static inline bool client_hear(struct house *h, int fd, char *buf, size_t cap)
{
    size_t len = 0;

    for (;;) {
        ssize_t n = recv(fd, buf + len, 1, 0);

        if (n == 0) {
            return false;
        }
        if (n < 0) {
            await_client(h, fd);
        } else if (buf[len] == '\n') {
            buf[len] = '\0';
            return true;
        } else if (++len == cap) {
            fail_msg("the line is longer than was thought");
        }
    }
}

#define ASSERT_HEARS(h, fd, text)                                                                  \
    do {                                                                                           \
        char heard_[512] = "";                                                                     \
        assert_true(client_hear((h), (fd), heard_, sizeof heard_));                                \
        assert_string_equal(heard_, (text));                                                       \
    } while (0)

#define ASSERT_HEARS_THE_END(h, fd)                                                                \
    do {                                                                                           \
        char heard_[512] = "";                                                                     \
        assert_false(client_hear((h), (fd), heard_, sizeof heard_));                               \
    } while (0)

#endif
