#include "tests/system/rig.h"

#include "tests/cmocka_all.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define WAIT_MS 120000 /* sanitizers and a busy machine */

static void copy_file(const char *from, const char *to)
{
    char buf[65536];
    FILE *in = fopen(from, "re");
    FILE *out = fopen(to, "we");
    size_t n;

    assert_non_null(in);
    assert_non_null(out);
    while ((n = fread(buf, 1, sizeof buf, in)) > 0) {
        assert_int_equal(fwrite(buf, 1, n, out), n);
    }
    (void)fclose(in);
    assert_int_equal(fclose(out), 0);
}

static int bind_notify(const char *path)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);

    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s", path);
    assert_true(fd >= 0);
    assert_int_equal(bind(fd, (struct sockaddr *)&addr, sizeof addr), 0);
    return fd;
}

void rig_make(struct rig *r, const char *room, const char *simulate)
{
    char from[512];

    memset(r, 0, sizeof *r);
    (void)snprintf(r->dir, sizeof r->dir, "/tmp/tarn-test-XXXXXX");
    assert_non_null(mkdtemp(r->dir));
    (void)snprintf(r->room, sizeof r->room, "%s/room.yaml", r->dir);
    (void)snprintf(r->state, sizeof r->state, "%s/state", r->dir);
    (void)snprintf(r->socket, sizeof r->socket, "%s/tarn.sock", r->dir);
    (void)snprintf(r->log, sizeof r->log, "%s/log", r->dir);
    (void)snprintf(r->notify, sizeof r->notify, "%s/notify", r->dir);
    (void)snprintf(r->simulate, sizeof r->simulate, "%s", simulate ? simulate : "");
    (void)snprintf(from, sizeof from, "%s/%s", TARN_SOURCE_DIR, room);
    copy_file(from, r->room);
    r->notify_fd = bind_notify(r->notify);
}

/* In the child: becomes the daemon. */
static void become_daemon(const struct rig *r, const char *room, const char *state,
                          const char *socket_path)
{
    static const char crops[] = TARN_SOURCE_DIR "/config/crops";
    const char *argv[16] = {TARND,      "--room",    room,      "--state", state,
                            "--socket", socket_path, "--crops", crops,     NULL};
    int log = open(r->log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);

    if (*r->simulate) {
        argv[9] = "--simulate";
        argv[10] = r->simulate;
    }
    (void)prctl(PR_SET_PDEATHSIG, SIGKILL); /* a test that fails leaves no daemon behind */
    (void)setenv("NOTIFY_SOCKET", r->notify, 1);
    (void)dup2(log, STDOUT_FILENO);
    (void)dup2(log, STDERR_FILENO);
    (void)execv(TARND, (char **)(uintptr_t)argv);
    _exit(127);
}

static void say_log(const struct rig *r)
{
    char *log = rig_log(r);

    print_error("tarnd said: %s\n", log);
    free(log);
}

/* Waits for a datagram that says READY=1, or for the daemon's early end. */
static void await_ready(struct rig *r)
{
    struct timespec start;
    struct timespec now;
    char said[256];

    (void)clock_gettime(CLOCK_MONOTONIC, &start);
    for (;;) {
        struct pollfd p = {.fd = r->notify_fd, .events = POLLIN};
        int status;

        if (poll(&p, 1, 200) == 1) {
            ssize_t n = recv(r->notify_fd, said, sizeof said - 1, 0);

            said[n > 0 ? n : 0] = '\0';
            if (strstr(said, "READY=1")) {
                return;
            }
        }
        if (waitpid(r->pid, &status, WNOHANG) == r->pid) {
            say_log(r);
            fail_msg("tarnd ended before it was ready");
        }
        (void)clock_gettime(CLOCK_MONOTONIC, &now);
        if ((now.tv_sec - start.tv_sec) * 1000 > WAIT_MS) {
            fail_msg("tarnd was not ready in time");
        }
    }
}

void rig_start(struct rig *r)
{
    assert_int_equal(r->pid, 0);
    r->pid = fork();
    assert_true(r->pid >= 0);
    if (r->pid == 0) {
        become_daemon(r, r->room, r->state, r->socket);
    }
    await_ready(r);
}

static int await_end(struct rig *r)
{
    int status = 0;

    assert_int_equal(waitpid(r->pid, &status, 0), r->pid);
    r->pid = 0;
    return status;
}

void rig_stop(struct rig *r)
{
    int status;
    char said[256];

    assert_int_equal(kill(r->pid, SIGTERM), 0);
    status = await_end(r);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        say_log(r);
        fail_msg("tarnd did not end well: status %d", status);
    }
    while (recv(r->notify_fd, said, sizeof said, MSG_DONTWAIT) > 0) { /* STOPPING=1 and the like */
    }
}

void rig_kill(struct rig *r)
{
    char said[256];

    assert_int_equal(kill(r->pid, SIGKILL), 0);
    (void)await_end(r);
    while (recv(r->notify_fd, said, sizeof said, MSG_DONTWAIT) > 0) {
    }
}

