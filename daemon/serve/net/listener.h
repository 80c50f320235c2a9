/* listener.h - the socket that clients connect to: made, taken over from the service
 * manager, ended.
 *
 * A socket file that a crash left behind is replaced; one that somebody listens on is not. */
#ifndef TARN_SERVE_NET_LISTENER_H
#define TARN_SERVE_NET_LISTENER_H

#include "daemon/serve/net/conn.h"

struct err;

struct listener {
    uv_pipe_t pipe;
    struct conns *conns; /* who connects; NULL = it does not listen */
    char path[108];      /* "" = handed over by the service manager: not ours to remove */
};

/* Binds and listens on the path (0660 from its birth), or takes over the descriptor
 * that LISTEN_FDS hands. *l is zeroed; the connections must outlive it. Fails with
 * ERR_RANGE for a path that no address has room for, ERR_REFUSED for a file that is
 * no socket, ERR_BUSY where another listens. */
int listener_start(struct listener *l, struct conns *conns, const char *path, struct err *e);

/* Takes nobody in any more and removes the path; nothing where it does not listen. */
void listener_stop(struct listener *l);

#endif
