/* link.h - one connection to the daemon: greets it, asks, reads the answers.
 *
 * Blocking; one thread. The greeting travels in the same write as the first call. */
#ifndef TARN_CLI_LINK_H
#define TARN_CLI_LINK_H

#include "daemon/base/text.h"

#include <jansson.h>

struct err;

enum {
    LINK_NO_DAEMON = -11001,   /* nobody answers at the path */
    LINK_VERSION = -11002,     /* the daemon speaks another protocol; the message names both */
    LINK_LOST = -11003,        /* gone after the call was sent: nobody knows what came of it */
    LINK_NOT_ALLOWED = -11005, /* the socket is there, but not for this user */
    LINK_TOO_LONG = -11004,    /* the call, or the path, is longer than can be */
};

#define LINK_ANSWER_MAX (256UL * 1024 * 1024) /* bytes; more than the largest room's status */
#define LINK_WAIT_S     120                   /* without a byte for so long: lost */

struct link {
    int fd; /* -1 = closed */
    int next_id;
    int asked_id;   /* of a call that was sent ahead; 0 = none was */
    struct text in; /* bytes read; those before `used` are done with */
    size_t used;
    json_t *hello; /* the answer to the greeting; owned; NULL before the first call */
};

/* Connects to the socket at `path`. LINK_NO_DAEMON, LINK_NOT_ALLOWED, LINK_TOO_LONG or -errno; then
 * nothing is owned. */
int link_open(struct link *l, const char *path, struct err *e);

/* Calls a method. params, an object, is borrowed. *out is a new reference to the
 * result. When the daemon refuses, returns the WIRE_ code of its reply with its
 * message; else one of the codes above. */
int link_call(struct link *l, const char *method, json_t *params, json_t **out, struct err *e);

/* Sends ahead, after a first call, what the next link_call will ask, so that the daemon works
 * meanwhile; that one only reads the answer then. */
int link_ask_ahead(struct link *l, const char *method, json_t *params, struct err *e);

/* Closes the connection and frees what was read; fine on one that is closed. */
void link_close(struct link *l);

#endif
