/* calendar.h - growers who know no daemon: a fixed calendar, container by container
 * or all together; and one who keeps a notebook and walks with a meter.
 *
 * The calendars: once a week, and on the next day on which somebody is there, a look at every
 * container in drawdown, a reading of every planted one with its pH set right where it is out of
 * the stage's band, the reservoir filled. Changes every 10 days, to the stage's target by the day
 * of the planting (one strength for each recipe, the mean by litres, where all go together), but
 * not in the last days before a harvest.
 *
 * The notebook: on Mondays and Thursdays, and on the next day where nobody was there, all that is
 * to be done is done: starts, harvests, looks, care, and every container on float is read. One
 * below a share of its target is bumped to it, a step of the crop at most; when the solutions of
 * half of them have had their days all are changed together. In drawdown it looks and reads once a
 * week.
 *
 * All of them look at the reservoir daily and fill it when it is down to its low mark, and before a
 * day away. A bottle that is empty is bought anew and there two days later. A fault is found at the
 * round when it is a week old. */
#ifndef TARN_TESTS_SEASON_CALENDAR_H
#define TARN_TESTS_SEASON_CALENDAR_H

#include "tests/season/faults.h"

enum calendar_way { CALENDAR_EACH, CALENDAR_GROUPED, CALENDAR_NOTEBOOK };

struct calendar_habits {
    enum calendar_way way;
    double bump_below_frac; /* of the target: what a notebook's grower bumps */
    double bump_to_frac;    /* … to this share of it, as far as the steps of its crop allow */
    int64_t change_days;    /* how long a solution serves */
};

/* Days are counted from the first. */
struct calendar {
    struct hands *h;
    struct faults *f;
    struct calendar_habits habits;
    int64_t week_day;        /* of the last weekly round; -1 = none yet */
    int64_t round_day;       /* of the notebook's last round */
    int64_t group_day;       /* of the last change of all */
    bool *on_float;          /* seen, of each container */
    int64_t *due_day;        /* of the next change of each */
    int64_t *idle_day;       /* since when it stands empty */
    double *last_ms_cm;      /* the strength that it was made to last */
    int64_t *care_day;       /* of each kind of care */
    int64_t *calibrated_day; /* of each meter */
    int64_t *bought_day;     /* of each product; -1 = nothing is under way */
};

/* Borrows hands and faults. */
void calendar_init(struct calendar *c, struct hands *h, struct faults *f,
                   struct calendar_habits habits);

/* Frees the arrays and leaves *c empty. */
void calendar_deinit(struct calendar *c);

/* What is done on a day on which somebody is there; `leaves`: nobody will be tomorrow. */
void calendar_morning(struct calendar *c, bool leaves);

#endif
