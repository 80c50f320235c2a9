/* check.h - a published value beside ours: a row of a table, and a failure where the two part.
 *
 * A row is the check's id, its source, what is expected, what we got, and by how much it is off. */
#ifndef TARN_TESTS_CHECK_H
#define TARN_TESTS_CHECK_H

#include "tests/cmocka_all.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CHECK_SOURCE_WIDTH 36

/* Prints a row: got beside want, and what it is off by. */
static inline void check_row(const char *id, const char *source, const char *want, double got,
                             double off)
{
    if (strlen(source) > CHECK_SOURCE_WIDTH) { /* on a line of its own: rows fit 80 columns */
        print_message("%-9s %s\n", id, source);
        id = source = "";
    }
    print_message("%-9s %-*s %14s %9.6g %8.1e\n", id, CHECK_SOURCE_WIDTH, source, want, got, off);
}

/* Ours lies within `within` of the published value. */
static inline void check_near(const char *id, const char *source, double want, double got,
                              double within)
{
    char text[32];

    (void)snprintf(text, sizeof text, "%.9g", want);
    check_row(id, source, text, got, got - want);
    if (!(fabs(got - want) <= within)) {
        fail_msg("%s: %.10g is not %.10g within %g", id, got, want, within);
    }
}

/* Ours lies within the published spread. */
static inline void check_between(const char *id, const char *source, double lo, double hi,
                                 double got)
{
    char text[32];
    double off = got < lo ? got - lo : got > hi ? got - hi : 0;

    (void)snprintf(text, sizeof text, "%.4g to %.4g", lo, hi);
    check_row(id, source, text, got, off);
    if (!(fabs(off) <= 1e-9)) {
        fail_msg("%s: %.10g is not between %.10g and %.10g", id, got, lo, hi);
    }
}

/* Ours lies outside of what a source says, and is meant to: why stands in the row below it. Fails
 * where it no longer does, for then there is nothing to argue. */
static inline void check_disagrees(const char *id, const char *source, double lo, double hi,
                                   double got, const char *why)
{
    char text[32];

    (void)snprintf(text, sizeof text, "%.4g to %.4g", lo, hi);
    check_row(id, source, text, got, got < lo ? got - lo : got - hi);
    print_message("%-9s   disagrees: %s\n", "", why);
    if (got >= lo && got <= hi) {
        fail_msg("%s: %.10g lies between %.10g and %.10g: the argument is over", id, got, lo, hi);
    }
}

#endif
