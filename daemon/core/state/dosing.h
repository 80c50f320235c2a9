/* dosing.h - how much of each product makes a strength, and of an acid or base a pH.
 *
 * Pure. Linear: a recipe's full dose adds what was learned of it (the room file's figure at first)
 * to any water, a part of it adds that part. */
#ifndef TARN_CORE_STATE_DOSING_H
#define TARN_CORE_STATE_DOSING_H

#include "daemon/core/room/portion.h"
#include "daemon/core/state/state.h"

/* EC of the plain water that a mix starts from: of the reservoir while it holds water and that was
 * measured, else of the source. */
double dosing_base_ec(const struct room *room, const struct state *s);

/* EC of volume_l in the reservoir before it is dosed: of the plain water, and of what is left of an
 * earlier mix of that recipe. */
double dosing_mix_base_ec(const struct room *room, const struct state *s, size_t recipe,
                          double volume_l);

/* Amounts (mL or g) of each product, in the order of addition, that raise volume_l of water by
 * ec_gain_ms_cm (<= 0 gives amounts of 0). Returns how many. */
size_t dosing_amounts(const struct room *room, const struct state *s, size_t recipe,
                      double volume_l, double ec_gain_ms_cm, struct amount out[ROOM_DOSES_MAX]);

/* The same as they can be measured out; portion i is of the recipe's dose i. */
size_t dosing_portions(const struct room *room, const struct state *s, size_t recipe,
                       double volume_l, double ec_gain_ms_cm, struct portion out[ROOM_DOSES_MAX]);

/* By how much rounding to these portions can move the EC at most, as a share of the gain. */
double dosing_off_frac(const struct portion *portion, size_t n);

/* Puts portions into amounts, as a person would tell them. */
size_t dosing_as_amounts(const struct room *room, size_t recipe, const struct portion *portion,
                         size_t n, struct amount out[ROOM_DOSES_MAX]);

/* mg/L of each nutrient when a recipe has raised the EC of plain water by ec_gain_ms_cm. */
struct nutrients dosing_feed(const struct room *room, const struct state *s, size_t recipe,
                             double ec_gain_ms_cm);

/* mg of each nutrient that amounts of products bring. Products whose contents were not told bring
 * nothing. */
struct nutrients dosing_brings(const struct room *room, const struct amount *amount, size_t n);

/* The pH that plain water of ph_water comes to with these nutrients in it; NaN when the
 * alkalinity or the phosphate is not known. Within half a unit. */
double dosing_expected_ph(const struct room *room, double ph_water,
                          const struct nutrients *feed_mg_l);

/* How an acid or base is dosed. */
enum titration {
    TITRATION_LEARNED, /* from this room's own doses */
    TITRATION_BALANCE, /* from the alkalinity, by acidity.h */
    TITRATION_BY_HAND, /* neither: a little, stir, measure */
};

struct ph_dose {
    enum titration by;
    size_t product;             /* the acid or base; SIZE_MAX = the room has none that serves */
    double amount_ml;           /* to begin with, of TITRATION_LEARNED and _BALANCE */
    double lo_ml, hi_ml;        /* within which it lies 9 times in 10 */
    struct nutrients adds_mg_l; /* that it brings */
};

/* For volume_l of plain water or of a solution with feed_mg_l in it, from one pH to another. */
struct ph_dose dosing_ph(const struct room *room, const struct state *s, enum titrated in,
                         double volume_l, double ph_from, double ph_to,
                         const struct nutrients *feed_mg_l);

#endif
