/* dosing.h - how much of each product makes a strength.
 *
 * Pure. A recipe's full dose adds what was learned of it (the room file's figure at first) to the
 * source's water. A part of it adds more than that part, and what goes into a solution less: ions
 * hold each other back. A fifth of a full Hoagland reads 11 % more than a fifth of its EC. How much
 * is reckoned from the ions where every product of the recipe says what is in it; where one does
 * not, or the labels leave out a quarter of the charges, a part adds that part. */
#ifndef TARN_CORE_STATE_DOSING_H
#define TARN_CORE_STATE_DOSING_H

#include "daemon/core/room/portion.h"
#include "daemon/core/state/state.h"

/* EC of the plain water that a mix starts from: of the reservoir while it holds water and that was
 * measured, else of the source. */
double dosing_base_ec(const struct room *room, const struct state *s);

/* EC of volume_l in the reservoir before it is dosed: of the plain water, and of the weak solution
 * that is kept in it, or what is left of an earlier mix of that recipe. */
double dosing_mix_base_ec(const struct room *room, const struct state *s, size_t recipe,
                          double volume_l);

/* What is to be raised, from which EC and by how much. What it holds already is taken for a part of
 * the same recipe, whatever it is. */
struct dosing_rise {
    double volume_l;
    double from_ms_cm;
    double gain_ms_cm; /* <= 0 takes nothing */
};

/* Amounts (mL or g) of each product, in the order of addition, that raise volume_l of plain water
 * by ec_gain_ms_cm (<= 0 gives amounts of 0). Returns how many. */
size_t dosing_amounts(const struct room *room, const struct state *s, size_t recipe,
                      double volume_l, double ec_gain_ms_cm, struct amount out[ROOM_DOSES_MAX]);

/* The same of any water or solution, as they can be measured out; portion i is of the recipe's dose
 * i. */
size_t dosing_portions(const struct room *room, const struct state *s, size_t recipe,
                       const struct dosing_rise *rise, struct portion out[ROOM_DOSES_MAX]);

/* What a fill is to be raised by where a weak solution is kept in the reservoir: it holds `held`,
 * and added_l of the source's water were let in. */
struct dosing_rise dosing_fill_rise(const struct room *room, struct liquid held, double added_l);

/* What a share of the full dose adds to a water or solution of from_ms_cm, over what the full dose
 * adds to the source's water. */
double dosing_gain_frac(const struct room *room, const struct state *s, size_t recipe,
                        double from_ms_cm, double share);

/* By how much rounding to these portions can move the EC at most, as a share of the gain. */
double dosing_off_frac(const struct portion *portion, size_t n);

/* Puts portions into amounts, as a person would tell them. */
size_t dosing_as_amounts(const struct room *room, size_t recipe, const struct portion *portion,
                         size_t n, struct amount out[ROOM_DOSES_MAX]);

/* mg/L of each nutrient when a recipe has raised the EC of plain water, or of any other from
 * from_ms_cm, by ec_gain_ms_cm. */
struct nutrients dosing_feed(const struct room *room, const struct state *s, size_t recipe,
                             double ec_gain_ms_cm);
struct nutrients dosing_feed_from(const struct room *room, const struct state *s, size_t recipe,
                                  double from_ms_cm, double ec_gain_ms_cm);

/* mg of each nutrient that amounts of products bring. Products whose contents were not told bring
 * nothing. */
struct nutrients dosing_brings(const struct room *room, const struct amount *amount, size_t n);

#endif
