/* deed_request.h - a request that tells something: from its parameters to a deed, and
 * to entries. */
#ifndef TARN_SERVE_API_DEED_REQUEST_H
#define TARN_SERVE_API_DEED_REQUEST_H

#include "daemon/core/tasks/agenda.h"
#include "daemon/serve/api/call.h"
#include "daemon/serve/api/params.h"

/* A deed with what it points at. Zeroed, it needs no deinit. */
struct deed_request {
    struct deed d; /* borrows from the request, too */
    struct told_list told;
    const char **only;
    struct task task; /* what is open of the task that is named */
    void *kept;       /* for add_after_fold (deed_call.h), malloc'd; taken from there */
};

/* The parts of a deed that most methods share: when, who, why, which. Deinit in both cases. */
int deed_request_read(struct call *c, struct deed_request *r, struct err *e);

/* What is told: "figures" and "subjects" of the request. r->told.vessel may be set before. */
int deed_request_read_told(struct call *c, struct deed_request *r, struct err *e);
void deed_request_deinit(struct deed_request *r);

/* A text of the request, borrowed; *out stays as it is where there is none. ERR_RANGE beyond `most`
 * bytes: that many are kept in the journal. */
int deed_request_text(struct call *c, const char *name, size_t most, const char **out,
                      struct err *e);

/* What is open of the task that "task" names, as it was planned last; the request's, NULL with *e
 * when there is none. */
const struct task *deed_request_task(struct call *c, struct deed_request *r, struct err *e);

/* Tells the entries (taken), and gives them as the answer has them. */
json_t *deed_request_tell(struct call *c, struct entries *es);

/* The answer to a request whose key was told before: what was told then. NULL with ERR_REFUSED in
 * *e where the request says other things than that: the key was used for something else. */
json_t *deed_request_told_already(struct call *c, const struct journal_job *job, bool names_task,
                                  struct err *e);

#endif
