#include "cli/layout.h"

#include "cli/joined.h"
#include "daemon/base/mem.h"
#include "daemon/base/utf8.h"

#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define GAP         2  /* spaces between columns */
#define NARROWEST   8  /* what a column shrinks to, and a first column is held to */
#define FIRST_WIDE  16 /* what a first column keeps as long as others can shrink */
#define WRAP_LEAST  24 /* what a last column gets before it wraps */
#define FOLD_INDENT 2  /* what stands below the first cell of a folded row */

struct range {
    uint32_t from, to;
};

/* Signs that take no column of their own: the blocks of combining marks in the Unicode Standard
 * that a name or a note may hold, and the joiners, selectors and the byte order mark. */
/* clang-format off */
static const struct range zero_wide[] = {
    {0x0300, 0x036F}, /* combining diacritical marks; all below take a column */
    {0x0483, 0x0489}, /* Cyrillic */
    {0x0591, 0x05BD}, /* Hebrew points */
    {0x0610, 0x061A}, /* Arabic */
    {0x064B, 0x065F},
    {0x0E31, 0x0E31}, /* Thai vowels and tones */
    {0x0E34, 0x0E3A},
    {0x0E47, 0x0E4E},
    {0x1AB0, 0x1AFF}, /* combining marks, extended */
    {0x1DC0, 0x1DFF}, /* and their supplement */
    {0x200B, 0x200F}, /* zero-width space, joiners, direction marks */
    {0x20D0, 0x20FF}, /* combining marks for symbols */
    {0xFE00, 0xFE0F}, /* variation selectors */
    {0xFE20, 0xFE2F}, /* combining half marks */
    {0xFEFF, 0xFEFF}, /* byte order mark */
};

/* Signs that take two: the blocks that Unicode Standard Annex 11 calls wide or fullwidth. */
static const struct range two_wide[] = {
    {0x1100,  0x115F},  /* Hangul Jamo, leading */
    {0x2E80,  0x303E},  /* CJK radicals, punctuation */
    {0x3041,  0x33FF},  /* kana, Bopomofo, enclosed and compatibility signs */
    {0x3400,  0x4DBF},  /* CJK extension A */
    {0x4E00,  0x9FFF},  /* CJK unified ideographs */
    {0xA000,  0xA4CF},  /* Yi */
    {0xAC00,  0xD7A3},  /* Hangul syllables */
    {0xF900,  0xFAFF},  /* CJK compatibility ideographs */
    {0xFE30,  0xFE4F},  /* CJK compatibility forms */
    {0xFF00,  0xFF60},  /* fullwidth forms */
    {0xFFE0,  0xFFE6},
    {0x1F300, 0x1F64F}, /* pictographs, faces */
    {0x1F680, 0x1F6FF}, /* transport */
    {0x1F900, 0x1FAFF}, /* supplemental pictographs */
    {0x20000, 0x3FFFD}, /* CJK extension B and on */
};
/* clang-format on */

static bool is_in(uint32_t c, const struct range *r, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (c >= r[i].from && c <= r[i].to) {
            return true;
        }
    }
    return false;
}

/* Reads one sign of a NUL-terminated text; a broken byte counts as a sign by itself. Returns its
 * length in bytes. */
static size_t sign_at(const char *s, size_t *out_width)
{
    unsigned code = 0;
    size_t len = utf8_at(s, UTF8_LEN_MAX, &code); /* the NUL stops it: it continues no sequence */

    if (code < zero_wide[0].from) {
        *out_width = 1; /* nearly all that is ever shown, and what is broken */
    } else if (is_in(code, zero_wide, sizeof zero_wide / sizeof *zero_wide)) {
        *out_width = 0;
    } else {
        *out_width = is_in(code, two_wide, sizeof two_wide / sizeof *two_wide) ? 2 : 1;
    }
    return len ? len : 1;
}

static size_t width_of(const char *s, size_t len)
{
    size_t width = 0;

    for (size_t i = 0; i < len;) {
        size_t w;

        i += sign_at(s + i, &w);
        width += w;
    }
    return width;
}

