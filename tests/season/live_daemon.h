/* live_daemon.h - the real daemon in a folder of its own, on a clock of its own, and
 * a client on its socket.
 *
 * Functions that can fail return 0, or a negative code with *err filled in. One thread. */
#ifndef TARN_TESTS_SEASON_LIVE_DAEMON_H
#define TARN_TESTS_SEASON_LIVE_DAEMON_H

#include "daemon/base/err.h"

#include <jansson.h>
#include <stdbool.h>
#include <sys/types.h>

struct live_daemon {
    char dir[64]; /* "" = none yet */
    char state[96], socket[96], log[96], notify[96];
    const char *room, *tarnd, *crops; /* paths; borrowed */
    bool small_disk; /* it runs in a child of this process, whose disk can be filled */
    int notify_fd;
    int fd;
    pid_t pid; /* 0 = not running */
    int next_id;
    char *in; /* read and not looked at yet */
    size_t len, cap;
    size_t n_calls;
};

/* Makes the folder. The paths are borrowed for as long as the link lives; link.room may be set to
 * another one before the start. */
int live_daemon_init(struct live_daemon *l, const char *room, const char *tarnd, const char *crops,
                     struct err *err);

/* Starts the daemon on the clock `at` (2026-03-01T07:00), waits until it is ready, and connects. */
int live_daemon_start(struct live_daemon *l, const char *at, struct err *err);

/* SIGTERM, and an exit status of 0 is wanted. */
int live_daemon_stop(struct live_daemon *l, struct err *err);

/* SIGKILL: nothing is wanted. */
void live_daemon_kill(struct live_daemon *l);

/* Ends what still runs and removes the folder. */
void live_daemon_deinit(struct live_daemon *l);

/* Calls a method; params are stolen and may be NULL. The result is a new reference. NULL with *err
 * when the daemon refuses (its words, and the code of its reply), or is not there. */
json_t *live_daemon_ask(struct live_daemon *l, const char *method, json_t *params, struct err *err);

/* A text of an answer, borrowed from it; "" where there is none. */
const char *live_daemon_text(const json_t *o, const char *key);

/* A number of an answer; 0 where there is none. */
double live_daemon_number(const json_t *o, const char *key);

#endif
