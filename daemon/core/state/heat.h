/* heat.h - a solution that grows warm: from when it is told of, and from when roots rot in it.
 *
 * Pure. Oxygen is what a root in standing water lives on: saturated water holds 9.1 mg/L of it at
 * 20 C, 8.4 at 24 and 7.8 at 28 (Benson & Krause 1984, Limnol. Oceanogr. 29:620-632; from memory),
 * while the roots breathe more. Lettuce grows best at 24 C, and less at 31 (Thompson, Langhans,
 * Both & Albright 1998, J. Amer. Soc. Hort. Sci. 123:361-364; from memory); Pythium aphanidermatum
 * is at home from 25 or 30 C on (from memory). That it is told of from 24 C and grave from 28 C is
 * common practice, no source; a crop may say otherwise (`warm`, `hot` in the room file). The
 * reservoir goes by the usual figures, whatever grows.
 *
 * What opened at a figure shuts HEAT_SHUT_C below it, so that a thermometer does not make it
 * flutter. A reading is old after HEAT_OLD_S, or when the solution was changed since: then nothing
 * is known. */
#ifndef TARN_CORE_STATE_HEAT_H
#define TARN_CORE_STATE_HEAT_H

#include "daemon/core/state/state.h"

#define HEAT_SHUT_C 1.0
#define HEAT_OLD_S  (3 * 86400LL)

/* ---- For the fold, before it keeps the temperature as the last one measured. An idle container
 * warms nobody's roots. */
void heat_container(const struct room *room, struct state *s, size_t i, double temp_c, int64_t t_s);
void heat_reservoir(struct state *s, double temp_c, int64_t t_s);

/* ---- For all: of a container or the reservoir. */

/* Is its last temperature too old to say anything now, or was there none? */
bool heat_is_old(const struct state *s, struct subject subject, int64_t now_s);

/* Is it warm, and not so hot that it is an alarm? */
bool heat_is_told(const struct state *s, struct subject subject, int64_t now_s);

#endif
