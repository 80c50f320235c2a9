/* methods.h - what a client can ask for: the table of methods, and a line on its way to one. */
#ifndef TARN_SERVE_API_METHODS_H
#define TARN_SERVE_API_METHODS_H

#include "daemon/serve/api/call.h"

/* What a request says, or goes by, of the list. */
enum asks_of {
    ASKS_NOTHING,
    ASKS_TASK, /* the task that it names: planned anew only where nothing is open of it */
    ASKS_LIST, /* all of it: what was told before is planned with */
};

struct method {
    const char *name;
    json_t *(*answer)(struct call *c, struct err *e); /* answers at once … */
    int (*begin)(struct call *c, struct err *e);      /* … or later: see verbs.h */
    bool tells;                                       /* it needs a disk that takes writes */
    enum asks_of asks;                                /* what has to be planned for it */
    const struct param *param;
    size_t n_params;
};
extern const struct method methods[];
extern const size_t methods_n;

/* Reads the line and answers it, now or later. False: it cannot be looked at yet, and
 * is to come again after the fold or the plan that was started. */
bool methods_call(struct server *s, struct conn *c, const char *line, size_t len);

#endif
