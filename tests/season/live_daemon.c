#include "tests/season/live_daemon.h"

#include "daemon/base/mem.h"
#include "tests/season/small_disk.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#define WAIT_MS 120000

static int bind_notify(const char *path)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);

    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s", path);
    if (fd >= 0 && bind(fd, (struct sockaddr *)&addr, sizeof addr) < 0) {
        (void)close(fd);
        return -1;
    }
    return fd;
}

int live_daemon_init(struct live_daemon *l, const char *room, const char *tarnd, const char *crops,
                     struct err *err)
{
    *l = (struct live_daemon){
        .room = room, .tarnd = tarnd, .crops = crops, .fd = -1, .notify_fd = -1};
    (void)snprintf(l->dir, sizeof l->dir, "/tmp/tarn-season-XXXXXX");
    if (!mkdtemp(l->dir)) {
        l->dir[0] = '\0';
        return err_set(err, -errno, "cannot make a folder in /tmp: %s", strerror(errno));
    }
    (void)snprintf(l->state, sizeof l->state, "%s/state", l->dir);
    (void)snprintf(l->socket, sizeof l->socket, "%s/tarn.sock", l->dir);
    (void)snprintf(l->log, sizeof l->log, "%s/log", l->dir);
    (void)snprintf(l->notify, sizeof l->notify, "%s/notify", l->dir);
    l->notify_fd = bind_notify(l->notify);
    if (l->notify_fd < 0) {
        return err_set(err, -errno, "cannot bind %s: %s", l->notify, strerror(errno));
    }
    return 0;
}

/* In the child: becomes the daemon. */
static void become_daemon(const struct live_daemon *l, const char *at)
{
    struct serve_options o = {.room_path = l->room,
                              .crops_dir = l->crops,
                              .state_dir = l->state,
                              .socket_path = l->socket,
                              .simulate = at};
    const char *argv[] = {l->tarnd,  "--room",  l->room,  "--state",    l->state, "--socket",
                          l->socket, "--crops", l->crops, "--simulate", at,       NULL};
    int log = open(l->log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);

    (void)prctl(PR_SET_PDEATHSIG, SIGKILL); /* a run that fails leaves no daemon behind */
    (void)setenv("NOTIFY_SOCKET", l->notify, 1);
    (void)dup2(log, STDOUT_FILENO);
    (void)dup2(log, STDERR_FILENO);
    if (l->small_disk) {
        _exit(small_disk_run(&o));
    }
    (void)execv(l->tarnd, (char **)(uintptr_t)argv);
    _exit(127);
}

/* The last line of the log, for a message. */
static void last_words(const struct live_daemon *l, char *buf, size_t len)
{
    FILE *f = fopen(l->log, "re");

    buf[0] = '\0';
    while (f && fgets(buf, (int)len, f)) {
    }
    buf[strcspn(buf, "\n")] = '\0';
    if (f) {
        (void)fclose(f);
    }
}

/* Waits for a datagram that says READY=1, or for the daemon's early end. */
static int await_ready(struct live_daemon *l, struct err *err)
{
    char said[256];

    for (int waited_ms = 0; waited_ms < WAIT_MS; waited_ms += 50) {
        struct pollfd p = {.fd = l->notify_fd, .events = POLLIN};

        if (poll(&p, 1, 50) == 1) {
            ssize_t n = recv(l->notify_fd, said, sizeof said - 1, 0);

            said[n > 0 ? n : 0] = '\0';
            if (strstr(said, "READY=1")) {
                return 0;
            }
        }
        if (waitpid(l->pid, NULL, WNOHANG) == l->pid) {
            l->pid = 0;
            last_words(l, said, sizeof said);
            return err_set(err, ERR_BUSY, "tarnd ended before it was ready: %s", said);
        }
    }
    return err_set(err, ERR_BUSY, "tarnd was not ready in time");
}

static int open_socket(struct live_daemon *l, struct err *err)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};

    (void)snprintf(addr.sun_path, sizeof addr.sun_path, "%s", l->socket);
    l->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (l->fd < 0 || connect(l->fd, (struct sockaddr *)&addr, sizeof addr) < 0) {
        return err_set(err, -errno, "cannot connect to %s: %s", l->socket, strerror(errno));
    }
    return 0;
}

int live_daemon_start(struct live_daemon *l, const char *at, struct err *err)
{
    int rc;

    if (l->small_disk && !small_disk_init()) {
        return err_set(err, -ENOMEM, "no memory to share with the daemon");
    }
    (void)fflush(NULL);
    l->pid = fork();
    if (l->pid < 0) {
        l->pid = 0;
        return err_set(err, -errno, "cannot fork: %s", strerror(errno));
    }
    if (l->pid == 0) {
        become_daemon(l, at);
    }
    rc = await_ready(l, err);
    return rc < 0 ? rc : open_socket(l, err);
}

