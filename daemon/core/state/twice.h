/* twice.h - was that told already?
 *
 * Pure. Water by hand, a dose, a bottle that came: each counts anew when it is told, so that a line
 * that is typed twice is 2 L for one. The fold keeps the last of them of each thing; readings and
 * the like say the same however often they are told, and are not kept.
 */
#ifndef TARN_CORE_STATE_TWICE_H
#define TARN_CORE_STATE_TWICE_H

#include "daemon/core/state/state.h"

/* Keeps an entry that was folded. */
void twice_keep(struct state *s, const struct room *room, const struct entry *e);

/* Was the same told of the same thing at the same time, last of what counts anew? */
bool twice_told(const struct state *s, const struct room *room, const struct entry *e);

#endif
