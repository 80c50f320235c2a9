/* ph_dose.h - how much acid or base sets the pH of a water, and what comes of it.
 *
 * Pure. Reckoned from what is left of the water's alkalinity (waters.h) for the water
 * as it stands, closed; and for the day after, when its carbon dioxide has gone. By
 * the label and the balance, and by what this room's doses showed. */
#ifndef TARN_CORE_STATE_PH_DOSE_H
#define TARN_CORE_STATE_PH_DOSE_H

#include "daemon/core/state/waters.h"

/* What a dose rests on. */
enum ph_dose_by {
    PH_DOSE_LEARNED, /* the balance, and this room's own doses */
    PH_DOSE_BALANCE, /* the balance and the labels alone */
    PH_DOSE_BY_HAND, /* nothing that is known: a little, stir, measure */
};

struct ph_dose {
    enum ph_dose_by by;
    size_t product; /* the acid or base; SIZE_MAX = the room has none that serves */
    /* What follows is of a dose that is known, and else 0. */
    double amount_ml;           /* for all of the water, at once */
    double sure_ml;             /* of it, what takes the pH nowhere below 5.0 though the water took
                                   less, by what is in doubt; all of it where that does */
    double lo_ml, hi_ml;        /* within which it lies 9 times in 10 */
    struct nutrients adds_mg_l; /* that it brings */
    double half_ph;             /* once half of what is sure is stirred in */
    double tomorrow_ph;         /* a day after all of it */
    double rests_ph;            /* once no more gas leaves */
    double hold_ml;             /* in all, what holds the pH for good: in two goes, a day apart */
};

/* For volume_l of a water that shows ph_from. A water of which nothing is known is
 * dosed by hand. */
struct ph_dose ph_dose_of(const struct room *room, const struct state *s,
                          const struct dissolved *water, double volume_l, double ph_from,
                          double ph_to);

/* By how much an entry's acid or base is more (above 1) or less than the pH that was
 * told with it asks for, by what was known before; NaN where that cannot be said, or
 * both are a matter of drops. */
double ph_dose_told_over_asked(const struct room *room, const struct state *s,
                               const struct entry *e, double *out_asked_ml);

#endif
