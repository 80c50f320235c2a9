/* request.h - what a command line asks of the daemon, as the params of a call: words and options.
 *
 * Pure. The top floor of the command line: what the words become is said by the verb
 * (ask.h), how an option travels by its row (option.h). */
#ifndef TARN_CLI_REQUEST_H
#define TARN_CLI_REQUEST_H

#include "cli/args.h"

#include <jansson.h>

/* Params of args->verb->method. *out is a new reference; untouched on failure, which is the
 * caller's to report as wrong usage (ERR_SYNTAX, ERR_RANGE, ERR_UNKNOWN, ERR_MISSING). */
int request_make(const struct args *a, json_t **out, struct err *e);

#endif
