#include "daemon/serve/net/sd.h"

#include "daemon/base/num.h"

#include <fcntl.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#define FIRST_FD 3 /* SD_LISTEN_FDS_START in sd_listen_fds(3) */

void sd_notify(const char *state)
{
    const char *path = getenv("NOTIFY_SOCKET");
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    size_t len = path ? strlen(path) : 0;
    int fd;

    if (len < 2 || len >= sizeof to.sun_path || (path[0] != '/' && path[0] != '@')) {
        return;
    }
    memcpy(to.sun_path, path, len);
    if (path[0] == '@') {
        to.sun_path[0] = '\0'; /* a name in the abstract space */
    }
    fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0) {
        return;
    }
    (void)sendto(fd, state, strlen(state), MSG_NOSIGNAL, (struct sockaddr *)&to,
                 (socklen_t)(offsetof(struct sockaddr_un, sun_path) + len));
    (void)close(fd);
}

void sd_notify_reloading(void)
{
    struct timespec t;
    char state[80];

    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    (void)snprintf(state, sizeof state, "RELOADING=1\nMONOTONIC_USEC=%lld",
                   (long long)t.tv_sec * 1000000 + t.tv_nsec / 1000);
    sd_notify(state);
}

static int64_t env_int(const char *name, int64_t otherwise)
{
    const char *text = getenv(name);
    int64_t v = otherwise;

    if (text) {
        (void)num_parse_int(text, 0, INT64_MAX, &v, NULL);
    }
    return v;
}

uint64_t sd_watchdog_ms(void)
{
    int64_t pid = env_int("WATCHDOG_PID", getpid());

    return pid == getpid() ? (uint64_t)env_int("WATCHDOG_USEC", 0) / 2000 : 0;
}

int sd_listen_fd(void)
{
    if (env_int("LISTEN_PID", -1) != getpid() || env_int("LISTEN_FDS", 0) < 1) {
        return -1;
    }
    (void)fcntl(FIRST_FD, F_SETFD, FD_CLOEXEC);
    return FIRST_FD;
}
