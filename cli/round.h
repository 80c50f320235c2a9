/* round.h - a walk through the room with a meter: what is due of each container, asked one by one.
 *
 * Each answer is told at once, so that a round that is broken off goes on where it was left. */
#ifndef TARN_CLI_ROUND_H
#define TARN_CLI_ROUND_H

#include <stdbool.h>
#include <stdio.h>

struct err;

struct round {
    const char *path; /* of the socket */
    FILE *in;         /* what is typed */
    FILE *out;
    bool all; /* every planted container, also where nothing is due */
};

/* 0, also where it was broken off; or the code of a call that failed, with *e. */
int round_walk(const struct round *r, struct err *e);

#endif
