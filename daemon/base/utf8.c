#include "daemon/base/utf8.h"

#include <string.h>

static size_t sequence_len(unsigned char first)
{
    return first < 0x80 ? 1 : first >> 5 == 6 ? 2 : first >> 4 == 14 ? 3 : first >> 3 == 30 ? 4 : 0;
}

size_t utf8_at(const char *s, size_t left, unsigned *out_code)
{
    static const unsigned least[] = {0, 0, 0x80, 0x800, 0x10000}; /* by length */
    size_t n = sequence_len((unsigned char)s[0]);
    unsigned code = (unsigned char)s[0];

    if (n == 0 || n > left) {
        return 0;
    }
    if (n > 1) {
        code &= 0x7FU >> n;
    }
    for (size_t i = 1; i < n; i++) {
        unsigned char next = (unsigned char)s[i];

        if (next >> 6 != 2) {
            return 0;
        }
        code = code << 6 | (next & 0x3FU);
    }
    if (code < least[n] || code > 0x10FFFF || (code >= 0xD800 && code < 0xE000)) {
        return 0;
    }
    *out_code = code;
    return n;
}

bool utf8_is_control(unsigned code)
{
    return code < 0x20 || (code >= 0x7F && code < 0xA0);
}

bool utf8_is_unshown(unsigned code)
{
    return utf8_is_control(code) || code == 0x061C || code == 0x200E || code == 0x200F ||
           (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

bool utf8_is_hidden(unsigned code)
{
    return (utf8_is_control(code) && code != '\n' && code != '\r' && code != '\t') ||
           code == 0x2028 || code == 0x2029 || code == 0xFEFF;
}

void utf8_mend(char *s)
{
    size_t left = strlen(s);
    char *to = s;
    unsigned code;

    while (left > 0) {
        size_t n = utf8_at(s, left, &code);
        size_t step = n ? n : 1;

        memmove(to, s, n);
        to += n;
        s += step;
        left -= step;
    }
    *to = '\0';
}
