/* calendar.h - growers who know no daemon: a fixed calendar, container by container
 * or all together.
 *
 * Once a week, and on the next day on which somebody is there: a look at every container in
 * drawdown, a reading of every planted one with its pH set right where it is out of the stage's
 * band, the reservoir looked at and filled. Changes every 10 days, to the stage's target by the
 * day of the planting (one strength for each recipe, the mean by litres, where all go
 * together), but not in the last days before a harvest. A bottle that is empty is bought anew
 * and there two days later. A fault is found at the weekly round when it is a week old. */
#ifndef TARN_TESTS_SEASON_CALENDAR_H
#define TARN_TESTS_SEASON_CALENDAR_H

#include "tests/season/faults.h"

/* Days are counted from the first. */
struct calendar {
    struct hands *h;
    struct faults *f;
    bool grouped;
    int64_t week_day;        /* of the last weekly round; -1 = none yet */
    int64_t group_day;       /* of the last change of all */
    bool *on_float;          /* seen, of each container */
    int64_t *due_day;        /* of the next change of each */
    int64_t *idle_day;       /* since when it stands empty */
    int64_t *care_day;       /* of each kind of care */
    int64_t *calibrated_day; /* of each meter */
    int64_t *bought_day;     /* of each product; -1 = nothing is under way */
};

/* Borrows hands and faults; grouped = all containers on one day with one mix. */
void calendar_init(struct calendar *c, struct hands *h, struct faults *f, bool grouped);

/* Frees the arrays and leaves *c empty. */
void calendar_deinit(struct calendar *c);

/* What is done on a day on which somebody is there; before a long weekend the
 * reservoir is filled. */
void calendar_morning(struct calendar *c, bool leaves);

#endif
