/* args.h - the words of a command line, sorted: verb, options, the rest.
 *
 * Pure; owns nothing but the array of words: all strings are borrowed from argv. Options may stand
 * before or after the verb, as "--to DATE" or "--to=DATE"; "--" ends them. */
#ifndef TARN_CLI_ARGS_H
#define TARN_CLI_ARGS_H

#include "cli/option.h"

#include <stdbool.h>
#include <stddef.h>

struct err;
struct verb;

struct args {
    const struct verb *verb;     /* NULL = none given */
    const char *value[OPTION_N]; /* "" for an option without value; NULL = not given */
    const char **word;           /* after the verb; the array is owned */
    size_t n_words;
};

/* ERR_SYNTAX, ERR_MISSING, ERR_RANGE, or ERR_UNKNOWN with the nearest known name; *out then holds
 * the verb alone, if it was understood, and nothing to free. Asks for what the verb needs unless
 * --help or --version is given. */
int args_parse(int argc, char *const *argv, struct args *out, struct err *e);

/* Frees the array of words and leaves *a empty; the words themselves are argv's. */
void args_deinit(struct args *a);

/* Was the option given? */
static inline bool args_has(const struct args *a, enum option o)
{
    return a->value[o] != NULL;
}

#endif
