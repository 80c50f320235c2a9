/* deed_took.h - how long the work took, where a person tells it (took=12min); nobody is asked.
 *
 * Inside deed*.c only. Of a task it is one figure of the whole acknowledgement, wherever it was
 * told among the names, and stands in that entry; of work told by itself it stands in the entry of
 * each subject. */
#ifndef TARN_CORE_TELL_DEED_TOOK_H
#define TARN_CORE_TELL_DEED_TOOK_H

#include "daemon/core/tell/deed_draft.h"

/* A deed without its took=…, and that. */
struct deed_took {
    struct deed d;     /* what was told besides */
    struct told *told; /* owned; d.told */
    double took_min;   /* NaN = not told */
};

/* Takes it out of a deed. ERR_UNKNOWN where it was told more than once. Ended with
 * deed_took_end, whatever it gives. */
int deed_took_begin(const struct deed *d, struct deed_took *out, struct err *err);
void deed_took_end(struct deed_took *t);

/* Puts it into the acknowledgement of the chosen jobs, with how much work they were. ERR_UNSURE
 * where it is far from what was expected of them. */
int deed_took_put(const struct deed_draft *m, double took_min, const bool *chosen,
                  struct entry *acknowledged);

/* Likewise of an entry that is told without a task: is it near what one such job is expected to
 * take? 0 where it was not told. */
int deed_took_check(const struct deed_draft *m, const struct entry *e);

#endif
