/* mend.h - what was told wrong is taken back, or told anew. Inside verb_void.c and verb_mend.c. */
#ifndef TARN_SERVE_API_MEND_H
#define TARN_SERVE_API_MEND_H

#include "daemon/core/tell/deed.h"
#include "daemon/serve/api/call.h"
#include "daemon/serve/live/journal_thread.h"

/* The key of a call, taken for it and borrowed from it; "" = it has none. 0, or *e. */
int mend_key(struct call *c, const char **key, struct err *e);

/* The same, and the number of the entry that it is about. */
int mend_asks(struct call *c, const char **key, int64_t *seq, struct err *e);

/* Voids the first of the rows that were found, and of those told with it all that are not voided
 * yet. Their work is open again under the number of its task. The answer, or NULL and *e. */
json_t *mend_take_back(struct call *c, const struct journal_job *job, const struct deed *d,
                       struct err *e);

#endif
