/* deed_told.h - what a person says was done, and the entries that come of it.
 *
 * Pure. Strings and lists of a deed are the caller's. */
#ifndef TARN_CORE_TELL_DEED_TOLD_H
#define TARN_CORE_TELL_DEED_TOLD_H

#include "daemon/core/room/entry.h"

/* Figures told of one subject, or ("" as subject) of the task at large. */
struct told {
    char subject[NAME_LEN_MAX + 1];
    char what[ENTRY_WORD_MAX + 1];
    unsigned has;
    double figure[FIGURE_N];
    struct amount amount[ROOM_DOSES_MAX];
    size_t n_amounts;
};

struct deed {
    int64_t now_s;
    int64_t happened_s;
    bool sure;
    bool sensor; /* it is a sensor that tells it */
    uint32_t uid;
    const char *who;  /* never NULL */
    const char *note; /* never NULL; "" = none */
    const char *key;  /* never NULL; "" = none */
    const struct told *told;
    size_t n_told;
    const char *const *only; /* names of the jobs' subjects that this is about; NULL = all */
    size_t n_only;
};

struct entries {
    struct entry *entry;
    size_t n, cap;
};
void entries_deinit(struct entries *es); /* ready for use again */

/* What was told of one subject by name ("" = at large); NULL when nothing was. */
const struct told *deed_told_of(const struct deed *d, const char *subject);

/* What holds for one subject: its own figures over those at large. */
struct told deed_told_for(const struct deed *d, const char *subject);

#endif
