/* rig.h - the real daemon in a folder of its own, and clients on its socket, for tests.
 *
 * Every wait has a deadline and fails the test with a message. jansson values are new references
 * unless said otherwise. */
#ifndef TARN_TESTS_RIG_H
#define TARN_TESTS_RIG_H

#include <jansson.h>
#include <stdbool.h>
#include <sys/types.h>

struct rig {
    char dir[64];   /* a fresh folder; removed at the end */
    char room[160]; /* the room file in it, a copy that may be changed */
    char state[96];
    char socket[96];
    char log[96];      /* what the daemon says on stderr */
    char simulate[32]; /* "" = the real clock */
    char notify[96];
    int notify_fd;
    pid_t pid; /* 0 = not running */
};

struct client {
    int fd;
    int next_id;
    char *in; /* read and not looked at yet */
    size_t len, cap;
};

/* Makes the folder and copies the room file `room` (a path below the source tree) into it. */
void rig_make(struct rig *r, const char *room, const char *simulate);

/* Starts the daemon and waits until it says READY=1. */
void rig_start(struct rig *r);

/* Ends it by SIGTERM; the exit status has to be 0. */
void rig_stop(struct rig *r);
/* Ends it by SIGKILL. */
void rig_kill(struct rig *r);

/* Runs the daemon to its end, for starts that must fail. Gives its exit status; its words are in
 * the log. */
int rig_run_to_end(struct rig *r, const char *room, const char *state, const char *socket);
/* What the daemon said so far, its first 64 KiB; malloc'd. */
char *rig_log(const struct rig *r);
/* Ends what still runs and removes the folder. */
void rig_remove(struct rig *r);

/* Connects; nothing is sent yet. */
void client_open(struct client *c, const struct rig *r);
/* Hangs up and frees what was read. */
void client_close(struct client *c);
/* Sends bytes as they are, for requests that no client would write. */
void client_send(struct client *c, const char *bytes, size_t len);

/* The next line, without its newline, malloc'd; NULL when the daemon closed the connection. */
char *client_line(struct client *c);

/* Calls a method (params stolen, may be NULL) and gives the whole reply. */
json_t *client_call(struct client *c, const char *method, json_t *params);

/* The same; the reply has to be a result, which is given. */
json_t *client_ask(struct client *c, const char *method, json_t *params);

/* The same; the reply has to be an error of that code whose message holds the words. */
void client_refused(struct client *c, const char *method, json_t *params, int code,
                    const char *words);

/* Does the status give a notice of that key? */
bool client_has_notice(struct client *c, const char *key);

#endif
