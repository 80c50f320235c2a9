/* mem.h - memory that is there or the program ends.
 *
 * The journal recovers what an abort leaves, so nothing below main handles a failed allocation.
 * Sizes that come from outside are bounded by their reader before they get here. */
#ifndef TARN_BASE_MEM_H
#define TARN_BASE_MEM_H

#include <stddef.h>

/* As malloc, for a library that takes its memory from us. */
void *mem_bytes(size_t size) __attribute__((returns_nonnull, warn_unused_result));

/* Zeroed memory for n things of a size each; n = 0 gives a pointer that can be freed. */
void *mem_array(size_t n, size_t size) __attribute__((returns_nonnull, warn_unused_result));

/* Makes room for at least `need` things in an array of *cap; the new part is not initialised. p may
 * be NULL with *cap = 0. Returns where the array lies now and sets *cap; p is no longer valid. */
void *mem_grow(void *p, size_t *cap, size_t need, size_t size)
    __attribute__((returns_nonnull, warn_unused_result));

/* A copy that the caller frees; NULL gives NULL. */
char *mem_strdup(const char *s) __attribute__((warn_unused_result));

/* The same of n things of a size each. */
void *mem_copy(const void *p, size_t n, size_t size) __attribute__((warn_unused_result));

#endif
