#include "daemon/base/mem.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void *or_abort(void *p)
{
    if (!p) {
        (void)fputs("out of memory\n", stderr);
        abort();
    }
    return p;
}

void *mem_bytes(size_t size)
{
    return or_abort(malloc(size ? size : 1));
}

void *mem_array(size_t n, size_t size)
{
    return or_abort(calloc(n ? n : 1, size));
}

void *mem_grow(void *p, size_t *cap, size_t need, size_t size)
{
    size_t more = *cap ? *cap : 8;

    if (need <= *cap && p) {
        return p;
    }
    while (more < need) {
        more = more > SIZE_MAX / 2 ? need : more * 2;
    }
    p = or_abort(reallocarray(p, more, size));
    *cap = more;
    return p;
}

char *mem_strdup(const char *s)
{
    return s ? or_abort(strdup(s)) : NULL;
}

void *mem_copy(const void *p, size_t n, size_t size)
{
    void *copy;

    if (!p) {
        return NULL;
    }
    copy = mem_array(n, size);
    memcpy(copy, p, n * size);
    return copy;
}