int rig_run_to_end(struct rig *r, const char *room, const char *state, const char *socket_path)
{
    pid_t pid = fork();
    int status = 0;

    assert_true(pid >= 0);
    if (pid == 0) {
        become_daemon(r, room, state, socket_path);
    }
    assert_int_equal(waitpid(pid, &status, 0), pid);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

char *rig_log(const struct rig *r)
{
    char *text = calloc(1, 65536);
    FILE *f = fopen(r->log, "re");

    assert_non_null(text);
    if (f) {
        text[fread(text, 1, 65535, f)] = 0;
        (void)fclose(f);
    }
    return text;
}

void rig_remove(struct rig *r)
{
    char command[128];

    if (r->pid) {
        rig_kill(r);
    }
    (void)close(r->notify_fd);
    (void)snprintf(command, sizeof command, "rm -rf '%s'", r->dir);
    assert_int_equal(system(command), 0); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

void client_open(struct client *c, const struct rig *r)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};

    memset(c, 0, sizeof *c);
    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s", r->socket);
    c->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(c->fd >= 0);
    assert_int_equal(connect(c->fd, (struct sockaddr *)&addr, sizeof addr), 0);
}

void client_close(struct client *c)
{
    (void)close(c->fd);
    free(c->in);
    memset(c, 0, sizeof *c);
}

void client_send(struct client *c, const char *bytes, size_t len)
{
    while (len > 0) {
        ssize_t n = send(c->fd, bytes, len, MSG_NOSIGNAL);

        if (n < 0 && (errno == EPIPE || errno == ECONNRESET)) {
            return; /* the reader sees the end */
        }
        assert_true(n > 0);
        bytes += n;
        len -= (size_t)n;
    }
}

static char *cut_line(struct client *c)
{
    char *end = c->len ? memchr(c->in, '\n', c->len) : NULL;
    size_t n = end ? (size_t)(end - c->in) : 0;
    char *line;

    if (!end) {
        return NULL;
    }
    line = strndup(c->in, n);
    assert_non_null(line);
    memmove(c->in, end + 1, c->len - n - 1);
    c->len -= n + 1;
    return line;
}

char *client_line(struct client *c)
{
    char *line;

    while (!(line = cut_line(c))) {
        struct pollfd p = {.fd = c->fd, .events = POLLIN};
        ssize_t n;

        if (c->cap < c->len + 65536) {
            c->cap = c->len * 2 + 65536;
            c->in = realloc(c->in, c->cap);
            assert_non_null(c->in);
        }
        if (poll(&p, 1, WAIT_MS) != 1) {
            fail_msg("no answer in time");
        }
        n = recv(c->fd, c->in + c->len, c->cap - c->len, 0);
        if (n <= 0) {
            return NULL;
        }
        c->len += (size_t)n;
    }
    return line;
}

json_t *client_call(struct client *c, const char *method, json_t *params)
{
    json_t *req = json_pack("{s:s,s:i,s:s,s:o*}", "jsonrpc", "2.0", "id", ++c->next_id, "method",
                            method, "params", params);
    char *text = json_dumps(req, JSON_COMPACT);
    char *line;
    json_t *reply;

    client_send(c, text, strlen(text));
    client_send(c, "\n", 1);
    json_decref(req);
    free(text);
    line = client_line(c);
    if (!line) {
        return NULL;
    }
    reply = json_loads(line, 0, NULL);
    if (!json_is_object(reply)) {
        fail_msg("not a reply: %s", line);
    }
    assert_int_equal(json_integer_value(json_object_get(reply, "id")), c->next_id);
    free(line);
    return reply;
}

json_t *client_ask(struct client *c, const char *method, json_t *params)
{
    char *asked = params ? json_dumps(params, JSON_COMPACT) : NULL;
    json_t *reply = client_call(c, method, params);
    json_t *result = json_object_get(reply, "result");

    if (!result) {
        char *text = reply ? json_dumps(reply, 0) : NULL;

        fail_msg("%s %s: %s", method, asked ? asked : "", text ? text : "no reply");
    }
    json_incref(result);
    json_decref(reply);
    free(asked);
    return result;
}

void client_refused(struct client *c, const char *method, json_t *params, int code,
                    const char *words)
{
    json_t *reply = client_call(c, method, params);
    json_t *error = json_object_get(reply, "error");
    const char *message = json_string_value(json_object_get(error, "message"));

    if (!message || json_integer_value(json_object_get(error, "code")) != code ||
        !strstr(message, words)) {
        char *text = reply ? json_dumps(reply, 0) : NULL;

        fail_msg("%s: wanted error %d '%s', got %s", method, code, words, text ? text : "nothing");
    }
    json_decref(reply);
}

bool client_has_notice(struct client *c, const char *key)
{
    json_t *status = client_ask(c, "status", NULL);
    json_t *notice;
    bool found = false;
    size_t i;

    json_array_foreach(json_object_get(status, "notices"), i, notice)
    {
        found = found || strcmp(json_string_value(json_object_get(notice, "key")), key) == 0;
    }
    json_decref(status);
    return found;
}
