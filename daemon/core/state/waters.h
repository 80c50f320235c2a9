/* waters.h - the waters of the room as a chemist sees them: what is dissolved in
 * each, and what holds its pH (chem/balance.h).
 *
 * Pure. A dose of acid is reckoned from the alkalinity that is left, not from the source's: most of
 * that is used up by the first dose, and the pH that climbs back overnight climbs because carbon
 * dioxide leaves. So the reservoir's alkalinity is part of the state: what its water brought, less
 * acid, plus base, mixed and topped up like the rest. A container's follows from its last pH, for
 * roots change it day by day and it stands open.
 *
 * Calcium, magnesium and the like that came with the source are guessed from its alkalinity,
 * as in most supplies (four tenths of it calcium, a tenth magnesium, in mmol for each meq;
 * common practice, no source): they matter for what they bind, which is little. */
#ifndef TARN_CORE_STATE_WATERS_H
#define TARN_CORE_STATE_WATERS_H

#include "daemon/core/chem/balance.h"
#include "daemon/core/room/entry.h"
#include "daemon/core/state/state.h"

/* An older reading is not the pH that a dose began with, seconds. Common practice, no source. */
#define WATERS_READ_BEFORE_S 43200

/* What solutions in a room have, unless told: the constants are known best there. */
#define WATERS_ROOM_C 25.0

/* Is its alkalinity known? Of other waters nothing here can be asked but to be mixed. */
bool waters_known(const struct dissolved *w);

/* The source's water as it comes: by its report, or by what the doses into it showed. */
struct dissolved waters_source(const struct room *room, const struct state *s);

/* What the reservoir holds at an instant, water or mix: stood open since it was last
 * stirred, and as its last pH showed it. */
struct dissolved waters_reservoir(const struct room *room, const struct state *s, int64_t t_s);

/* The plain water that is kept in the cans, as it was drawn off: with the gas that it had then,
 * which asks for less acid than if that had left. Unknown where the reservoir's was. */
struct dissolved waters_cans(const struct room *room, const struct state *s);

/* What is in the cans once so many litres (at least 0) of plain water were drawn off: as much of it
 * as they hold. */
struct drawn_off waters_drawn_off(const struct room *room, const struct state *s, int64_t t_s,
                                  double volume_l);

/* What the reservoir holds once water is let in up to total_l: before_l of what is in there, then
 * out of the cans, and the rest from the source. */
struct dissolved waters_let_in(const struct room *room, const struct state *s, int64_t t_s,
                               double before_l, double total_l);

/* The solution of a container whose pH was read as this at an instant. Roots change its alkalinity
 * day by day, so the pH says it: with its phosphate, and the gas that is left of what it held when
 * it was last stirred, or that roots keep up where nobody knows (root_gas.h). It holds no more
 * carbonate than can have come since: through its surface, and with the water that was let in. */
struct dissolved waters_container(const struct room *room, const struct state *s, size_t i,
                                  double ph, int64_t t_s);

/* a_l of one and b_l of the other; at least one of them above 0. */
struct dissolved waters_mixed(const struct dissolved *a, double a_l, const struct dissolved *b,
                              double b_l);

/* Stirs in nutrients, mg/L: salts, which bring no alkalinity. */
void waters_feed(struct dissolved *w, const struct nutrients *mg_l);

/* Stirs an amount (mL) of a product into volume_l, where it is an acid or base: by
 * its label, and by what doses of it showed. */
void waters_dose(struct dissolved *w, const struct room *room, const struct state *s,
                 size_t product, double amount_ml, double volume_l);

/* It was stirred, and shows this pH: its alkalinity is what makes it so, with the carbonate that it
 * has. Where nothing is known of it, it is taken to be in balance with the air. */
void waters_show(struct dissolved *w, double ph);

/* Was water let in lately whose acid nobody told yet? */
bool waters_is_let_in(const struct state *s, int64_t t_s);

/* That water, as it was let in. */
struct dissolved waters_undosed(const struct room *room, const struct state *s);

/* The one acid or base among an entry's amounts: its place there, and its product's;
 * -1 where there is none, or more than one. */
int waters_acid_of(const struct room *room, const struct entry *e, size_t *out_product);

/* mL of a product for each mmol of its reagent, by its label. A bottle that does not say what it is
 * counts as a strong acid or base of 1 mmol in a mL: what it truly is, is learned. */
double waters_ml_mmol(const struct product *p);
enum reagent waters_reagent(const struct product *p);

#endif
