/* call.h - a request being answered, now or when the journal's thread has found what it needs. */
#ifndef TARN_SERVE_API_CALL_H
#define TARN_SERVE_API_CALL_H

#include "daemon/serve/live/server.h"
#include "daemon/serve/net/rpc.h"

struct call {
    struct server *s;
    struct conn *conn; /* holds a reference */
    struct request req;
};

/* A call of that connection, with no request read yet. */
struct call *call_new(struct server *s, struct conn *conn);
void call_free(struct call *c);

/* Answers (result taken, or NULL and *e), and frees it. */
void call_answer(struct call *c, json_t *result, const struct err *e);

/* The same for a call that was taken over: its client's next request may be looked at then. */
void call_end(struct call *c, json_t *result, const struct err *e);

#endif
