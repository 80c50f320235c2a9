/* text.h - a string that grows. {0} is a valid empty one. */
#ifndef TARN_BASE_TEXT_H
#define TARN_BASE_TEXT_H

#include <stddef.h>

struct text {
    char *s; /* NUL-terminated once anything was added; NULL before */
    size_t len;
    size_t cap;
    size_t columns; /* of the page that it is laid out for (cli/layout.h); 0 = the usual ones */
};

/* Adds what printf would print. */
void text_add(struct text *t, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* Adds bytes as they are. */
void text_add_bytes(struct text *t, const void *p, size_t len);

/* Adds "a", then "b" as ", b", then "c" as ", c": n_before is how many were added already. */
void text_add_listed(struct text *t, size_t n_before, const char *word);

/* The text so far, never NULL; borrowed until the next change. */
const char *text_str(const struct text *t);

/* Hands the string over to the caller, who frees it, and leaves *t empty. Never NULL. */
char *text_take(struct text *t);

/* Forgets the text and keeps the memory. */
void text_clear(struct text *t);

/* Frees it and leaves *t empty. */
void text_deinit(struct text *t);

#endif
