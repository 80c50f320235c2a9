/* fault.h - collecting what is wrong with a file, each fault at its place. */
#ifndef TARN_CONFIG_READ_FAULT_H
#define TARN_CONFIG_READ_FAULT_H

#include "config/read/room_read.h"

#include <stdbool.h>

struct place {
    unsigned line, column; /* 1-based */
};

/* Where faults of one file go. */
struct faulty {
    const char *file;
    struct room_faults *faults;
};

/* Notes a fault; what is wrong, then after "; " what would be right. */
void fault_at(struct faulty *f, struct place at, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* No more are kept, so a costly search for what may have been meant can be left out. */
bool fault_is_full(const struct faulty *f);

/* By file, line and column. */
void faults_sort(struct room_faults *faults);

#endif
