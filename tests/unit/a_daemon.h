/* a_daemon.h - for tests: the daemon in a child of the test, on a clock that stands
 * still, asked through its socket.
 *
 * Every answer is held to the shape that config/answers.schema.json promises.
 * Parameters are written as JSON with ' for ". */
#ifndef TARN_TESTS_A_DAEMON_H
#define TARN_TESTS_A_DAEMON_H

#include "tests/cmocka_all.h"
#include "tests/unit/a_schema.h"

#include "daemon/serve/serve.h"

#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#define REPLY_MS 60000 /* sanitizers and a busy machine */

struct daemon {
    pid_t pid;
    int listener; /* the child's, as a service manager hands it over: who is early just waits */
    int fd;
    char dir[64], room[96], state[96], socket[96], log[96];
    json_t *schema, *defs;
    char in[1 << 18];
    size_t n_in;
    int id;
};

/* In the child: descriptor 3 is the listening socket. */
static inline void daemon_become(const struct daemon *d)
{
    struct serve_options o = {.room_path = d->room,
                              .crops_dir = TARN_SOURCE_DIR "/config/crops",
                              .state_dir = d->state,
                              .socket_path = d->socket,
                              .simulate = "2026-03-01T07:00"};
    struct err e = {0};
    char pid[24];
    int rc;

    (void)prctl(PR_SET_PDEATHSIG, SIGKILL); /* a test that fails leaves no daemon behind */
    (void)signal(SIGPIPE, SIG_IGN);
    if (!freopen(d->log, "ae", stderr)) {
        _exit(1);
    }
    (void)setvbuf(stderr, NULL, _IONBF, 0); /* as it is for tarnd: an abort loses no word */
    (void)dup2(d->listener, 3);
    (void)snprintf(pid, sizeof pid, "%d", (int)getpid());
    (void)setenv("LISTEN_PID", pid, 1);
    (void)setenv("LISTEN_FDS", "1", 1);
    rc = serve_run(&o, &e);
    (void)fprintf(stderr, "%s", rc < 0 ? e.msg : "");
    _exit(rc < 0);
}

/* Connects to the socket, and forgets what came from an earlier connection. The descriptor is
 * d's, closed by daemon_end. */
static inline void daemon_connect(struct daemon *d)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};

    memcpy(addr.sun_path, d->socket, strlen(d->socket));
    d->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    d->n_in = 0;
    assert_int_equal(connect(d->fd, (struct sockaddr *)&addr, sizeof addr), 0);
}

/* Starts the child and connects. It may still be starting: the listener takes who is early. */
static inline void daemon_start(struct daemon *d)
{
    d->pid = fork();
    assert_true(d->pid >= 0);
    if (d->pid == 0) {
        daemon_become(d);
    }
    daemon_connect(d);
}

/* The demo's room, with `more` at the end of its file. */
static inline void daemon_write_room(const struct daemon *d, const char *more)
{
    char *text = calloc(1, 65536);
    FILE *in = fopen(TARN_SOURCE_DIR "/config/rooms/demo.yaml", "re");
    FILE *out = fopen(d->room, "we");

    assert_non_null(in);
    assert_non_null(out);
    assert_true(fread(text, 1, 65535, in) > 0);
    (void)fclose(in);
    (void)fprintf(out, "%s%s", text, more);
    assert_int_equal(fclose(out), 0);
    free(text);
}

/* The demo's room, with `more` at the end of its file, in a folder of its own, and the daemon
 * started on it. Ended with daemon_remove. */
static inline void daemon_make(struct daemon *d, const char *more)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};

    memset(d, 0, sizeof *d);
    (void)snprintf(d->dir, sizeof d->dir, "/tmp/tarn-daemon-XXXXXX");
    assert_non_null(mkdtemp(d->dir));
    (void)snprintf(d->room, sizeof d->room, "%s/room.yaml", d->dir);
    (void)snprintf(d->state, sizeof d->state, "%s/state", d->dir);
    (void)snprintf(d->socket, sizeof d->socket, "%s/sock", d->dir);
    (void)snprintf(d->log, sizeof d->log, "%s/log", d->dir);
    daemon_write_room(d, more);
    memcpy(addr.sun_path, d->socket, strlen(d->socket));
    d->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    assert_int_equal(bind(d->listener, (struct sockaddr *)&addr, sizeof addr), 0);
    assert_int_equal(listen(d->listener, 8), 0);
    d->schema = json_load_file(TARN_SOURCE_DIR "/config/answers.schema.json", 0, NULL);
    d->defs = json_object_get(d->schema, "$defs");
    daemon_start(d);
}

/* Its exit status; 0 = it ended well. */
static inline int daemon_end(struct daemon *d)
{
    int status = -1;

    (void)close(d->fd);
    (void)kill(d->pid, SIGTERM);
    assert_int_equal(waitpid(d->pid, &status, 0), d->pid);
    d->pid = 0;
    return status;
}

/* Kills the daemon where it still runs, and removes the folder. A connection that is still open
 * stays so: daemon_end closes it. */
