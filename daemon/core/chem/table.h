/* table.h - published values at even steps, and what lies between them.
 *
 * Pure. Inside chem only. */
#ifndef TARN_CORE_CHEM_TABLE_H
#define TARN_CORE_CHEM_TABLE_H

#include <stddef.h>

struct table {
    double from, step; /* of the argument */
    const double *value;
    size_t n; /* >= 2 */
};

/* By straight lines; outside of the table the value at its end. */
double table_at(const struct table *t, double x);

/* The same for rows that are not evenly spaced: n >= 1 pairs of argument and value, ascending. */
double table_pairs_at(const double (*pair)[2], size_t n, double x);

#endif
