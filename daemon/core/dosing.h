/* dosing.h - how much of each product makes a strength.
 *
 * Pure. Linear: a recipe's full dose adds ec_gain_ms_cm to any water, a part of it adds that part.
 */
#ifndef TARN_CORE_DOSING_H
#define TARN_CORE_DOSING_H

#include "daemon/core/entry.h"
#include "daemon/core/room.h"

/* Amounts (mL or g) of each product, in the order of addition, that raise volume_l of water by
 * ec_gain_ms_cm (<= 0 gives amounts of 0). Returns how many. */
size_t dosing_amounts(const struct room *room, size_t recipe, double volume_l, double ec_gain_ms_cm,
                      struct amount out[ROOM_DOSES_MAX]);

#endif
