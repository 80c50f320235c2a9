/* num.h - numbers from text: the whole string, finite, decimal, no locale. */
#ifndef TARN_BASE_NUM_H
#define TARN_BASE_NUM_H

#include <stdint.h>

struct err;

/* "12", "-0.5", ".5", "1e3". No hex, no inf or nan, no white space, no digit grouping. Fails with
 * ERR_SYNTAX and leaves *out alone. */
int num_parse(const char *s, double *out, struct err *e);

/* Decimal whole numbers in [lo, hi]. ERR_SYNTAX when it is none, ERR_RANGE when it lies outside. */
int num_parse_int(const char *s, int64_t lo, int64_t hi, int64_t *out, struct err *e);

/* How many characters at the start of s belong to a number that num_parse would take; 0 = none. */
unsigned num_span(const char *s);

#endif
