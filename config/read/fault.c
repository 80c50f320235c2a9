#include "config/read/fault.h"

#include "daemon/base/text.h"
#include "daemon/base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

size_t fault_count(const struct faulty *f)
{
    return f->faults->n + f->faults->n_more;
}

bool fault_is_full(const struct faulty *f)
{
    return f->faults->n == ROOM_FAULTS_MAX;
}

static void note(struct err *e, const struct faulty *f, struct place at, const char *fmt,
                 va_list ap) __attribute__((format(printf, 4, 0)));

static void note(struct err *e, const struct faulty *f, struct place at, const char *fmt,
                 va_list ap)
{
    *e = (struct err){.code = ERR_CONFIG, .line = at.line, .column = at.column};
    (void)snprintf(e->file, sizeof e->file, "%s", f->file);
    (void)vsnprintf(e->msg, sizeof e->msg, fmt, ap);
    utf8_mend(e->msg);
    utf8_mend(e->file);
}

void fault_at(struct faulty *f, struct place at, const char *fmt, ...)
{
    va_list ap;

    if (fault_is_full(f)) {
        f->faults->n_more++;
        return;
    }
    va_start(ap, fmt);
    /* clang-tidy 14 errs here when it is given several files at once.
     * NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized) */
    note(&f->faults->fault[f->faults->n++], f, at, fmt, ap);
    va_end(ap);
}

void fault_warn(struct faulty *f, struct place at, const char *fmt, ...)
{
    va_list ap;

    if (f->faults->n_warnings == ROOM_WARNINGS_MAX) {
        return;
    }
    va_start(ap, fmt);
    /* NOLINTNEXTLINE(clang-analyzer-valist.Uninitialized) as above */
    note(&f->faults->warning[f->faults->n_warnings++], f, at, fmt, ap);
    va_end(ap);
}

/* The message last, so that the order does not depend on qsort, which may swap equals. */
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
    qsort(faults->warning, faults->n_warnings, sizeof *faults->warning, by_place);
}

#define SHOWN   72 /* characters of a line, so that it fits 80 columns with its indent */
#define CONTEXT 40 /* of a longer line, shown before the place of the fault */

/* The line of a text, from 1; *out_end behind it, without its line break. NULL when there is none.
 */
static const char *find_line(const char *text, size_t len, unsigned line, const char **out_end)
{
    const char *end = text + len;
    const char *stop;

    for (unsigned n = 1; n < line && text; n++) {
        text = memchr(text, '\n', (size_t)(end - text));
        text = text ? text + 1 : NULL;
    }
    if (!text || text >= end) {
        return NULL;
    }
    stop = memchr(text, '\n', (size_t)(end - text));
    stop = stop ? stop : end;
    *out_end = stop > text && stop[-1] == '\r' ? stop - 1 : stop;
    return text;
}

/* Steps over n characters; a byte that is none counts as one. */
static const char *step_over(const char *s, const char *end, unsigned n)
{
    unsigned code;

    while (n-- > 0 && s < end) {
        size_t len = utf8_at(s, (size_t)(end - s), &code);

        s += len ? len : 1;
    }
    return s;
}

void room_fault_format(const struct err *fault, const char *text, size_t len, struct text *out)
{
    /* Of a long line the part around the place is shown: some context before it, the rest
     * behind. */
    unsigned skip = fault->column > SHOWN ? fault->column - CONTEXT : 0;
    const char *end = NULL;
    const char *line;
    const char *stop;

    if (fault->line == 0) {
        text_add(out, "%s: %s\n", fault->file, fault->msg);
        return;
    }
    text_add(out, "%s:%u:%u: %s\n", fault->file, fault->line, fault->column, fault->msg);
    line = text ? find_line(text, len, fault->line, &end) : NULL;
    if (!line || fault->column == 0) {
        return;
    }
    line = step_over(line, end, skip);
    stop = step_over(line, end, SHOWN);
    text_add(out, "    ");
    for (; line < stop; line++) {
        text_add_bytes(out, *line == '\t' ? " " : line, 1); /* so that the caret stands right */
    }
    text_add(out, "\n    %*s^\n", (int)(fault->column - skip - 1), "");
}