static inline void daemon_remove(struct daemon *d)
{
    char command[128];

    if (d->pid > 0) {
        (void)kill(d->pid, SIGKILL);
        (void)waitpid(d->pid, NULL, 0);
    }
    (void)close(d->listener);
    json_decref(d->schema);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", d->dir);
    assert_int_equal(system(command), 0); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

/* Sends bytes as they are; fails the test where not all of them are taken. */
static inline void daemon_send(struct daemon *d, const char *line)
{
    assert_int_equal(send(d->fd, line, strlen(line), MSG_NOSIGNAL), strlen(line));
}

/* The next reply; a new reference. */
static inline json_t *daemon_hear(struct daemon *d)
{
    char *end;
    json_t *reply;

    while (!(end = memchr(d->in, '\n', d->n_in))) {
        struct pollfd p = {.fd = d->fd, .events = POLLIN};
        ssize_t n;

        assert_int_equal(poll(&p, 1, REPLY_MS), 1);
        n = recv(d->fd, d->in + d->n_in, sizeof d->in - d->n_in, 0);
        if (n <= 0) {
            fail_msg("the daemon is gone");
        }
        d->n_in += (size_t)n;
    }
    reply = json_loadb(d->in, (size_t)(end - d->in), 0, NULL);
    d->n_in -= (size_t)(end + 1 - d->in);
    memmove(d->in, end + 1, d->n_in);
    assert_non_null(reply);
    return reply;
}

/* Asks under the next id and gives the reply, result or error; a new reference. params: JSON with
 * ' for ", cut to 64 KiB with the rest of the line. */
static inline json_t *daemon_call(struct daemon *d, const char *method, const char *params)
{
    static char line[65536];

    (void)snprintf(line, sizeof line,
                   "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"%s\",\"params\":%s}\n", ++d->id,
                   method, params);
    for (char *p = line; *p; p++) {
        if (*p == '\'') {
            *p = '"';
        }
    }
    daemon_send(d, line);
    return daemon_hear(d);
}

/* The answer, which fits the schema; a new reference. */
static inline json_t *ask(struct daemon *d, const char *method, const char *params)
{
    json_t *reply = daemon_call(d, method, params);
    json_t *result = json_incref(json_object_get(reply, "result"));

    if (!result) {
        char *text = json_dumps(reply, 0);

        fail_msg("%s %s: %s", method, params, text);
    }
    assert_int_equal(json_integer_value(json_object_get(reply, "id")), d->id);
    if (!schema_fits(d->defs, json_object_get(d->defs, method), result, method, true)) {
        fail_msg("the answer to %s is not as the schema has it", method);
    }
    json_decref(reply);
    return result;
}

/* Asks, and drops the answer; fails as ask does. */
static inline void do_ask(struct daemon *d, const char *method, const char *params)
{
    json_decref(ask(d, method, params));
}

/* Asks, and fails the test unless it is refused with just this code, field ("" = none) and
 * message. */
static inline void refused(struct daemon *d, const char *method, const char *params, int code,
                           const char *field, const char *words)
{
    json_t *reply = daemon_call(d, method, params);
    json_t *error = json_object_get(reply, "error");
    const char *of = json_string_value(json_object_get(json_object_get(error, "data"), "field"));

    assert_string_equal(json_string_value(json_object_get(error, "message")), words);
    assert_int_equal(json_integer_value(json_object_get(error, "code")), code);
    assert_string_equal(of ? of : "", field);
    json_decref(reply);
}

/* A part by its path: "containers.0.name"; NULL when there is none. Borrowed. */
static inline json_t *part(json_t *of, const char *path)
{
    char name[64];
    int n = 0;

    while (of && sscanf(path, "%63[^.]%n", name, &n) == 1) {
        of = json_is_array(of) ? json_array_get(of, strtoul(name, NULL, 10))
                               : json_object_get(of, name);
        path += n;
        path += *path == '.';
    }
    return of;
}

#define ASSERT_TEXT(of, path, text)                                                                \
    do {                                                                                           \
        const char *text_ = json_string_value(part((of), (path)));                                 \
        assert_string_equal(text_ ? text_ : "(no text)", (text));                                  \
    } while (0)

#define ASSERT_NUMBER(of, path, value, off)                                                        \
    do {                                                                                           \
        double value_ =                                                                            \
            json_is_number(part((of), (path))) ? json_number_value(part((of), (path))) : NAN;      \
        if (!(fabs(value_ - (value)) <= (off))) {                                                  \
            fail_msg("%s is %.9g, not %.9g", (path), value_, (double)(value));                     \
        }                                                                                          \
    } while (0)

#define ASSERT_NULL(of, path)     assert_true(json_is_null(part((of), (path))))
#define ASSERT_TRUE(of, path)     assert_true(json_is_true(part((of), (path))))
#define ASSERT_FALSE(of, path)    assert_true(json_is_false(part((of), (path))))
#define ASSERT_COUNT(of, path, n) assert_int_equal(json_array_size(part((of), (path))), (n))

#endif
