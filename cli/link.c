#include "cli/link.h"

#include "daemon/base/err.h"
#include "daemon/base/wire.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <unistd.h>

static int connect_error(const char *path, struct err *e)
{
    if (errno == EACCES || errno == EPERM) {
        return err_set(e, LINK_NOT_ALLOWED,
                       "you may not speak to the daemon at %s: %s; the group of that socket may",
                       path, strerror(errno));
    }
    return err_set(e, LINK_NO_DAEMON, "no daemon answers at %s: %s", path, strerror(errno));
}

/* A socket that is never one of the standard streams: with stdout closed by the caller it would
 * get number 1, and the answer would be printed to the daemon. */
static int open_socket(void)
{
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    int low = fd;

    if (fd >= 0 && fd <= STDERR_FILENO) {
        fd = fcntl(low, F_DUPFD_CLOEXEC, STDERR_FILENO + 1);
        (void)close(low);
    }
    return fd;
}

int link_open(struct link *l, const char *path, struct err *e)
{
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    struct timeval wait = {.tv_sec = LINK_WAIT_S};
    int fd;
    int rc;

    if (strlen(path) >= sizeof to.sun_path) {
        return err_set(e, LINK_TOO_LONG, "the path of a socket has at most %zu bytes: %s",
                       sizeof to.sun_path - 1, path);
    }
    memcpy(to.sun_path, path, strlen(path));
    fd = open_socket();
    if (fd < 0) {
        return err_set(e, -errno, "cannot make a socket: %s", strerror(errno));
    }
    if (setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait) < 0 ||
        connect(fd, (struct sockaddr *)&to, sizeof to) < 0) {
        rc = connect_error(path, e);
        (void)close(fd);
        return rc;
    }
    *l = (struct link){.fd = fd, .next_id = 1};
    return 0;
}

void link_close(struct link *l)
{
    if (l->fd >= 0) {
        (void)close(l->fd); /* nothing was left unsent, so nothing can be lost here */
    }
    text_deinit(&l->in);
    json_decref(l->hello);
    *l = (struct link){.fd = -1};
}

static int lost(struct err *e, const char *how)
{
    return err_set(e, LINK_LOST, "the connection to the daemon was lost: %s", how);
}

static int add_call(struct text *t, int id, const char *method, json_t *params, struct err *e)
{
    size_t before = t->len;
    json_t *call = json_pack("{s:s, s:i, s:s, s:O}", "jsonrpc", "2.0", "id", id, "method", method,
                             "params", params);
    char *line = json_dumps(call, JSON_COMPACT | JSON_REAL_PRECISION(15));

    json_decref(call);
    if (!line) {
        return err_set(e, LINK_TOO_LONG, "the call cannot be written as JSON");
    }
    text_add(t, "%s\n", line);
    free(line);
    if (t->len - before > WIRE_LINE_MAX) {
        return err_set(e, LINK_TOO_LONG,
                       "this is too much for one call (%zu bytes of %d): split it", t->len - before,
                       WIRE_LINE_MAX);
    }
    return 0;
}

static int send_all(int fd, const char *p, size_t len, struct err *e)
{
    while (len > 0) {
        ssize_t n = send(fd, p, len, MSG_NOSIGNAL);

        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            return lost(e, strerror(errno));
        }
        p += n;
        len -= (size_t)n;
    }
    return 0;
}

/* The next line, NUL in place of its LF; borrowed until the next call. */
static int read_line(struct link *l, const char **out, size_t *out_len, struct err *e)
{
    size_t seen = l->used;
    char chunk[65536];

    while (true) {
        char *end = l->in.len > seen ? memchr(l->in.s + seen, '\n', l->in.len - seen) : NULL;
        ssize_t n;

        if (end) {
            *end = '\0';
            *out = l->in.s + l->used;
            *out_len = (size_t)(end - *out);
            l->used = (size_t)(end - l->in.s) + 1;
            return 0;
        }
        seen = l->in.len;
        if (l->in.len - l->used > LINK_ANSWER_MAX) {
            return lost(e, "its answer has no end");
        }
        n = recv(l->fd, chunk, sizeof chunk, 0);
        if (n == 0) {
            return lost(e, "it hung up");
        }
        if (n > 0) {
            text_add_bytes(&l->in, chunk, (size_t)n);
        } else if (errno == EAGAIN || errno == EWOULDBLOCK) {
            return lost(e, "it has not answered for two minutes");
        } else if (errno != EINTR) {
            return lost(e, strerror(errno));
        }
    }
}