static void hang_up(struct live_daemon *l)
{
    char said[256];

    if (l->fd >= 0) {
        (void)close(l->fd);
    }
    l->fd = -1;
    l->len = 0;
    while (recv(l->notify_fd, said, sizeof said, MSG_DONTWAIT) > 0) { /* STOPPING=1 and the like */
    }
}

int live_daemon_stop(struct live_daemon *l, struct err *err)
{
    char said[256];
    int status = -1;

    (void)kill(l->pid, SIGTERM);
    (void)waitpid(l->pid, &status, 0);
    l->pid = 0;
    hang_up(l);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        last_words(l, said, sizeof said);
        return err_set(err, ERR_BUSY, "tarnd did not end well: status %d, '%s'", status, said);
    }
    return 0;
}

void live_daemon_kill(struct live_daemon *l)
{
    (void)kill(l->pid, SIGKILL);
    (void)waitpid(l->pid, NULL, 0);
    l->pid = 0;
    hang_up(l);
}

void live_daemon_deinit(struct live_daemon *l)
{
    char command[128];

    if (l->pid) {
        live_daemon_kill(l);
    }
    if (l->notify_fd >= 0) {
        (void)close(l->notify_fd);
    }
    if (*l->dir) {
        (void)snprintf(command, sizeof command, "rm -rf '%s'", l->dir);
        if (system(command) != 0) { /* NOLINT(cert-env33-c): a folder that mkdtemp named */
            (void)fprintf(stderr, "%s is left behind\n", l->dir);
        }
    }
    free(l->in);
    *l = (struct live_daemon){.fd = -1, .notify_fd = -1};
}

static bool send_all(struct live_daemon *l, const char *bytes, size_t len)
{
    while (len > 0) {
        ssize_t n = send(l->fd, bytes, len, MSG_NOSIGNAL);

        if (n <= 0) {
            return false;
        }
        bytes += n;
        len -= (size_t)n;
    }
    return true;
}

/* Reads until there is a whole line in l->in; gives its length, 0 when the daemon is gone. */
static size_t read_line(struct live_daemon *l)
{
    char *end;
    size_t looked = 0;

    while (!(end = memchr(l->in + looked, '\n', l->len - looked))) {
        struct pollfd p = {.fd = l->fd, .events = POLLIN};
        ssize_t n;

        looked = l->len;
        l->in = mem_grow(l->in, &l->cap, l->len + 65536, 1);
        if (poll(&p, 1, WAIT_MS) != 1) {
            return 0;
        }
        n = recv(l->fd, l->in + l->len, l->cap - l->len, 0);
        if (n <= 0) {
            return 0;
        }
        l->len += (size_t)n;
    }
    return (size_t)(end - l->in) + 1;
}

static json_t *call(struct live_daemon *l, const char *method, json_t *params)
{
    json_t *req = json_pack("{s:s,s:i,s:s,s:o*}", "jsonrpc", "2.0", "id", ++l->next_id, "method",
                            method, "params", params);
    char *text = json_dumps(req, JSON_COMPACT);
    bool sent = l->fd >= 0 && send_all(l, text, strlen(text)) && send_all(l, "\n", 1);
    json_t *reply = NULL;
    size_t n;

    l->n_calls++;
    json_decref(req);
    free(text);
    if (!l->in) {
        l->in = mem_grow(NULL, &l->cap, 65536, 1);
    }
    n = sent ? read_line(l) : 0;
    if (n) {
        reply = json_loadb(l->in, n, 0, NULL);
        l->len -= n;
        memmove(l->in, l->in + n, l->len);
    }
    return reply;
}

json_t *live_daemon_ask(struct live_daemon *l, const char *method, json_t *params, struct err *err)
{
    json_t *reply = call(l, method, params);
    json_t *result = json_incref(json_object_get(reply, "result"));
    const json_t *error = json_object_get(reply, "error");
    char said[256];

    if (!reply) {
        last_words(l, said, sizeof said);
        (void)err_set(err, ERR_BUSY, "%s: tarnd gave no answer: %s", method, said);
    } else if (!result) {
        (void)err_set(err, (int)json_integer_value(json_object_get(error, "code")), "%s: %s",
                      method, json_string_value(json_object_get(error, "message")));
    }
    json_decref(reply);
    return result;
}

const char *live_daemon_text(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));

    return s ? s : "";
}

double live_daemon_number(const json_t *o, const char *key)
{
    return json_number_value(json_object_get(o, key));
}
