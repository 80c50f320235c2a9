#include "daemon/serve/net/listener.h"

#include "daemon/base/err.h"
#include "daemon/serve/net/sd.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#define BACKLOG 64 /* clients that may wait to be accepted: as many as are served at once */

static void on_connection(uv_stream_t *pipe, int status)
{
    struct listener *l = pipe->data;

    if (status == 0) {
        conns_accept(l->conns, pipe);
    }
}

/* Is somebody there? A socket file whose connection is refused is left over from a crash. */
static bool somebody_listens(const struct sockaddr_un *addr)
{
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    bool there = fd < 0 || connect(fd, (const struct sockaddr *)addr, sizeof *addr) == 0 ||
                 errno != ECONNREFUSED;

    if (fd >= 0) {
        (void)close(fd);
    }
    return there;
}

static int bind_socket(const char *path, int *out_fd, struct err *e)
{
    struct sockaddr_un addr = {.sun_family = AF_UNIX};
    struct stat st;
    mode_t before;
    int fd;
    int rc;

    if (strlen(path) >=
        sizeof addr.sun_path) { /* the kernel and libuv would cut it, and say nothing */
        return err_set(e, ERR_RANGE, "the socket's path has %zu bytes; at most %zu serve",
                       strlen(path), sizeof addr.sun_path - 1);
    }
    memcpy(addr.sun_path, path, strlen(path) + 1);
    if (lstat(path, &st) == 0) {
        if (!S_ISSOCK(st.st_mode)) {
            return err_set(e, ERR_REFUSED, "%s is there and is no socket; name another", path);
        }
        if (somebody_listens(&addr)) {
            return err_set(e, ERR_BUSY, "another tarnd listens on %s", path);
        }
        (void)unlink(path);
    }
    fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    before = umask(0117);
    rc = fd < 0 ? -1 : bind(fd, (const struct sockaddr *)&addr, sizeof addr);
    (void)umask(before);
    if (rc < 0) {
        rc = err_set(e, -errno, "cannot bind %s: %s", path, strerror(errno));
        if (fd >= 0) {
            (void)close(fd);
        }
        return rc;
    }
    *out_fd = fd;
    return 0;
}

int listener_start(struct listener *l, struct conns *conns, const char *path, struct err *e)
{
    int fd = sd_listen_fd();
    int rc = 0;

    if (fd < 0) {
        rc = bind_socket(path, &fd, e);
        if (rc < 0) {
            return rc;
        }
        (void)snprintf(l->path, sizeof l->path, "%s", path);
    }
    (void)uv_pipe_init(conns->loop, &l->pipe, 0); /* cannot fail: it only fills the struct in */
    l->pipe.data = l;
    l->conns = conns;
    rc = uv_pipe_open(&l->pipe, fd);
    if (rc == 0) {
        rc = uv_listen((uv_stream_t *)&l->pipe, BACKLOG, on_connection);
    }
    return rc < 0 ? err_set(e, rc, "cannot listen on %s: %s", path, uv_strerror(rc)) : 0;
}

void listener_stop(struct listener *l)
{
    if (!l->conns || uv_is_closing((uv_handle_t *)&l->pipe)) {
        return;
    }
    uv_close((uv_handle_t *)&l->pipe, NULL);
    if (*l->path) {
        (void)unlink(l->path);
    }
}
