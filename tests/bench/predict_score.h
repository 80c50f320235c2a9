/* predict_score.h - what predictbench counts, and how it is printed.
 *
 * Scores are added to over all rooms; the medians are of all that was told. */
#ifndef TARN_TESTS_BENCH_PREDICT_SCORE_H
#define TARN_TESTS_BENCH_PREDICT_SCORE_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/alarm.h"

#include <stdbool.h>
#include <stddef.h>

/* What the truth is like, none of which the core is told. */
enum truths {
    TRUTH_DRAWN,       /* from what the core believes beforehand */
    TRUTH_EVAPORATION, /* 40 mL a day leave each container undrunk */
    TRUTH_SPREADS,     /* plants and days differ by half as much again */
    TRUTH_CROP,        /* the crop's file is off by two, in size and in pace */
    TRUTH_HEAT,        /* two weeks in which all drink 1.6 times as much */
    TRUTH_GREENHOUSE,  /* plants drink as a greenhouse's did: tests/data/greenhouse-cucumber.json */
    TRUTH_N
};
extern const char *const truth_words[TRUTH_N];

enum { GREENHOUSE_N = 6, GREENHOUSE_DAYS = 115 };

/* One thing as it was foretold: five quantiles, at 5, 25, 50, 75 and 95 %, and what the straight
 * line says (NaN where there is none). */
enum { FORETOLD_N = 5 };
struct foretold {
    double at[FORETOLD_N];
    double line;
};

/* Things foretold: hit or missed, and by how much. */
struct score {
    size_t n, inside;
    double *off, *width; /* of the median, absolute; of the nine in ten */
    double crps;         /* sum of the continuous ranked probability score … */
    size_t n_line;       /* … of those that the line has a word on, … */
    double crps_beside;  /* … and theirs … */
    double line;         /* … beside the line's, which is its distance */
    size_t cap, cap_width;
};

/* What is wrong in a room, unknown to the core: leaks lose so many percent of what the room
 * drinks. */
enum faults {
    FAULT_NONE,
    FAULT_LEAK_5,
    FAULT_LEAK_10,
    FAULT_LEAK_20,
    FAULT_CLOG,
    FAULT_STUCK,
    FAULT_REFILL,
    FAULT_BUCKET,
    FAULT_SWAP,
    FAULT_N
};

extern const char *const fault_words[FAULT_N];

/* How often a fault was noticed, and after how many days; a bucket's leak and a swap,
 * after how many readings. Soon is within what growers are promised: five days for a leak of the
 * reservoir, three for a float, two readings of a bucket or of two that were swapped. */
struct found {
    size_t rooms, noticed, soon;
    double *delay;
    size_t cap;
};

/* All that was counted over the rooms. */
struct bench {
    struct room room;
    enum truths truth;
    double greenhouse[GREENHOUSE_N][GREENHOUSE_DAYS];
    struct score float_day[3];                    /* at the start, halfway, three days before */
    struct score float_again;                     /* of the second planting, at its start */
    struct score reservoir, tonight, ec, ec_near; /* a strength, as made and as last read */
    struct found found[FAULT_N];
    size_t false_alarms, false_of[ALARM_KIND_N];
    double room_months;
    size_t nights; /* with every shut-off closed, in all rooms */
};

/* One more thing foretold that came true; what is off by more than `far` is off by that. */
void score_note(struct score *s, const struct foretold *f, double truth, double far);

/* One more room with a fault; it was noticed after so many days, NaN = never; up to `soon` is
 * soon. */
void found_note(struct found *f, double delay_day, double soon);

/* All that was counted, on stdout: for a person, and as one JSON object. Medians are found by
 * sorting what b holds. */
void bench_print_text(struct bench *b);
void bench_print_json(struct bench *b);

/* Of all truths the worst of each figure, and in which it was. */
enum { WORST_ROWS = 8 };
struct worst {
    struct {
        double figure; /* % inside, % soon, or false alarms in a room and month */
        enum truths in;
        bool any;
    } inside[WORST_ROWS], soon[FAULT_N], wrong;
};
void worst_note(struct worst *w, struct bench *b);
void worst_print(const struct worst *w);

/* Forgets what was scored; the room stays. */
void bench_clear(struct bench *b);

#endif
