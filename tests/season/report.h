/* report.h - a season's ledger on paper: a table, or JSON. */
#ifndef TARN_TESTS_SEASON_REPORT_H
#define TARN_TESTS_SEASON_REPORT_H

#include "tests/season/ledger.h"

struct report {
    const char *policy;
    int64_t seed;
    int64_t weeks;
};

void report_table(const struct report *r, const struct ledger *l);
void report_json(const struct report *r, const struct ledger *l);

#endif
