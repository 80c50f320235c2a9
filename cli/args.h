/* args.h - the words of a command line, sorted: verb, options, the rest.
 *
 * Pure; owns nothing but the array of words: all strings are borrowed from argv. Options may stand
 * before or after the verb, as "--to DATE" or "--to=DATE"; "--" ends them. */
#ifndef TARN_CLI_ARGS_H
#define TARN_CLI_ARGS_H

#include <stdbool.h>
#include <stddef.h>

struct err;
struct verb;

enum option {
    OPTION_SOCKET,
    OPTION_JSON,
    OPTION_HELP,
    OPTION_VERSION,
    OPTION_ON,
    OPTION_FULL,
    OPTION_TO,
    OPTION_WHY,
    OPTION_OF,
    OPTION_SINCE,
    OPTION_UNTIL,
    OPTION_CSV,
    OPTION_DAYS,
    OPTION_IF,
    OPTION_ONLY,
    OPTION_AT,
    OPTION_NOTE,
    OPTION_SURE,
    OPTION_KEY,
    OPTION_N
};

/* How an option travels in the params of a request, under its own name. */
enum option_sent { SENT_NOT, SENT_TEXT, SENT_TRUE, SENT_COUNT, SENT_NAMES };

struct option_def {
    const char *name;  /* "--to" */
    const char *value; /* "DATE", as the help calls it; NULL = takes none */
    enum option_sent sent;
    const char *help;
};
extern const struct option_def options[OPTION_N];

#define OPTION_BIT(o)   (1U << (unsigned)(o))
#define OPTIONS_COMMON  (OPTION_BIT(OPTION_SOCKET) | OPTION_BIT(OPTION_JSON) | OPTIONS_HELP)
#define OPTIONS_HELP    (OPTION_BIT(OPTION_HELP) | OPTION_BIT(OPTION_VERSION))
#define OPTION_DAYS_MAX 366

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
void args_deinit(struct args *a);

static inline bool args_has(const struct args *a, enum option o)
{
    return a->value[o] != NULL;
}

#endif
