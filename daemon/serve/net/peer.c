#include "daemon/serve/net/peer.h"

#include <pwd.h>
#include <stdio.h>
#include <sys/socket.h>

void peer_of(const uv_pipe_t *pipe, uint32_t *out_uid, char who[PEER_NAME_LEN])
{
    struct ucred peer = {.uid = (uid_t)-1};
    socklen_t len = sizeof peer;
    uv_os_fd_t fd = -1;
    struct passwd pw;
    struct passwd *found = NULL;
    char buf[2048];

    if (uv_fileno((const uv_handle_t *)pipe, &fd) == 0) {
        (void)getsockopt(fd, SOL_SOCKET, SO_PEERCRED, &peer, &len);
    }
    *out_uid = peer.uid;
    if (getpwuid_r(peer.uid, &pw, buf, sizeof buf, &found) == 0 && found) {
        (void)snprintf(who, PEER_NAME_LEN, "%s", found->pw_name);
    } else {
        (void)snprintf(who, PEER_NAME_LEN, "uid %u", (unsigned)peer.uid);
    }
}
