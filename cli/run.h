/* run.h - the whole of `tarn`: a command line in, an exit code out. */
#ifndef TARN_CLI_RUN_H
#define TARN_CLI_RUN_H

#include <stdio.h>

struct text;

enum {
    RUN_DONE = 0,
    RUN_REFUSED = 1,
    RUN_USAGE = 2,
    RUN_NO_DAEMON = 3,
    RUN_VERSION = 4,
};

/* Data goes to out, messages to errs. Reads TARN_SOCKET. */
int run(int argc, char *const *argv, FILE *out, FILE *errs);

/* Adds a command line as one would type it, with quotes where a shell needs them. */
void run_quote(int argc, char *const *argv, struct text *out);

#endif
