/* serve.h - runs the daemon: starts its parts in order, ties them together, and ends them. */
#ifndef TARN_SERVE_SERVE_H
#define TARN_SERVE_SERVE_H

#include "daemon/base/err.h"

/* The texts must stay until serve_run returns. */
struct serve_options {
    const char *room_path;
    const char *crops_dir;
    const char *state_dir;
    const char *socket_path;
    const char *simulate; /* where a simulated clock begins; NULL = the real clock */
};

/* Runs until SIGTERM or SIGINT ends it. 0, or what failed, said in *e; faults of the room file are
 * printed on stderr besides. */
int serve_run(const struct serve_options *options, struct err *e);

#endif
