/* request.h - what a command line asks of the daemon, as the params of a call.
 *
 * Pure. Judges how words are put together, never what they mean: names, units and rules are the
 * daemon's. */
#ifndef TARN_CLI_REQUEST_H
#define TARN_CLI_REQUEST_H

#include "cli/args.h"

#include <jansson.h>

/* Params of args->verb->method: options and words. *out is a new reference; untouched on failure.
 */
int request_make(const struct args *a, json_t **out, struct err *e);

/* For the table of verbs: the words of each into params. */
int request_show(const struct args *a, json_t *params, struct err *e);
int request_task(const struct args *a, json_t *params, struct err *e);
int request_ack(const struct args *a, json_t *params, struct err *e);
int request_record(const struct args *a, json_t *params, struct err *e);
int request_void(const struct args *a, json_t *params, struct err *e);
int request_mix(const struct args *a, json_t *params, struct err *e);
int request_clock(const struct args *a, json_t *params, struct err *e);

/* Reads figures into params: "ec=1.4mS/cm" is a figure, "float=yes" and its like the word `what`,
 * any other key a product and its amount. A name opens a section, and what follows belongs to it;
 * names in a row share what follows them. Before the first name figures are about the whole, which
 * needs at_large. Fills params.figures and params.subjects. */
int request_figures(const char *const *word, size_t n, bool at_large, json_t *params,
                    struct err *e);

#endif
