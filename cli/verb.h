/* verb.h - the table of verbs: dispatch, help and completion are made from it.
 *
 * To add a verb, add a row: what it is called, what it takes, how it asks and how it shows; and a
 * section in cli/tarn.1. tests/unit/test_cli_verbs.c says in a sentence what a row lacks. */
#ifndef TARN_CLI_VERB_H
#define TARN_CLI_VERB_H

#include "cli/option.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

struct err;
struct text;
struct view;

/* What a verb's words are, for completion. */
enum word_kind {
    WORD_FREE,
    WORD_NAME,
    WORD_TASK,
    WORD_KIND,
    WORD_VERB,
    WORD_SHELL,
    WORD_CLOCK,
    WORD_N
};

struct verb {
    const char *name;
    const char *method; /* of the protocol; NULL = answered without a daemon */
    const char *words;  /* "TASK [FIGURES]", for the help */
    size_t min_words, max_words;
    enum word_kind word_kind;
    unsigned takes;    /* OPTION_BITs besides the common ones */
    unsigned needs;    /* those of them that must be given */
    bool keyed;        /* writes to the journal: the call carries a key, so a retry is told once */
    bool pages;        /* the answer comes in pages, each naming the next */
    const char *says;  /* a line of the list of verbs */
    const char *about; /* a paragraph or two of its help */
    const char *example; /* command lines, each on a line */

    /* Puts the words into params, as ask.h says. NULL = there are none. */
    int (*ask)(const char *const *word, size_t n, json_t *params, struct err *e);
    /* Writes an answer for a person. NULL for a verb without a method only. */
    void (*show)(const struct view *v, const json_t *answer, struct text *out);
};

extern const struct verb verbs[];
extern const size_t n_verbs;

/* The verb called so, out of the table; NULL when there is none. */
const struct verb *verb_find(const char *name);

/* "; did you mean 'today'?" for the verb that was probably meant, else where to find them all
 * (suggest_tail). Returns buf, or a text that lasts. */
#define VERB_TAIL_MAX 200
const char *verb_suggest(char buf[VERB_TAIL_MAX], const char *name);

#endif
