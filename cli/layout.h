/* layout.h - text in columns: width, wrapping, tables.
 *
 * Pure: builds text, prints nothing. The right-hand edge is that of the page: out->columns, which
 * whoever prints it sets once. Strings are UTF-8; width is counted in terminal columns
 * (combining marks take none, wide East Asian signs two), without asking the locale. */
#ifndef TARN_CLI_LAYOUT_H
#define TARN_CLI_LAYOUT_H

#include "daemon/base/text.h"

#include <stdbool.h>
#include <stddef.h>

#define LAYOUT_COLUMNS   80  /* of a page that does not say */
#define LAYOUT_NARROWEST 40  /* a telephone over ssh */
#define LAYOUT_WIDEST    200 /* beyond it lines are too long to be read */

/* Columns of a page that would be this wide; out of its range it is brought into it, and 0 stands
 * for LAYOUT_COLUMNS. */
size_t layout_columns_of(size_t wide);

/* The columns of this page. */
size_t layout_columns(const struct text *out);

/* Columns that a NUL-terminated text takes; a byte that is no UTF-8 counts as one. */
size_t layout_width(const char *s);

/* Adds s and spaces up to `width` columns, in front of it when right is set. A longer s is added
 * whole. */
void layout_pad(struct text *out, const char *s, size_t width, bool right);

/* Adds s, at most `width` columns of it; what was cut shows as an ellipsis. */
void layout_cut(struct text *out, const char *s, size_t width);

/* Adds the words of s and a line end. The cursor stands in column `at`; further lines are indented
 * by `indent`. A word longer than a line overflows. Line ends in s are kept, and a
 * number stays with its unit (joined.h). */
void layout_wrap(struct text *out, const char *s, size_t at, size_t indent);

/* The same with the right-hand edge after `columns` columns. */
void layout_wrap_to(struct text *out, const char *s, size_t at, size_t indent, size_t columns);

#define LAYOUT_LABEL 14 /* columns for the label */

/* Adds "Label       value" and a line end; the value wraps below itself. */
void layout_fact(struct text *out, const char *label, const char *value);

/* A table of cells, row by row. Cells are copied. */
struct layout_column {
    const char *head;
    bool right;   /* numbers */
    bool shrinks; /* may be cut short when the table is too wide */
    bool unit;    /* the head is a unit: in a folded row it stands behind its number */
};

struct layout_table {
    const struct layout_column *column;
    size_t n_columns;
    char **cell;
    size_t n_cells, cap;
};

/* Adds a cell: the rows fill from left to right. */
void layout_table_add(struct layout_table *t, const char *cell);

/* Adds head and rows. What does not fit the page shrinks first, then the last column wraps, and a
 * long first cell gets a line of its own. Where it is still too wide the table is folded: its first
 * cells stand as they are, and below them the others behind the heads of their columns. */
void layout_table_write(const struct layout_table *t, size_t indent, struct text *out);
/* Frees the cells and leaves *t empty. */
void layout_table_deinit(struct layout_table *t);

#endif
