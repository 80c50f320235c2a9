/* ledger.h - what a season came to, counted alike for every policy.
 *
 * Hours are summed as the truth is stepped; what a meter would show is looked at every six of them,
 * what a laboratory would find once a day. Work is booked by the minutes of the room file. Owns its
 * arrays; the room is borrowed. */
#ifndef TARN_TESTS_SEASON_LEDGER_H
#define TARN_TESTS_SEASON_LEDGER_H

#include "tests/season/band.h"
#include "tests/season/food.h"

/* What the minutes went into. */
enum work {
    WORK_CHANGEOVER, /* of the reservoir, and each mix in it */
    WORK_CHANGE,
    WORK_BUMP,
    WORK_PH,
    WORK_READ,
    WORK_LOOK, /* at a level, or at what an alarm names */
    WORK_FILL,
    WORK_CARE, /* with calibrations */
    WORK_OTHER,
    WORK_N,
};

extern const char *const work_words[WORK_N];

struct tally_band {
    double hours, low, high; /* of containers; low and high are parts of them */
};

/* By the food of a container on float (food.h), in hours. */
struct tally_food {
    double hours, wide, narrow; /* inside the bands of it … */
    double over;                /* … and above both */
    double off;                 /* how far from 1 it was, summed */
};

struct tally_foretold {
    size_t n, inside;
};

/* A sheet's dose of acid or base, beside what that water truly needed. */
struct tally_dose {
    double ratio;
    bool again; /* acid or base had gone into this water before */
};

/* What a plant starves of. */
enum starves { STARVES_N, STARVES_K, STARVES_CA, STARVES_KIND_N };

struct ledger {
    const struct room *room;
    int32_t first_day;
    size_t n_days;
    struct tally_band start, on_float; /* of EC, by which band was asked */
    struct food_targets targets;
    struct tally_food food;
    double ph_out_h;
    double plant_ph, tank_ph; /* the lowest of any vessel with a plant, and of the reservoir, … */
    double dosed_ph;          /* … and of any water that acid was just stirred into */
    struct tally_dose *dose;
    size_t n_doses, doses_cap;
    double plant_days, starved_days[STARVES_KIND_N]; /* of plants, as they were looked at */
    double ballast_frac; /* of the EC of planted containers: what plants leave, summed by days */
    double ballast_end_frac; /* the mean of them on the last day */
    double dry_h;            /* hours in which the reservoir could not give what floats asked for */
    double mix_left_h;       /* hours in which it held a mix, and every container was shut off */
    double above_h;          /* of containers over their float line, by a float that stuck */
    size_t above;            /* refills and bumps that left a level above the float line */
    size_t changeovers;      /* plain water to mixes and back */
    size_t changeover_days;  /* days with at least one */
    size_t mixes, jugs, changes, bumps;
    double mixed_l, drained_l, rest_l; /* solution made, drained from containers, left of mixes */
    double plain_l;                    /* plain water that made way for a mix, and was lost */
    double water_l;                    /* plain water taken from the source */
    double *used;                      /* of each product, mL or g */
    double *minutes;                   /* of each day */
    double minutes_of[WORK_N];
    bool *opened;                      /* a changeover on that day */
    size_t figures;                    /* that somebody typed, or wrote down */
    size_t missed;                     /* tasks that were open after their latest day */
    size_t put_off;                    /* for want of water or of a product */
    size_t asks, acks, voids, refused; /* asks: "are you sure?" */
    size_t days_away, days_forgotten, days_late;
    size_t alarms_true, alarms_false;
    size_t faults, noticed, mended;
    double alarm_delay_day, mend_delay_day; /* summed over those noticed, and mended */
    struct tally_foretold float_day, low_day;
    size_t journal, lost; /* entries acknowledged, and of those not in the journal */
    double wall_s;
};

/* Borrows the room; first_day is a civil day. */
void ledger_init(struct ledger *l, const struct room *room, int32_t first_day, size_t n_days);

/* Frees the arrays and leaves *l empty. */
void ledger_deinit(struct ledger *l);

/* Looks at the truth at the end of an hour. */
void ledger_hour(struct ledger *l, const struct truth *t);

/* A pH that was; *least becomes it where it is lower. */
void ledger_ph(double *least, double ph);

/* Books what a sheet's dose was over what was needed. */
void ledger_dose(struct ledger *l, double ratio, bool again);

/* The ratio that this share of the doses does not exceed, of all or of those into water that had
 * been dosed before; NaN where there were none. */
double ledger_dose_ratio(const struct ledger *l, bool again_only, double share);

/* How many doses that are. */
size_t ledger_n_doses(const struct ledger *l, bool again_only);

/* Books work on a day, counted from the first. */
void ledger_work(struct ledger *l, size_t day, enum work what, double minutes);

/* Litres of solution that went down the drain: drained from containers, or left of mixes. */
double ledger_poured_away_l(const struct ledger *l);

/* Minutes of work in an average week. */
double ledger_minutes_week(const struct ledger *l);

/* The part of it that went into one kind of work. */
double ledger_minutes_week_of(const struct ledger *l, enum work what);

/* Days of an average week on which anything was done; the minutes of a week with the way there and
 * back each time; and those of the worst day. */
#define LEDGER_VISIT_MIN 10
double ledger_visits_week(const struct ledger *l);
double ledger_minutes_week_with_visits(const struct ledger *l);
double ledger_worst_day_min(const struct ledger *l);

/* Days on which the work was more than the room's budget for them. */
size_t ledger_days_over(const struct ledger *l);

#endif
