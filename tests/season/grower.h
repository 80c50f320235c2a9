/* grower.h - a person who lives by the daemon's list.
 *
 * Each morning on which somebody is there the clock is set to it, the list is asked
 * for, and its tasks are done in their order: by hand (hands.h), told with what the
 * meters showed. Now and then a wrong figure is told and voided. What daemon and truth
 * say is compared on the way: alarms, foretold days, tasks past their latest day. */
#ifndef TARN_TESTS_SEASON_GROWER_H
#define TARN_TESTS_SEASON_GROWER_H

#include "tests/season/faults.h"
#include "tests/season/live_daemon.h"
#include "tests/season/told.h"

/* A day foretold of a container, or of the reservoir; civil days. */
struct foretold {
    bool waits, asked;
    int32_t lo, hi;
    double spare_l, drawn_l; /* of the reservoir: true litres to the low mark, counted from here */
};

struct grower {
    const struct room *room;
    struct live_daemon *link;
    struct hands *h;
    struct faults *f;
    struct dice dice;
    struct err err; /* what ended it */
    struct told_all told;
    bool verbose; /* says on stderr what it does */
    size_t
        traced; /* a container whose days are told on stderr; SIZE_MAX = none, n_containers = all */
    char now[24];  /* 2026-03-01 08:00 */
    int32_t today; /* civil */
    size_t n_keys; /* of acknowledgements */
    size_t tasks_today;
    size_t fills_today;
    double glance_l; /* the reservoir's mark this morning, not told yet; NaN = none */
    bool closes_tonight;
    double tape_l;  /* where the reservoir stood in the evening … */
    double night_l; /* … and what a jug took to bring it back; NaN = no night to tell */
    bool kill_wanted, disk_full;
    int64_t *bought_day;      /* of each product, counted from the first; -1 = nothing under way */
    int64_t *ph_out_day;      /* of each container: pH was truly out when it was read */
    json_t *alarms, *overdue; /* seen before; by what they are */
    json_t *left;             /* tasks that were put off this morning, wherever the list has them */
    struct foretold *float_day;
    struct foretold low;
};

/* Borrows hands, faults and daemon; its dice come from the seed of the hands. */
void grower_init(struct grower *g, struct hands *h, struct faults *f, struct live_daemon *link);

/* Frees what it remembers and leaves *g empty. */
void grower_deinit(struct grower *g);

/* A morning's work at an hour of the day of the hands. Negative with g->err filled in when the
 * daemon went away for good or refused what it must take. */
int grower_morning(struct grower *g, int hour);

/* In the evening, where the list asked for a night: tape at the water line of the reservoir, and
 * every shut-off closed. In the morning, an hour before the work: filled up to the tape, and
 * opened. */
void grower_closes(struct grower *g);
void grower_opens(struct grower *g);

/* At the end of each day: did what was foretold come? */
void grower_evening(struct grower *g);

/* Is all that was acknowledged in the journal? Books what is lost. */
int grower_end(struct grower *g);

#endif
