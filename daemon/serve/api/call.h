/* call.h - a request being answered, now or when the journal's thread has found what it needs. */
#ifndef TARN_SERVE_API_CALL_H
#define TARN_SERVE_API_CALL_H

#include "daemon/serve/live/server.h"
#include "daemon/serve/net/rpc.h"

struct call {
    struct server *s;
    struct conn *conn; /* holds a reference */
    struct request req;
    char key[64];            /* a call that tells, under way with this key; "" = none … */
    struct call *next_keyed; /* … then it is in server.keyed */
};

/* The call is under way with a key. ERR_BUSY while another is: that one may tell yet, also when its
 * client is gone, and both would. */
int call_take_key(struct call *c, const char *key, struct err *e);

/* A call of that connection, with no request read yet. */
struct call *call_new(struct server *s, struct conn *conn);
void call_free(struct call *c);

/* Answers (result taken, or NULL and *e), and frees it. */
void call_answer(struct call *c, json_t *result, const struct err *e);

/* The same for a call that was taken over: its client's next request may be looked at then. */
void call_end(struct call *c, json_t *result, const struct err *e);

#endif
