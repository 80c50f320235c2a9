/* hash.h - a short number for a text: FNV-1a with 64 bits.
 *
 * Pure. It spreads names over the slots of a table and tells texts apart; it is no seal: whoever
 * wants to can make two texts of one hash. By G. Fowler, L. C. Noll and K.-P. Vo; offset basis and
 * prime as in the Internet draft draft-eastlake-fnv (from memory), the vectors in test_hash.c. */
#ifndef TARN_BASE_HASH_H
#define TARN_BASE_HASH_H

#include <stddef.h>
#include <stdint.h>

#define HASH_START 14695981039346656037ULL /* the hash of no text: 0xcbf29ce484222325 */

/* The hash of a NUL-terminated text. */
uint64_t hash_text(const char *s);

/* The hash of what was hashed before (or HASH_START) with s, or n bytes, behind
 * it. */
uint64_t hash_add(uint64_t before, const char *s);
uint64_t hash_add_bytes(uint64_t before, const void *bytes, size_t n);

#endif
