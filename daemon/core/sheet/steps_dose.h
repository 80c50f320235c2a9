/* steps_dose.h - steps that bring water to a strength: doses, measuring, and putting it right.
 *
 * Inside this folder only. */
#ifndef TARN_CORE_SHEET_STEPS_DOSE_H
#define TARN_CORE_SHEET_STEPS_DOSE_H

#include "daemon/core/sheet/steps_ph.h"
#include "daemon/core/sheet/steps_writer.h"
#include "daemon/core/state/dosing.h"

/* One product of the task's recipe a step, in the order of addition, as it can be measured out; the
 * last says by how much rounding may move the EC. Into "the reservoir", "the jug". */
void steps_doses(const struct steps_writer *w, const struct dosing_rise *rise, const char *words,
                 enum step_into into);

/* The same as cells of a table, a product a column; and of the vessel that was added last. */
void steps_dose_cells(const struct steps_writer *w, const struct portion *portion, size_t n);
void steps_dose_vessel(const struct steps_writer *w, const struct portion *portion, size_t n);

/* The litres of water that come in with them, where they are thinned to be measured. */
double steps_doses_bring_l(const struct steps_writer *w, const struct dosing_rise *rise);

#define STEPS_ROUNDING_FRAC 0.005 /* below this nobody's meter shows it, and it is not said */

#define BRINGS_TOLD_L 0.005 /* less raises no level that an eye sees */

/* The plain water that is put in first, of the rise's litres: less by what the doses bring. */
double steps_water_l(const struct steps_writer *w, const struct dosing_rise *rise);

/* Acid before nutrients, where the plain water holds so much alkalinity that they would cloud in
 * it: adds the step, and stirs the half that it tells into p's water. No other water. */
void steps_acid_first(const struct steps_writer *w, struct ph_wanted *p);

/* The litres of its own solution, at least, in which a container's bump stays clear until it is
 * poured back; 0 where half a litre does, or nobody knows what the products contain. */
double steps_clear_jug_l(const struct steps_writer *w, size_t container,
                         const struct dosing_rise *rise);

/* Where a weak solution is kept in the reservoir: what makes it of the `held` in there and
 * added_l of source water, and the measuring. *water gets what the doses bring. Nothing where
 * plain water is kept. */
void steps_feed(const struct steps_writer *w, struct liquid held, double added_l,
                struct dissolved *water);

/* Water that is too strong already: what would serve instead. */
void steps_hard_water(const struct steps_writer *w, double volume_l, double ec_target,
                      double ec_water);

/* Stir, wait, measure: between which strengths it serves, within_frac to either side. Where it
 * teaches what the recipe does, that it is to be noted before anything corrects it. */
void steps_measure(const struct steps_writer *w, double ec_target, double within_frac,
                   bool teaches);

/* A mix that does not read what it should: plain water, or more of everything. Where more than
 * fits_l of water is wanted, as much is drawn off first. */
void steps_correct(const struct steps_writer *w, double volume_l, double ec_target, double fits_l);

#endif
