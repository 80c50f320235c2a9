#include "daemon/base/text.h"

#include "daemon/base/mem.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void text_add_bytes(struct text *t, const void *p, size_t len)
{
    t->s = mem_grow(t->s, &t->cap, t->len + len + 1, 1);
    memcpy(t->s + t->len, p, len);
    t->len += len;
    t->s[t->len] = '\0';
}

void text_add(struct text *t, const char *fmt, ...)
{
    va_list ap;
    va_list again;
    int n;

    va_start(ap, fmt);
    va_copy(again, ap);
    n = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    if (n > 0) {
        t->s = mem_grow(t->s, &t->cap, t->len + (size_t)n + 1, 1);
        (void)vsnprintf(t->s + t->len, (size_t)n + 1, fmt, again);
        t->len += (size_t)n;
    }
    va_end(again);
}

void text_add_listed(struct text *t, size_t n_before, const char *word)
{
    text_add(t, "%s%s", n_before ? ", " : "", word);
}

const char *text_str(const struct text *t)
{
    return t->s ? t->s : "";
}

char *text_take(struct text *t)
{
    char *s = t->s ? t->s : mem_array(1, 1);

    *t = (struct text){0};
    return s;
}

void text_clear(struct text *t)
{
    t->len = 0;
    if (t->s) {
        t->s[0] = '\0';
    }
}

void text_deinit(struct text *t)
{
    free(t->s);
    *t = (struct text){0};
}
