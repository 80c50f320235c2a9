/* acid.h - how a person sets a pH: by what a sheet says, or a little at a time until the meter
 * shows it.
 *
 * Nobody knows beforehand what the water takes: what went in stays in, and what the meter shows
 * then is what there is. No minutes are booked: they belong to the task. */
#ifndef TARN_TESTS_SEASON_ACID_H
#define TARN_TESTS_SEASON_ACID_H

#include "tests/season/hands.h"

/* What a sheet says of a pH. */
struct acid_sheet {
    double ph;
    size_t product; /* an acid or base; SIZE_MAX = it gives no amount */
    double ml;
    double first_ml; /* of an acid that goes in before the nutrients … */
    size_t first;    /* … which is this … */
    double first_ph; /* … and of which half is enough where it shows so little then */
    double half_ph;  /* that the half of it should show; 0 = not a word of it */
    double less_ph;  /* before any is in: then half of all is enough; 0 = not a word of it */
    double quick_ph; /* where only half of the rest is wanted; 0 = not a word of it */
    double last_ml;  /* beyond it, a little at a time */
    double full_l;   /* so much there is then; 0 = not a word of it */
    double cans_l;   /* taken to be out of the cans; 0 = not a word of it … */
    double each_ml;  /* … and what goes in first for each litre less */
    double
        half_unit_ml[2]; /* for half a unit down, and up, where it gives no amount; 0 = no word */
};

/* What went in. */
struct acid_given {
    size_t product; /* SIZE_MAX = nothing */
    double ml;
    double ph; /* that the meter shows in the end */
};

/* Adds a little at a time of the room's first acid or base until the meter shows the pH to a
 * tenth, or is past it. Nothing goes in where the meter shows it already, or the room has no such
 * bottle. */
struct acid_given acid_by_hand(struct hands *h, size_t vessel, double ph);

/* Stirs in half of what the sheet says, measures, and stirs in the rest where the meter is still
 * short of the pH by more than a tenth: only half of it where the half did as much as the sheet
 * warns of, and something between in between. By hand where it gives no amount. Books in the
 * ledger how much the dose was over what that water truly needed. */
struct acid_given acid_by_sheet(struct hands *h, size_t vessel, const struct acid_sheet *sheet);

#endif
