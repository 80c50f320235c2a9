/* option.h - the table of options: what each is called, what it takes, how it travels.
 *
 * Pure. The ground floor of the command line: parsing, requests, help and completion
 * all read it, so that an option is added in one place. */
#ifndef TARN_CLI_OPTION_H
#define TARN_CLI_OPTION_H

#include "daemon/base/suggest.h"

#include <stddef.h>

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
    OPTION_SENSOR,
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

#define OPTION_BIT(o)  (1U << (unsigned)(o))
#define OPTIONS_COMMON (OPTION_BIT(OPTION_SOCKET) | OPTION_BIT(OPTION_JSON) | OPTIONS_HELP)
#define OPTIONS_HELP   (OPTION_BIT(OPTION_HELP) | OPTION_BIT(OPTION_VERSION))

/* The option called by the first `len` bytes of name, "--to" or "-h"; -1 when there is none. */
int option_find(const char *name, size_t len);

/* "; did you mean --full?" for the option that was probably meant by them, "" when none is near
 * (suggest_tail). Returns buf or "". */
const char *option_suggest(char buf[SUGGEST_TEXT_MAX], const char *name, size_t len);

#endif
