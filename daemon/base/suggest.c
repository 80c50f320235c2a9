#include "daemon/base/suggest.h"

#include <stdio.h>
#include <string.h>

#define WORD_MAX 64 /* bytes; no name of the house is longer (NAME_LEN_MAX is 31) */
#define NEAR     2  /* one slip, and one more for a long word; common practice, no source */

static unsigned min3(unsigned a, unsigned b, unsigned c)
{
    unsigned ab = a < b ? a : b;

    return ab < c ? ab : c;
}

/* Optimal string alignment distance (Damerau 1964, adjacent swaps counted once). */
static unsigned distance(const char *a, size_t na, const char *b, size_t nb)
{
    unsigned row[3][WORD_MAX + 1];
    unsigned *before = row[0];
    unsigned *last = row[1];
    unsigned *now = row[2];

    for (size_t j = 0; j <= nb; j++) {
        last[j] = (unsigned)j;
    }
    for (size_t i = 1; i <= na; i++) {
        unsigned *spare = before;

        now[0] = (unsigned)i;
        for (size_t j = 1; j <= nb; j++) {
            unsigned change = last[j - 1] + (a[i - 1] != b[j - 1]);

            now[j] = min3(last[j] + 1, now[j - 1] + 1, change);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] &&
                before[j - 2] + 1 < now[j]) {
                now[j] = before[j - 2] + 1;
            }
        }
        before = last;
        last = now;
        now = spare;
    }
    return last[nb];
}

const char *suggest_nearest(const char *word, const char *const *names, size_t n)
{
    const char *best = NULL;
    unsigned best_d = NEAR + 1;
    size_t len = strlen(word);

    if (len > WORD_MAX) {
        return NULL;
    }
    for (size_t i = 0; i < n; i++) {
        size_t len_i = strlen(names[i]);
        unsigned d;

        if (len_i > WORD_MAX || len_i > len + NEAR || len > len_i + NEAR) {
            continue;
        }
        d = distance(word, len, names[i], len_i);
        if (d < best_d && d < len) {
            best_d = d;
            best = names[i];
        }
    }
    return best;
}

const char *suggest_tail(char buf[SUGGEST_TEXT_MAX], const char *word, const char *const *names,
                         size_t n, const char *otherwise)
{
    const char *near = suggest_nearest(word, names, n);
    const char *quote = near && near[0] == '-' ? "" : "'";

    if (!near) {
        return otherwise;
    }
    (void)snprintf(buf, SUGGEST_TEXT_MAX, "; did you mean %s%.*s%s?", quote, WORD_MAX, near, quote);
    return buf;
}
