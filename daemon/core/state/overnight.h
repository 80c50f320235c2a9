/* overnight.h - does the reservoir hold its water? A night with every shut-off closed tells,
 * whatever plants drink.
 *
 * Pure. In the evening the water line is marked with tape and every shut-off is closed; in the
 * morning a jug fills the reservoir up to the tape. What that took is what the tank, the line and
 * its fittings lost: there is no model of plants in it. Nights are weighed one after another by a
 * sequential probability ratio (Wald 1945, Ann. Math. Stat. 16:117; Page 1954, Biometrika 41:100),
 * a loss of OVERNIGHT_LEAK_SD against none. */
#ifndef TARN_CORE_STATE_OVERNIGHT_H
#define TARN_CORE_STATE_OVERNIGHT_H

#include "daemon/core/state/state.h"

#define OVERNIGHT_OPEN 3.6 /* so much evidence is no chance any more: e^3.6, 36 to one */

/* A night was told: e's FIGURE_ADDED_L filled the reservoir up to its mark. A tight one clears what
 * the plants' own use did not explain, since neither tank nor line loses it. */
void overnight_told(const struct room *room, struct state *s, const struct entry *e);

/* The instant from which a night is wanted: at the room's interval after the last one, and at once
 * while the last night, or what the reservoir lost of late, is in doubt. 0 = none: the room asks
 * for none, nothing is on float, or the reservoir holds no plain water. */
int64_t overnight_wanted_s(const struct room *room, const struct state *s);

/* Were the shut-offs opened so lately that floats may still fill what was drunk overnight? A level
 * that is read meanwhile, of the reservoir or a container, says nothing of what is lost. */
bool overnight_floats_fill(const struct state *s, int64_t t_s);

/* Is it wanted because something is in doubt? */
bool overnight_is_doubted(const struct state *s);

#endif
