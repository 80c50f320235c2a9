/* deed_call.h - the way of every deed: its key is looked up, then it is done and answered.
 *
 * A client that got no answer may send its request again with the same key. So one
 * with a key is first looked up in the journal: told once is enough. */
#ifndef TARN_SERVE_API_DEED_CALL_H
#define TARN_SERVE_API_DEED_CALL_H

#include "daemon/serve/api/deed_request.h"

struct deed_verb {
    /* Does it: the answer, or NULL with *e. The room may be told of by then, and a
     * fold under way. */
    json_t *(*act)(struct call *c, struct deed_request *r, struct err *e);
    bool names_task; /* its answer names the task */
    /* Answers a request whose key was told before, or NULL with *e; NULL:
     * deed_request_told_already. */
    json_t *(*again)(struct call *c, const struct journal_job *job, struct err *e);
    /* What of the answer can be said only when no fold is under way any more; NULL = nothing. With
     * what the deed kept for it (deed_request.kept, NULL = nothing). */
    void (*add_after_fold)(struct call *c, json_t *answer, const void *kept);
    bool wants_plan; /* that too has to know of it before; where the deed kept something */
};

/* Takes the call over: 0, or *e when nothing was taken. */
int deed_call_begin(struct call *c, const struct deed_verb *verb, struct err *e);

#endif
