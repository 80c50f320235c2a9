/* water_source.h - the room's source of plain water: how many litres are there by when.
 *
 * Pure. A source makes so many litres an hour into a tank of its own, which is taken
 * to be full now. */
#ifndef TARN_CORE_ROOM_WATER_SOURCE_H
#define TARN_CORE_ROOM_WATER_SOURCE_H

#include "daemon/core/room/room.h"

#include <stdint.h>

/* Litres to the drain for made_l of water; 0 when the recovery was not told. */
double water_source_drain_l(const struct source_water *s, double made_l);

/* The instant at which making has to begin so that need_l are there at by_s: never before now_s. */
int64_t water_source_start_s(const struct source_water *s, double need_l, int64_t by_s,
                             int64_t now_s);

/* Litres that can be there by by_s. */
double water_source_has_l(const struct source_water *s, int64_t now_s, int64_t by_s);

#endif
