/* suggest.h - the known name that was probably meant, and how a person is asked about it.
 *
 * Pure. Every "did you mean" of the house is written here, so that it reads the same in a room
 * file, in an answer of the daemon and on the command line. */
#ifndef TARN_BASE_SUGGEST_H
#define TARN_BASE_SUGGEST_H

#include <stddef.h>

/* The nearest of n names within an edit distance (insert, delete, change, swap of neighbours) of 2,
 * and of less than the word's length; the first of equals. NULL when none is near. */
const char *suggest_nearest(const char *word, const char *const *names, size_t n);

/* What follows a sentence that says that a word is not known: "; did you mean 'volume'?" where a
 * name is near (an option is asked for without quotes: --full), else `otherwise` as it is ("" =
 * nothing; it starts with its own "; "). Returns buf or `otherwise`. */
#define SUGGEST_TEXT_MAX 96
const char *suggest_tail(char buf[SUGGEST_TEXT_MAX], const char *word, const char *const *names,
                         size_t n, const char *otherwise);

#endif
