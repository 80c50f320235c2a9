/* fold.h - what each entry of the journal does to the state: folded in one after the other.
 *
 * Pure. state = fold(room, entries), with the entries ordered by (happened_s, seq) and the voided
 * ones (and their voids) left out; nothing else is truth, so whoever folds the same entries has
 * the same state to the last bit. One entry costs O(1), or O(containers) where it is about the
 * reservoir. The rules stand in fold_container.c, fold_reservoir.c, fold_dose.c, fold_life.c and
 * fold_upkeep.c. */
#ifndef TARN_CORE_STATE_FOLD_H
#define TARN_CORE_STATE_FOLD_H

#include "daemon/core/state/state.h"

/* Folds one entry in; it must not be voided. Total: an entry that the room or the state has no
 * place for (it names what the room file no longer has, or a float of an idle container) is counted
 * in n_skipped and changes nothing else. */
void fold_entry(struct state *s, const struct room *room, const struct entry *e);

#endif
