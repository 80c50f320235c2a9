/* bulk.h - readings from a stream: a line in, a verdict for each; in words (plain.h), or as JSON.
 *
 * {"subject":"A3","at":"2026-03-01T07:10:00Z","ec":"1.2 mS/cm","ph":5.8,"temp_c":21,"level_l":8.1}:
 * `at` is a time as --at takes it, or seconds since 1970; left out, it is now. Figures are as for
 * `tarn record`, and "level" is another word for "volume". Lines go out as they come, many to a
 * request when they come fast; each request is on the disk when its verdicts are printed. */
#ifndef TARN_CLI_BULK_H
#define TARN_CLI_BULK_H

#include <stdbool.h>
#include <stdio.h>

struct err;

struct bulk {
    const char *path; /* of the socket */
    int in;           /* a descriptor … */
    const char *text; /* … or, not NULL, the lines themselves */
    const char *at;   /* when they were read, where a line does not say; NULL = now */
    FILE *out, *errs;
    bool json; /* each verdict as a line of JSON on `out`; else refusals on `errs` and a sum */
    bool sure;
    bool sensor;
    const char *key; /* of the run: each request is told once under it; run again with the same
                        input, nothing is told twice */
    bool whole;      /* requests are as large as they can be, however slowly the input comes, so
                        that they are the same when it is run again */
};

/* How many lines were taken and refused. */
struct bulk_sum {
    unsigned long long taken, refused;
};

/* Reads to the end of the input. 0, also when lines were refused; or the code of a call that
 * failed, with *e. *sum, zeroed by the caller, counts what got its verdict until then. */
int bulk_readings(const struct bulk *b, struct bulk_sum *sum, struct err *e);

#endif
