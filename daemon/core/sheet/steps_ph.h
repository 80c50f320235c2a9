/* steps_ph.h - the step that sets a pH: to what, with how much of what.
 *
 * Inside this folder only. */
#ifndef TARN_CORE_SHEET_STEPS_PH_H
#define TARN_CORE_SHEET_STEPS_PH_H

#include "daemon/core/sheet/steps_writer.h"
#include "daemon/core/state/dosing.h"

/* A pH that is to be set. */
struct ph_wanted {
    enum titrated in;
    double volume_l;
    double from;  /* as measured; NaN = not yet … */
    double water; /* … and the plain water's, from which it can be foretold */
    double to, lo, hi;
    double drifts_ph_day; /* it is set off the middle for that; 0 = it is not */
    const struct nutrients *feed_mg_l;
};

/* A pH that the reservoir's figures in the room file ask for; feed_mg_l is borrowed. */
struct ph_wanted steps_ph_of_reservoir(const struct steps_writer *w, enum titrated in,
                                       double volume_l, const struct nutrients *feed_mg_l);

/* A pH that the containers of the task want, all of them: within what their stages bear. Where they
 * have nothing in common the reservoir's own serves. */
struct ph_wanted steps_ph_of_containers(const struct steps_writer *w, double volume_l,
                                        const struct nutrients *feed_mg_l);

/* Sets the pH off the middle of its band where it drifts, so that it stays in there for `days`. */
void steps_ph_against_drift(struct ph_wanted *ph, double ph_day, double days);

/* Adds the step. */
void steps_ph(const struct steps_writer *w, const struct ph_wanted *p);

#endif
