#include "daemon/serve/live/room_accepted.h"

#include "daemon/base/err.h"
#include "daemon/base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

char *room_accepted_path(const char *state_dir)
{
    struct text t = {0};

    text_add(&t, "%s/room-accepted.yaml", state_dir);
    return text_take(&t);
}

static int copy_bytes(int from, int to)
{
    char buf[16384];
    ssize_t n;

    while ((n = read(from, buf, sizeof buf)) > 0) {
        if (write(to, buf, (size_t)n) != n) {
            return -1;
        }
    }
    return n < 0 ? -1 : fsync(to);
}

int room_accepted_keep(const char *room_path, const char *state_dir, struct err *e)
{
    char *path = room_accepted_path(state_dir);
    struct text part = {0};
    int from = open(room_path, O_RDONLY | O_CLOEXEC);
    int to = -1;
    int rc = 0;

    text_add(&part, "%s.part", path);
    if (from >= 0) {
        to = open(text_str(&part), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    }
    if (to < 0 || copy_bytes(from, to) < 0 || rename(text_str(&part), path) < 0) {
        rc = err_set(e, -errno, "cannot keep a copy of the room file in %.150s: %s", path,
                     strerror(errno));
    }
    if (from >= 0) {
        (void)close(from);
    }
    if (to >= 0) {
        (void)close(to);
    }
    text_deinit(&part);
    free(path);
    return rc;
}
