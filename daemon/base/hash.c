#include "daemon/base/hash.h"

#include <string.h>

#define PRIME 1099511628211ULL /* 2^40 + 2^8 + 0xb3 */

uint64_t hash_add_bytes(uint64_t before, const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    uint64_t h = before;

    /* First the byte, then the prime: that is the "a" of FNV-1a, and what spreads the last byte. */
    for (size_t i = 0; i < n; i++) {
        h = (h ^ p[i]) * PRIME;
    }
    return h;
}

uint64_t hash_add(uint64_t before, const char *s)
{
    return hash_add_bytes(before, s, strlen(s));
}

uint64_t hash_text(const char *s)
{
    return hash_add(HASH_START, s);
}
