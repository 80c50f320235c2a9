#include "daemon/base/err.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Cuts an incomplete UTF-8 sequence off the end of a message that was truncated. */
static void trim_utf8(char *s, size_t len)
{
    size_t start = len;

    while (start > 0 && ((unsigned char)s[start - 1] & 0xC0U) == 0x80U) {
        start--;
    }
    if (start > 0 && ((unsigned char)s[start - 1] & 0xC0U) == 0xC0U) {
        s[start - 1] = '\0';
    }
}

__attribute__((format(printf, 4, 0))) static int fill(struct err *e, int code, const char *field,
                                                      const char *fmt, va_list ap)
{
    int n;

    if (!e) {
        return code;
    }
    memset(e, 0, sizeof *e);
    e->code = code;
    (void)snprintf(e->field, sizeof e->field, "%s", field);
    n = vsnprintf(e->msg, sizeof e->msg, fmt, ap);
    if (n >= (int)sizeof e->msg) {
        trim_utf8(e->msg, sizeof e->msg - 1);
    }
    return code;
}

int err_set(struct err *e, int code, const char *fmt, ...)
{
    va_list ap;

    va_start(ap, fmt);
    fill(e, code, "", fmt, ap);
    va_end(ap);
    return code;
}

int err_field(struct err *e, int code, const char *field, const char *fmt, ...)
{
    va_list ap;

    va_start(ap, fmt);
    fill(e, code, field, fmt, ap);
    va_end(ap);
    return code;
}

int err_prefix(struct err *e, const char *fmt, ...)
{
    char front[sizeof e->msg];
    char back[sizeof e->msg];
    va_list ap;
    int n;

    if (!e) {
        return 0;
    }
    va_start(ap, fmt);
    (void)vsnprintf(front, sizeof front, fmt, ap);
    va_end(ap);
    memcpy(back, e->msg, sizeof back);
    n = snprintf(e->msg, sizeof e->msg, "%s%s", front, back);
    if (n >= (int)sizeof e->msg) {
        trim_utf8(e->msg, sizeof e->msg - 1);
    }
    return e->code;
}
