/* dosed_water.h - the water that an entry's acid or base was stirred into.
 *
 * Pure. Asked before the entry is folded. */
#ifndef TARN_CORE_STATE_DOSED_WATER_H
#define TARN_CORE_STATE_DOSED_WATER_H

#include "daemon/core/state/waters.h"

/* The reservoir's as it was filled or mixed, or a container's solution: as it was read before, or,
 * where its first solution stood for a second dose, as that stood. And its litres. Unknown where
 * its kind has no acid, or nobody knows. */
struct dissolved dosed_water(const struct room *room, const struct state *s, const struct entry *e,
                             double *out_volume_l);

#endif
