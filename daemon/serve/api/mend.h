/* mend.h - what was told wrong is taken back, or told anew. Inside verb_void.c and verb_mend.c. */
#ifndef TARN_SERVE_API_MEND_H
#define TARN_SERVE_API_MEND_H

#include "daemon/core/tell/deed.h"
#include "daemon/serve/api/call.h"
#include "daemon/serve/live/journal_thread.h"

/* Voids the first of the rows that were found, and of those told with it all that are not voided
 * yet. Their work is open again under the number of its task. The answer, or NULL and *e. */
json_t *mend_take_back(struct call *c, const struct journal_job *job, const struct deed *d,
                       struct err *e);

#endif
