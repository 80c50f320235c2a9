/* steps_ph.h - the step that sets a pH: to what, with how much of what.
 *
 * Inside this folder only. */
#ifndef TARN_CORE_SHEET_STEPS_PH_H
#define TARN_CORE_SHEET_STEPS_PH_H

#include "daemon/core/sheet/steps_writer.h"
#include "daemon/core/state/ph_dose.h"

/* A pH that is to be set. */
struct ph_wanted {
    struct dissolved water; /* as it is before the dose, nutrients included */
    double volume_l;
    double from; /* as measured; NaN = not yet: it is foretold from the water */
    double to, lo, hi;
    double drifts_ph_day; /* it is set off the middle for that; 0 = it is not */
    double rests_ph;      /* where it comes to by itself; 0 = nothing to say of it */
    bool planted;         /* roots stand in it */
    bool begun;    /* half of the acid went in before the nutrients: the rest is due in any case */
    double cans_l; /* so much of it is out of the cans, as far as anybody knows … */
    struct dissolved fresh; /* … and this is what it is if that came from the source */
};

/* A pH that the reservoir's figures in the room file ask for. */
struct ph_wanted steps_ph_of_reservoir(const struct steps_writer *w, const struct dissolved *water,
                                       double volume_l);

/* The same for plain water that floats let in: so low in its band that it comes to rest there when
 * its gas has left, as far as one dose can. */
struct ph_wanted steps_ph_of_plain(const struct steps_writer *w, const struct dissolved *water,
                                   double volume_l);

/* A pH that the containers of the task want, all of them: within what their stages bear. Where they
 * have nothing in common the reservoir's own serves. It is for the water once nutrients for so much
 * of EC are stirred in; as it is given it has the water before that. */
struct ph_wanted steps_ph_of_mix(const struct steps_writer *w, const struct dissolved *water,
                                 double volume_l, double gain_ms_cm);

/* A water with what the task's recipe brings to raise it by gain_ms_cm (0 where it is
 * below 0). */
struct dissolved steps_fed(const struct steps_writer *w, const struct dissolved *water,
                           double gain_ms_cm);

/* For a water that is let in up to total_l, onto before_l: were there nothing in the cans, and
 * nutrients for so much of EC stirred in (0 = none). */
void steps_ph_without_cans(struct ph_wanted *ph, const struct steps_writer *w, double before_l,
                           double total_l, double gain_ms_cm);

/* Sets the pH off the middle of its band where it drifts, so that it stays in there for `days`. */
void steps_ph_against_drift(struct ph_wanted *ph, double ph_day, double days);

/* An amount of acid or base, in two digits: it is known to a few percent at best, and more would
 * promise what nobody knows. Returns buf. */
char *steps_acid_ml(char buf[QUANTITY_TEXT_MAX], const struct steps_writer *w, double ml);

/* Adds how an amount that falls between the steps of the syringe is measured; else nothing. */
void steps_acid_thinned(const struct steps_writer *w, double ml, struct text *out);

/* The same for a solution that was read while its gas still leaves. */
void steps_ph_leave_room(struct ph_wanted *ph);

/* Adds the step. */
void steps_ph(const struct steps_writer *w, const struct ph_wanted *wanted);

#endif
