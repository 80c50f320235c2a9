/* trust.h - how far a meter was to be believed when it was read.
 *
 * Pure. A reading taken with an expired or bad calibration is kept, counts, and is marked. */
#ifndef TARN_CORE_STATE_TRUST_H
#define TARN_CORE_STATE_TRUST_H

#include "daemon/core/state/state.h"

enum trust { TRUST_GOOD, TRUST_UNCALIBRATED, TRUST_EXPIRED, TRUST_BAD };

#define TRUST_WHY_MAX 160

/* Of a meter at an instant; `why` says what is wrong, for a person ("" when nothing is). */
enum trust trust_of_meter(const struct room *room, const struct state *s, size_t meter, int64_t t_s,
                          char why[TRUST_WHY_MAX]);

/* Of the meters that an entry was measured with, the worst of them. An entry without EC and pH, and
 * one in a room without meters, is good. */
enum trust trust_of_entry(const struct room *room, const struct state *s, const struct entry *e,
                          char why[TRUST_WHY_MAX]);

#endif
