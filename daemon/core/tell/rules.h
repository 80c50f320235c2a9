/* rules.h - the rules of the room that an entry must keep.
 *
 * Pure. Form is entry.h's business (entry_check_form); here it is judged against the state, as of
 * the entry's instant. Nothing is ever changed. */
#ifndef TARN_CORE_TELL_RULES_H
#define TARN_CORE_TELL_RULES_H

#include "daemon/core/state/state.h"

struct err;

/* - Nothing raises a level above the safe one (forecast_safe_volume_l), whoever asks, sure or not.
 * - Only an idle, clean container is started; only a planted one is refilled, bumped, harvested …
 * - A container is refilled only after it was drained.
 * - A mix or a fill is not larger than the reservoir; plain water is not let into a mix.
 * The entry has passed entry_check_form: its subject is one that its kind is about.
 * ERR_REFUSED with the reason, ERR_UNKNOWN for a stage that the crop has not; ERR_UNSURE, unless
 * `sure`, where it is possible but strange. */
int rules_check(const struct state *s, const struct room *room, const struct entry *e, bool sure,
                struct err *err);

#endif
