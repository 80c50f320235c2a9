#include "config/fault.h"

#include "daemon/base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void fault_at(struct faulty *f, struct place at, const char *fmt, ...)
{
    struct err *e;
    va_list ap;

    if (f->faults->n == ROOM_FAULTS_MAX) {
        f->faults->n_more++;
        return;
    }
    e = &f->faults->fault[f->faults->n++];
    memset(e, 0, sizeof *e);
    e->code = ERR_CONFIG;
    e->line = at.line;
    e->column = at.column;
    (void)snprintf(e->file, sizeof e->file, "%s", f->file);
    va_start(ap, fmt);
    (void)vsnprintf(e->msg, sizeof e->msg, fmt, ap);
    va_end(ap);
}

static int by_place(const void *pa, const void *pb)
{
    const struct err *a = pa;
    const struct err *b = pb;
    int files = strcmp(a->file, b->file);

    if (files != 0) {
        return files;
    }
    if (a->line != b->line) {
        return a->line < b->line ? -1 : 1;
    }
    if (a->column != b->column) {
        return a->column < b->column ? -1 : 1;
    }
    return strcmp(a->msg, b->msg);
}

void faults_sort(struct room_faults *faults)
{
    qsort(faults->fault, faults->n, sizeof *faults->fault, by_place);
}

#define LINE_SHOWN 160

void room_fault_format(const struct err *fault, const char *text, size_t len, struct text *out)
{
    const char *line = text;
    const char *end = text ? text + len : NULL;
    const char *stop;

    text_add(out, "%s:%u:%u: %s\n", fault->file, fault->line, fault->column, fault->msg);
    if (!text || fault->line == 0) {
        return;
    }
    for (unsigned n = 1; n < fault->line && line; n++) {
        line = memchr(line, '\n', (size_t)(end - line));
        line = line ? line + 1 : NULL;
    }
    if (!line || line >= end || fault->column == 0 || fault->column > LINE_SHOWN) {
        return;
    }
    stop = memchr(line, '\n', (size_t)(end - line));
    stop = stop ? stop : end;
    text_add(out, "    %.*s\n    %*s^\n",
             (int)(stop - line < LINE_SHOWN ? stop - line : LINE_SHOWN), line,
             (int)fault->column - 1, "");
}
