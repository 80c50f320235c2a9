#include "daemon/base/num.h"

#include "daemon/base/err.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static unsigned digits(const char *s)
{
    return (unsigned)strspn(s, "0123456789");
}

unsigned num_span(const char *s)
{
    unsigned at = (*s == '-' || *s == '+') ? 1 : 0;
    unsigned whole = digits(s + at);
    unsigned part = 0;
    unsigned sign;
    unsigned power;

    at += whole;
    if (s[at] == '.') {
        part = digits(s + at + 1);
        if (whole + part == 0) {
            return 0;
        }
        at += 1 + part;
    }
    if (whole + part == 0) {
        return 0;
    }
    if (s[at] == 'e' || s[at] == 'E') {
        sign = (s[at + 1] == '-' || s[at + 1] == '+') ? 1 : 0;
        power = digits(s + at + 1 + sign);
        if (power > 0) {
            at += 1 + sign + power;
        }
    }
    return at;
}

int num_parse(const char *s, double *out, struct err *e)
{
    unsigned n = num_span(s);
    double v;

    if (n == 0 || s[n] != '\0') {
        return err_set(e, ERR_SYNTAX, "'%.40s' is not a number", s);
    }
    v = strtod(s, NULL);
    if (!isfinite(v)) {
        return err_set(e, ERR_SYNTAX, "'%.40s' is too large a number", s);
    }
    *out = v;
    return 0;
}

int num_parse_int(const char *s, int64_t lo, int64_t hi, int64_t *out, struct err *e)
{
    size_t sign = (*s == '-') ? 1 : 0;
    long long v;

    if (digits(s + sign) == 0 || s[sign + digits(s + sign)] != '\0') {
        return err_set(e, ERR_SYNTAX, "'%.40s' is not a whole number", s);
    }
    errno = 0;
    v = strtoll(s, NULL, 10);
    if (errno == ERANGE || v < lo || v > hi) {
        return err_set(e, ERR_RANGE, "%.40s is not between %lld and %lld", s, (long long)lo,
                       (long long)hi);
    }
    *out = v;
    return 0;
}
