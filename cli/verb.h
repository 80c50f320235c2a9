/* verb.h - the table of verbs: dispatch, help and completion are made from it.
 *
 * To add a verb, add a row: what it is called, what it takes, how it asks and how it shows. */
#ifndef TARN_CLI_VERB_H
#define TARN_CLI_VERB_H

#include "cli/args.h"

#include <jansson.h>

struct text;
struct view;

/* What a verb's words are, for completion. */
enum word_kind { WORD_FREE, WORD_NAME, WORD_TASK, WORD_KIND, WORD_VERB, WORD_SHELL, WORD_CLOCK };

struct verb {
    const char *name;
    const char *method; /* of the protocol; NULL = answered without a daemon */
    const char *words;  /* "TASK [FIGURES]", for the help */
    size_t min_words, max_words;
    enum word_kind word_kind;
    unsigned takes;    /* OPTION_BITs besides the common ones */
    unsigned needs;    /* those that must be given */
    bool keyed;        /* writes to the journal: the call carries a key, so a retry is told once */
    bool pages;        /* the answer comes in pages, each naming the next */
    const char *says;  /* a line of the list of verbs */
    const char *about; /* a paragraph or two of its help */
    const char *example; /* lines */

    /* Puts the words into params. NULL = there are none. */
    int (*ask)(const struct args *a, json_t *params, struct err *e);
    /* Writes an answer for a person. */
    void (*show)(const struct view *v, const json_t *answer, struct text *out);
};

extern const struct verb verbs[];
extern const size_t n_verbs;

const struct verb *verb_find(const char *name); /* NULL when there is none */

#endif
