/* predict_score.h - what predictbench counts, and how it is printed.
 *
 * Scores are added to over all rooms; the medians are of all that was told. */
#ifndef TARN_TESTS_BENCH_PREDICT_SCORE_H
#define TARN_TESTS_BENCH_PREDICT_SCORE_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/alarm.h"

#include <stdbool.h>
#include <stddef.h>

/* A thing foretold: hit or missed, and by how much the median was off. */
struct score {
    size_t n, inside;
    double *off; /* of the median, absolute */
    size_t cap;
};

/* What is wrong in a room, unknown to the core: leaks lose so many percent of what the room
 * drinks. */
enum faults {
    FAULT_NONE,
    FAULT_LEAK_2,
    FAULT_LEAK_5,
    FAULT_LEAK_20,
    FAULT_CLOG,
    FAULT_REFILL,
    FAULT_N
};

/* How often a fault was noticed, and after how many days. */
struct found {
    size_t rooms, noticed;
    double *delay;
    size_t cap;
};

/* All that was counted over the rooms. */
struct bench {
    struct room room;
    struct score float_day[3]; /* at the start, halfway, three days before */
    struct score reservoir, ec;
    struct found found[FAULT_N];
    size_t false_alarms, false_of[ALARM_KIND_N];
    double room_months;
};

/* One more thing foretold: was the truth inside, and how far off was the median. */
void score_note(struct score *s, bool inside, double off);

/* One more room with a fault; it was noticed after so many days, NaN = never. */
void found_note(struct found *f, double delay_day);

/* All that was counted, on stdout: for a person, and as one JSON object. Medians are found by
 * sorting what b holds. */
void bench_print_text(struct bench *b);
void bench_print_json(struct bench *b);

/* Frees what the scores were told, and the room. */
void bench_deinit(struct bench *b);

#endif
