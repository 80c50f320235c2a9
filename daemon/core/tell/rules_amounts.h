/* rules_amounts.h - rules of the room about amounts of products: what cannot have been meant.
 *
 * Inside this folder, for rules.c. */
#ifndef TARN_CORE_TELL_RULES_AMOUNTS_H
#define TARN_CORE_TELL_RULES_AMOUNTS_H

#include "daemon/core/state/state.h"

/* An entry that is judged, with the container it is about. */
struct rule_case {
    const struct state *s;
    const struct room *room;
    const struct entry *e;
    size_t at;                         /* of the container */
    const struct container_state *pot; /* NULL where it is about something else, … */
    const struct container *vessel;    /* … and so is its vessel */
    bool sure;
    struct err *err;
};

/* Acid or base beside the pH that was told with it; any product beside what a vessel holds; what
 * was spilled beside what there was. 0, or ERR_UNSURE where it is strange and nobody is sure. */
int rule_acid_told(const struct rule_case *j);
int rule_doses_told(const struct rule_case *j);
int rule_spilled_told(const struct rule_case *j);

#endif
