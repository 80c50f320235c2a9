/* suggest.h - the known name that was probably meant. */
#ifndef TARN_BASE_SUGGEST_H
#define TARN_BASE_SUGGEST_H

#include <stddef.h>

/* The nearest of n names within an edit distance (insert, delete, change, swap of neighbours) of 2,
 * and of less than the word's length; the first of equals. NULL when none is near. */
const char *suggest_nearest(const char *word, const char *const *names, size_t n);

#endif
