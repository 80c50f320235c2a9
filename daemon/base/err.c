#include "daemon/base/err.h"

#include "daemon/base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Whole characters only, and nothing that a terminal obeys: a quoted word may hold anything. */
static void make_showable(char *s)
{
    char *to = s;

    utf8_mend(s);
    while (*s) {
        unsigned code = 0;
        size_t n = utf8_at(s, UTF8_LEN_MAX, &code); /* not 0: s was mended */
        bool unshown = utf8_is_unshown(code);

        memmove(to, unshown ? "?" : s, unshown ? 1 : n);
        to += unshown ? 1 : n;
        s += n;
    }
    *to = '\0';
}

__attribute__((format(printf, 4, 0))) static int fill(struct err *e, int code, const char *field,
                                                      const char *fmt, va_list ap)
{
    if (!e) {
        return code;
    }
    memset(e, 0, sizeof *e);
    e->code = code;
    (void)snprintf(e->field, sizeof e->field, "%s", field);
    (void)vsnprintf(e->msg, sizeof e->msg, fmt, ap);
    make_showable(e->field);
    make_showable(e->msg);
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

    if (!e) {
        return 0;
    }
    va_start(ap, fmt);
    (void)vsnprintf(front, sizeof front, fmt, ap);
    va_end(ap);
    memcpy(back, e->msg, sizeof back);
    (void)snprintf(e->msg, sizeof e->msg, "%s%s", front, back);
    make_showable(e->msg);
    return e->code;
}