size_t layout_columns_of(size_t wide)
{
    if (wide == 0) {
        return LAYOUT_COLUMNS;
    }
    return wide < LAYOUT_NARROWEST ? LAYOUT_NARROWEST : wide > LAYOUT_WIDEST ? LAYOUT_WIDEST : wide;
}

size_t layout_columns(const struct text *out)
{
    return layout_columns_of(out->columns);
}

size_t layout_width(const char *s)
{
    return width_of(s, strlen(s));
}

static void spaces(struct text *out, size_t n)
{
    text_add(out, "%*s", (int)n, "");
}

void layout_pad(struct text *out, const char *s, size_t width, bool right)
{
    size_t have = layout_width(s);
    size_t lack = have < width ? width - have : 0;

    if (right) {
        spaces(out, lack);
    }
    text_add(out, "%s", s);
    if (!right) {
        spaces(out, lack);
    }
}

void layout_cut(struct text *out, const char *s, size_t width)
{
    size_t len = 0;
    size_t have = 0;

    if (layout_width(s) <= width) {
        text_add(out, "%s", s);
        return;
    }
    while (s[len]) {
        size_t w;
        size_t n = sign_at(s + len, &w);

        if (have + w + 1 > width) {
            break;
        }
        have += w;
        len += n;
    }
    text_add_bytes(out, s, len);
    text_add(out, "…");
}

void layout_wrap_to(struct text *out, const char *s, size_t at, size_t indent, size_t columns)
{
    bool fresh = true; /* nothing of s in this line yet */

    while (*s) {
        size_t blank = strspn(s, " ");
        size_t len = joined_span(s + blank);
        size_t width = width_of(s + blank, len);

        if (len == 0) {
            s += blank;
            if (*s == '\n') {
                text_add(out, "\n");
                spaces(out, s[1] ? indent : 0);
                at = indent;
                fresh = true;
                s++;
            }
            continue;
        }
        if (!fresh && at + blank + width > columns) {
            text_add(out, "\n");
            spaces(out, indent);
            at = indent;
            fresh = true;
        }
        if (!fresh) {
            spaces(out, blank);
            at += blank;
        }
        text_add_bytes(out, s + blank, len);
        at += width;
        fresh = false;
        s += blank + len;
    }
    text_add(out, "\n");
}

void layout_wrap(struct text *out, const char *s, size_t at, size_t indent)
{
    layout_wrap_to(out, s, at, indent, layout_columns(out));
}

void layout_fact(struct text *out, const char *label, const char *value)
{
    layout_pad(out, label, LAYOUT_LABEL, false);
    layout_wrap(out, value, LAYOUT_LABEL, LAYOUT_LABEL);
}

void layout_table_add(struct layout_table *t, const char *cell)
{
    t->cell = mem_grow(t->cell, &t->cap, t->n_cells + 1, sizeof *t->cell);
    t->cell[t->n_cells++] = mem_strdup(cell);
}

void layout_table_deinit(struct layout_table *t)
{
    for (size_t i = 0; i < t->n_cells; i++) {
        free(t->cell[i]);
    }
    free(t->cell);
    *t = (struct layout_table){0};
}

static size_t sum(const size_t *width, size_t n)
{
    size_t total = 0;

    for (size_t i = 0; i < n; i++) {
        total += width[i] + (i ? GAP : 0);
    }
    return total;
}

/* The widest column that may still shrink; n when there is none. */
static size_t shrinkable(const struct layout_table *t, const size_t *width)
{
    size_t best = t->n_columns;

    for (size_t i = 0; i < t->n_columns; i++) {
        if (t->column[i].shrinks && width[i] > NARROWEST &&
            (best == t->n_columns || width[i] > width[best])) {
            best = i;
        }
    }
    return best;
}

