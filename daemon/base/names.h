/* names.h - names of things, and lists of them as people write them: "A1..A5" for A1, A2, A3,
 * A4, A5.
 *
 * Pure. A name is 1 to 31 bytes: a letter, then letters, digits, '-', '_' or '.'. Reading and
 * writing agree: what names_fold writes, names_add reads. */
#ifndef TARN_BASE_NAMES_H
#define TARN_BASE_NAMES_H

#include "daemon/base/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct err;

#define NAME_LEN_MAX  31
#define NAMES_RUN_MAX 2000 /* names that one "A1..A2000" may stand for */

/* Could a thing be called so? Says nothing of whether one is. */
bool name_is_valid(const char *name);

/* A run of names, "A1..A12": on the command line and in the room file alike. */
struct name_run {
    char stem[NAME_LEN_MAX + 1]; /* what all begin with; never empty */
    int width;                   /* digits of the first number, which the others have at least */
    int64_t from, to;            /* each at most nine digits; to < from in "A5..A1", which is for
                                  * the caller to refuse in its own words */
};

#define NAME_RUN_TEXT_MAX (NAME_LEN_MAX + 16)

/* "A1..A12", or short "A1..12". False, with *out untouched, for what has another form. */
bool name_run_parse(const char *word, struct name_run *out);

/* The name with the number i, its width kept: 9 of "A08..A11" is A09. Returns buf; where the
 * stem is long the name may be too long to be valid. */
char *name_run_write(char buf[NAME_RUN_TEXT_MAX], const struct name_run *run, int64_t i);

struct names {
    char **name; /* owned */
    size_t n, cap;
};

/* Adds a name, or all that a run stands for. The number's width is kept: "A08..A11" is A08, A09,
 * A10, A11. ERR_SYNTAX, adding nothing, for a run that cannot be read or goes backwards. */
int names_add(struct names *ns, const char *word, struct err *e);

/* The same for a list, "A3,A7..A9"; on failure the names before the fault are in. */
int names_add_list(struct names *ns, const char *list, struct err *e);
/* Frees the names and leaves *ns empty. */
void names_deinit(struct names *ns);

/* Adds "A1..A4, A7, B2": three or more that follow each other become a run. */
void names_fold(const char *const *name, size_t n, struct text *out);

/* Does b follow a as A8 follows A7, and A10 follows A09? */
bool names_follow(const char *a, const char *b);

#endif
