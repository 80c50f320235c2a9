/* strength_changed.h - what was learned of a bottle does not hold for another one.
 *
 * Pure. Where a room file that is read anew tells other contents of a product, the doses that were
 * learned with the contents before are begun anew, as of now: by an entry, since the state is what
 * the journal says, and nothing else. */
#ifndef TARN_CORE_TELL_STRENGTH_CHANGED_H
#define TARN_CORE_TELL_STRENGTH_CHANGED_H

#include "daemon/core/state/state.h"
#include "daemon/core/tell/deed_told.h"

/* Adds an entry for each product of `now` whose contents, or strength as an acid or base, were told
 * otherwise in `before`, and of which the state has learned something. It is the state `of` one of
 * the two rooms. */
void strength_changed(const struct room *before, const struct room *now, const struct room *of,
                      const struct state *s, int64_t now_s, uint32_t uid, struct entries *out);

#endif
