/* methods.h - what a client can ask for: the table of methods, and a line on its way to one. */
#ifndef TARN_SERVE_API_METHODS_H
#define TARN_SERVE_API_METHODS_H

#include "daemon/serve/api/call.h"

struct method {
    const char *name;
    json_t *(*answer)(struct call *c, struct err *e); /* answers at once … */
    int (*begin)(struct call *c, struct err *e);      /* … or later: see verbs.h */
    bool tells;                                       /* it needs a disk that takes writes */
    const struct param *param;
    size_t n_params;
};
extern const struct method methods[];
extern const size_t methods_n;

/* Reads the line and answers it, now or later. False: it cannot be looked at yet, and
 * is to come again after the fold that was started. */
bool methods_call(struct server *s, struct conn *c, const char *line, size_t len);

#endif