/* Can it be had in as many columns? */
static bool fit(const struct layout_table *t, size_t room, size_t *width)
{
    size_t n = t->n_columns;
    size_t i;

    assert(n > 0);
    for (i = 0; i < n; i++) {
        width[i] = layout_width(t->column[i].head);
    }
    for (i = 0; i < t->n_cells; i++) {
        size_t w = layout_width(t->cell[i]);

        width[i % n] = w > width[i % n] ? w : width[i % n];
    }
    while (sum(width, n) > room && width[0] > FIRST_WIDE && n > 1) {
        width[0]--;
    }
    while (sum(width, n) > room && (i = shrinkable(t, width)) < n) {
        width[i]--;
    }
    while (sum(width, n) > room && width[n - 1] > WRAP_LEAST && !t->column[n - 1].right) {
        width[n - 1]--;
    }
    while (sum(width, n) > room && width[0] > NARROWEST) {
        width[0]--;
    }
    return sum(width, n) <= room;
}

static void write_row(const struct layout_table *t, const size_t *width, char *const *cell,
                      size_t indent, struct text *out)
{
    size_t n = t->n_columns;
    size_t at = indent;

    spaces(out, indent);
    for (size_t i = 0; i < n; i++) {
        if (i == n - 1 && !t->column[i].right) {
            layout_wrap_to(out, cell[i], at, at, at + width[i]);
            continue;
        }
        if (t->column[i].shrinks) {
            struct text cut = {0};

            layout_cut(&cut, cell[i], width[i]);
            layout_pad(out, text_str(&cut), width[i], t->column[i].right);
            text_deinit(&cut);
        } else if (i == 0 && layout_width(cell[i]) > width[i]) {
            layout_wrap(out, cell[i], indent, indent + FOLD_INDENT);
            spaces(out, indent + width[i]);
        } else {
            layout_pad(out, cell[i], width[i], t->column[i].right);
        }
        at += width[i] + GAP;
        if (i == n - 1) {
            text_add(out, "\n");
        } else {
            spaces(out, GAP);
        }
    }
}

/* A row that ends in empty cells would end in spaces. */
static void trim_line(struct text *out)
{
    size_t len = out->len;

    while (len > 1 && out->s[len - 2] == ' ') {
        len--;
    }
    out->s[len - 1] = '\n';
    out->s[len] = '\0';
    out->len = len;
}

static bool says_something(const char *cell)
{
    return *cell && strcmp(cell, "-") != 0;
}

/* A cell as it reads in a line: "EC 1.20". */
static void add_folded(const struct layout_column *c, const char *cell, struct text *out)
{
    const char *first = c->unit ? cell : c->head;

    text_add(out, "%s%s%s%s", out->len ? ", " : "", first, *c->head ? " " : "",
             c->unit ? c->head : cell);
}

/* The rows without columns, for a page that is too narrow for them. */
static void write_folded(const struct layout_table *t, size_t indent, struct text *out)
{
    for (size_t i = 0; i + t->n_columns <= t->n_cells; i += t->n_columns) {
        struct text line = {0};

        spaces(out, indent);
        layout_wrap(out, t->cell[i], indent, indent + FOLD_INDENT);
        for (size_t k = 1; k < t->n_columns; k++) {
            if (says_something(t->cell[i + k])) {
                add_folded(&t->column[k], t->cell[i + k], &line);
            }
        }
        if (line.len) {
            spaces(out, indent + FOLD_INDENT);
            layout_wrap(out, text_str(&line), indent + FOLD_INDENT, indent + FOLD_INDENT);
        }
        text_deinit(&line);
    }
}

static void write_columns(const struct layout_table *t, const size_t *width, size_t indent,
                          struct text *out)
{
    size_t n = t->n_columns;
    char **head = mem_array(n, sizeof *head);

    for (size_t i = 0; i < n; i++) {
        head[i] = mem_strdup(t->column[i].head);
    }
    write_row(t, width, head, indent, out);
    trim_line(out);
    for (size_t i = 0; i + n <= t->n_cells; i += n) {
        write_row(t, width, &t->cell[i], indent, out);
        trim_line(out);
    }
    for (size_t i = 0; i < n; i++) {
        free(head[i]);
    }
    free(head);
}

void layout_table_write(const struct layout_table *t, size_t indent, struct text *out)
{
    size_t *width = mem_array(t->n_columns, sizeof *width);

    if (fit(t, layout_columns(out) - indent, width)) {
        write_columns(t, width, indent, out);
    } else {
        write_folded(t, indent, out);
    }
    free(width);
}