/* Bytes of lines that are done with need not be kept while a listing goes on. */
static void forget_read(struct link *l)
{
    size_t left = l->in.len - l->used;

    if (l->used) {
        memmove(l->in.s, l->in.s + l->used, left);
        l->in.len = left;
        l->used = 0;
    }
}

static int refusal(const json_t *error, struct err *e)
{
    const char *message = json_string_value(json_object_get(error, "message"));
    const char *field = json_string_value(json_object_get(json_object_get(error, "data"), "field"));
    json_int_t code = json_integer_value(json_object_get(error, "code"));

    if (code >= 0 || code < INT32_MIN) {
        code = WIRE_INTERNAL;
    }
    return err_field(e, (int)code, field ? field : "", "%s",
                     message ? message : "the daemon refused, and did not say why");
}

/* Reads the reply to call `id`. An error of id null is about the connection, and so about us. */
static int read_reply(struct link *l, int id, json_t **out, struct err *e)
{
    const char *line = "";
    size_t len = 0;
    json_t *reply;
    const json_t *error;
    const json_t *to;
    int rc = read_line(l, &line, &len, e);

    if (rc < 0) {
        return rc;
    }
    reply = json_loadb(line, len, 0, NULL);
    error = json_object_get(reply, "error");
    to = json_object_get(reply, "id");
    if (error && (json_is_null(to) || json_integer_value(to) == id)) {
        rc = refusal(error, e);
    } else if (json_integer_value(to) == id && json_object_get(reply, "result")) {
        *out = json_incref(json_object_get(reply, "result"));
    } else {
        rc = lost(e, "what answers there does not speak tarn's protocol");
    }
    json_decref(reply);
    return rc;
}

static int read_hello(struct link *l, int id, struct err *e)
{
    int rc = read_reply(l, id, &l->hello, e);
    json_int_t protocol;
    const char *version;

    if (rc == WIRE_VERSION) {
        err_prefix(e, "tarn %s speaks protocol %d; the daemon says: ", TARN_VERSION, WIRE_PROTOCOL);
        return LINK_VERSION;
    }
    if (rc < 0) {
        return rc;
    }
    protocol = json_integer_value(json_object_get(l->hello, "protocol"));
    version = json_string_value(json_object_get(l->hello, "version"));
    if (protocol != WIRE_PROTOCOL) {
        return err_set(e, LINK_VERSION,
                       "tarn %s speaks protocol %d, the daemon (tarnd %s) protocol %lld; install "
                       "both from one version",
                       TARN_VERSION, WIRE_PROTOCOL, version ? version : "of unknown version",
                       (long long)protocol);
    }
    return 0;
}

int link_ask_ahead(struct link *l, const char *method, json_t *params, struct err *e)
{
    struct text line = {0};
    int id = l->next_id++;
    int rc = add_call(&line, id, method, params, e);

    rc = rc < 0 ? rc : send_all(l->fd, text_str(&line), line.len, e);
    l->asked_id = rc == 0 ? id : 0;
    text_deinit(&line);
    return rc;
}

int link_call(struct link *l, const char *method, json_t *params, json_t **out, struct err *e)
{
    struct text lines = {0};
    bool greet = !l->hello;
    int hello_id = 0;
    int id;
    int rc = 0;

    forget_read(l);
    if (l->asked_id) {
        id = l->asked_id;
        l->asked_id = 0;
        return read_reply(l, id, out, e);
    }
    if (greet) {
        json_t *greeting = json_pack("{s:i}", "protocol", WIRE_PROTOCOL);

        hello_id = l->next_id++;
        rc = add_call(&lines, hello_id, "hello", greeting, e);
        json_decref(greeting);
    }
    id = l->next_id++;
    if (rc == 0) {
        rc = add_call(&lines, id, method, params, e);
    }
    if (rc == 0) {
        rc = send_all(l->fd, text_str(&lines), lines.len, e);
    }
    if (rc == 0 && greet) {
        rc = read_hello(l, hello_id, e);
    }
    if (rc == 0) {
        rc = read_reply(l, id, out, e);
    }
    text_deinit(&lines);
    return rc;
}
