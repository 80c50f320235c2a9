/* methods.h - what a client can ask for: a table of methods, their parameters and what answers
 * them. */
#ifndef TARN_SERVE_API_METHODS_H
#define TARN_SERVE_API_METHODS_H

#include "daemon/serve/live/server.h"
#include "daemon/serve/net/rpc.h"

/* A request being answered. Lives on while the journal's thread works for it. */
struct call {
    struct server *s;
    struct conn *conn;
    struct request req;
};

struct method {
    const char *name;
    /* Answers at once: the result, or NULL with *e. */
    json_t *(*ask)(struct call *c, struct err *e);
    /* Or answers later: 0 when the call was taken over (call_end it), else *e. */
    int (*begin)(struct call *c, struct err *e);
    bool tells; /* it needs a disk that takes writes */
    const struct param *param;
    size_t n_params;
};

/* Reads the line and answers it, now or later. False: it cannot be looked at yet, and is to come
 * again after the fold that was started. */
bool methods_call(struct server *s, struct conn *c, const char *line, size_t len);

/* For a call that was taken over: answer (result taken, or NULL and *e), and free it. */
void call_end(struct call *c, json_t *result, const struct err *e);

/* The list of a day, as `today` gives it. */
json_t *methods_today(struct server *s, int32_t day, bool full);
json_t *methods_day(const struct live_room *k, int64_t now_s, int32_t day); /* as it is planned */

json_t *ask_hello(struct call *c, struct err *e);
json_t *ask_status(struct call *c, struct err *e);
json_t *ask_today(struct call *c, struct err *e);
json_t *ask_outlook(struct call *c, struct err *e);
json_t *ask_stock(struct call *c, struct err *e);
json_t *ask_mix(struct call *c, struct err *e);
json_t *ask_kinds(struct call *c, struct err *e);
json_t *ask_clock(struct call *c, struct err *e);
int begin_show(struct call *c, struct err *e);
int begin_log(struct call *c, struct err *e);
int begin_ack(struct call *c, struct err *e);
int begin_defer(struct call *c, struct err *e);
int begin_drop(struct call *c, struct err *e);
int begin_record(struct call *c, struct err *e);
int begin_readings(struct call *c, struct err *e);
int begin_void(struct call *c, struct err *e);

#endif
