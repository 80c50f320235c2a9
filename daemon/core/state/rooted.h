/* rooted.h - the phosphate of a solution with roots in it, which holds its pH with its alkalinity.
 *
 * Pure. A container's phosphate has an account of its own. It does not follow the EC, as the feed
 * in mg/L does: a plant leaves much of what it is given, and an acid of phosphate, stirred into all
 * the water that a float lets in, brings more of it than the recipe. In ten weeks such a solution
 * comes to hold five times what the recipe gave, and takes five times the base. What the account
 * gets wrong, a dose shows: how much it took from one pH to the other says what the solution holds.
 *
 * Phosphate that plants take: 0.65 mmol for each mS/cm of their uptake (Sonneveld & Voogt 2009,
 * Plant Nutrition of Greenhouse Crops: 1.0 to 1.25 mmol/L in solutions of 1.6 to 1.7 mS/cm that
 * hold what a closed crop takes up; from memory). */
#ifndef TARN_CORE_STATE_ROOTED_H
#define TARN_CORE_STATE_ROOTED_H

#include "daemon/core/state/forecast.h"
#include "daemon/core/state/waters.h"

/* Moves container i's account from its anchor to what is forecast of it: what came with the water
 * that the float let in, what the plant took, and what is gathered in less water. Asked before the
 * anchor is moved. */
void rooted_stand(const struct room *room, struct state *s, size_t i, const struct forecast *then);

/* Products were stirred into it; mg in volume_l. */
void rooted_feed(struct container_state *cs, const struct nutrients *mg, double volume_l);

/* So many litres of another water were poured onto before_l of it; mg/L in that, NULL = none. */
void rooted_pour(struct container_state *cs, double before_l, const struct nutrients *mg_l,
                 double poured_l);

/* A dose of so many mL took the solution, as it was before, to a pH: the phosphate by which it does
 * is believed, beside what the account said. Nothing where the dose was a matter of drops, or went
 * the wrong way. */
struct rooted_dose {
    const struct dissolved *before;
    double volume_l;
    size_t product;
    double amount_ml;
    double ph_to;
};
void rooted_see(const struct room *room, struct state *s, size_t i, const struct rooted_dose *d);

#endif
