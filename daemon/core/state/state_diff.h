/* state_diff.h - are two states the same, to the last bit?
 *
 * Pure. What the daemon keeps by applying entries as they come must equal a fold of the whole
 * journal. */
#ifndef TARN_CORE_STATE_STATE_DIFF_H
#define TARN_CORE_STATE_STATE_DIFF_H

#include "daemon/core/state/state.h"

struct text;

/* True when equal. On false the first difference is said in words in *why (NULL = not wanted):
 * "A3.body.volume_l: 8.3 and 8.1". Holds may stand in any order. */
bool state_equal(const struct state *a, const struct state *b, const struct room *room,
                 struct text *why);

#endif
