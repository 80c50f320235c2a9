/* report.h - a season's ledger on paper: a table, or JSON. */
#ifndef TARN_TESTS_SEASON_REPORT_H
#define TARN_TESTS_SEASON_REPORT_H

#include "tests/season/ledger.h"

struct report {
    const char *policy;
    int64_t seed;
    int64_t weeks;
};

/* Prints what a season came to on stdout, for a person. */
void report_table(const struct report *r, const struct ledger *l);

/* Prints the same as one JSON object on a line. */
void report_json(const struct report *r, const struct ledger *l);

#endif
