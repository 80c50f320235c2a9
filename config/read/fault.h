/* fault.h - what is wrong with a file: faults are collected, each at its place, and shown to a
 * person.
 *
 * The ground floor of config/read: it includes nothing else of the room. A reader notes a fault
 * and goes on, so that one run tells a person all that there is to mend. */
#ifndef TARN_CONFIG_READ_FAULT_H
#define TARN_CONFIG_READ_FAULT_H

#include "daemon/base/err.h"

#include <stdbool.h>
#include <stddef.h>

struct text;

#define ROOM_FAULTS_MAX   20 /* as many as a person mends in one go; the rest is counted */
#define ROOM_WARNINGS_MAX 20

/* All that was found in one run, over the room file and the crops beside it. {0} is none. */
struct room_faults {
    struct err fault[ROOM_FAULTS_MAX]; /* by file, line and column once they are sorted */
    size_t n;
    size_t n_more;                         /* found beyond those kept */
    struct err warning[ROOM_WARNINGS_MAX]; /* of what is likely wrong and no fault */
    size_t n_warnings;
};

struct place {
    unsigned line, column; /* 1-based, in characters; 0 = the file as a whole */
};

/* Where the faults of one file go. Borrows both. */
struct faulty {
    const char *file;
    struct room_faults *faults;
};

/* Notes a fault: what is wrong, then after "; " what would be right. Beyond ROOM_FAULTS_MAX it is
 * counted only. A message that does not fit is cut, and stays whole UTF-8. */
void fault_at(struct faulty *f, struct place at, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* Notes what is likely wrong, and how to silence the warning: the file still gives a room. Those
 * beyond ROOM_WARNINGS_MAX are dropped. */
void fault_warn(struct faulty *f, struct place at, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* How many were found so far, kept or not: a reader compares before and after. */
size_t fault_count(const struct faulty *f);

/* No more are kept, so a costly search for what may have been meant can be left out. */
bool fault_is_full(const struct faulty *f);

/* By file, line and column, and at one place by message: the order in which a person mends them. */
void faults_sort(struct room_faults *faults);

/* Adds "room.yaml:14:5: unknown key 'strat' in 'containers.A1'; did you mean 'start'?", then the
 * line and a caret below the column. `text` is that of the file which the fault names (a shipped
 * crop has its own); NULL leaves the line out. The line is cut to fit 80 columns. */
void room_fault_format(const struct err *fault, const char *text, size_t len, struct text *out);

#endif
