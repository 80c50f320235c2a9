/* sighted.h - what people saw on plants and in the reservoir, for as long as it counts.
 *
 * Pure. What a sighting does stands in words/sighting.h; here it is done: the next strength is held
 * or stepped, a look is asked for. */
#ifndef TARN_CORE_STATE_SIGHTED_H
#define TARN_CORE_STATE_SIGHTED_H

#include "daemon/core/state/state.h"

/* For the fold: seen on a container, or on the reservoir. A plant's sighting where none grows is
 * kept by the journal alone. One that asks for a look asks for another when a person has looked at
 * the last. */
void sighted_take(const struct room *room, struct state *s, struct subject subject,
                  enum sighting seen, int64_t t_s);

/* When it was last seen on a container or the reservoir, if it counts still: it is not too old, the
 * solution that answers it was not made since, and the plant stands. 0 otherwise. */
int64_t sighted_s(const struct state *s, struct subject subject, enum sighting seen, int64_t now_s);

#endif
