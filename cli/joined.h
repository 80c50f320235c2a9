/* joined.h - words that stay together at the end of a line: "8.3 L", "Thu 16 Apr".
 *
 * Pure. */
#ifndef TARN_CLI_JOINED_H
#define TARN_CLI_JOINED_H

#include <stdbool.h>
#include <stddef.h>

/* Does the word b, which stands behind a, belong to it? A number and its unit, what was measured
 * and its number, a weekday and its day, a day and its month do; what punctuation stands around
 * them does not matter. */
bool joined_is(const char *a, size_t a_len, const char *b, size_t b_len);

/* Bytes of the words at s that belong together: up to the first blank where s may be parted, a line
 * end or the end. s begins with a word. */
size_t joined_span(const char *s);

#endif
