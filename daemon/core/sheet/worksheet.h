/* worksheet.h - a task as numbered steps that a person can follow at the bucket.
 *
 * Pure. Amounts are in the room's display units, rounded to what can be measured. A caution stands
 * with the step where it matters. */
#ifndef TARN_CORE_SHEET_WORKSHEET_H
#define TARN_CORE_SHEET_WORKSHEET_H

#include "daemon/core/work/agenda.h"

struct step {
    char *text;    /* a sentence or two */
    char *caution; /* NULL = none */
};

struct worksheet {
    struct step *step;
    size_t n, cap;
};

void worksheet_make(const struct room *room, const struct state *s, const struct task *t,
                    int64_t now_s, struct worksheet *out);
void worksheet_deinit(struct worksheet *w);

#endif
