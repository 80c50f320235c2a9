/* utf8.h - what bytes are as characters (RFC 3629). */
#ifndef TARN_BASE_UTF8_H
#define TARN_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>

#define UTF8_LEN_MAX 4 /* bytes of the longest sequence */

/* Length of the sequence at s, of which `left` bytes may be read, and its code point; 0 when it is
 * none, and *out_code is left alone. Overlong forms, surrogates and what lies beyond U+10FFFF are
 * none. left > 0; a NUL ends a sequence, so that for a NUL-terminated text it may be more than is
 * there. */
size_t utf8_at(const char *s, size_t left, unsigned *out_code);

/* A control character: those of ASCII, and U+0080 to U+009F, which some terminals obey too. */
bool utf8_is_control(unsigned code);

/* What a terminal must not get of a text that somebody else wrote: a control character, or a mark
 * that turns the direction of what follows, so that it reads otherwise than it is (those of the
 * Unicode standard's annex 9, from memory: U+061C, U+200E, U+200F, U+202A to U+202E, U+2066 to
 * U+2069). */
bool utf8_is_unshown(unsigned code);

/* A control character, a byte order mark, or one that libyaml takes for a line break though an
 * editor may not show it as one. Line feed, return and tab are not among them. */
bool utf8_is_hidden(unsigned code);

/* Drops from s, in place, what is no whole sequence: a message may have cut a quoted
 * word in two. */
void utf8_mend(char *s);

#endif
