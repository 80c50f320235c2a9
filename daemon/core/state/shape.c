#include "daemon/core/state/shape.h"

#include "daemon/base/mem.h"
#include "daemon/base/text.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Where a field lies in the struct at `in`. */
static const void *at(const void *in, const struct field *f)
{
    return (const char *)in + f->at;
}

static void *at_mine(void *in, const struct field *f)
{
    return (char *)in + f->at;
}

/* By memcpy and not by a cast: a field is found by its offset alone, and a pointer of another
 * type to it is not ours to make. */
static size_t count_at(const void *in, size_t bytes)
{
    size_t n;

    memcpy(&n, (const char *)in + bytes, sizeof n);
    return n;
}

static void *owned_at(const void *in, const struct field *f)
{
    void *p;

    memcpy(&p, at(in, f), sizeof p);
    return p;
}

/* What parts own first: they lie in what is freed afterwards. */
void shape_free_owned(void *in, const struct shape *shape)
{
    for (size_t i = 0; i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        bool owned = f->type == FIELD_OWNED;
        size_t n = owned ? count_at(in, f->count_at) : f->n;
        char *part = owned ? owned_at(in, f) : at_mine(in, f);

        for (size_t k = 0; f->of && k < n; k++) {
            shape_free_owned(part + k * f->of->size, f->of);
        }
        if (owned) {
            free(part);
        }
    }
}

void shape_own_copies(void *in, const struct shape *shape)
{
    for (size_t i = 0; i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        bool owned = f->type == FIELD_OWNED;
        size_t n = owned ? count_at(in, f->count_at) : f->n;
        char *part = owned ? mem_copy(owned_at(in, f), n, f->of->size) : at_mine(in, f);

        if (owned) {
            memcpy(at_mine(in, f), &part, sizeof part);
        }
        /* A copy has room for what is in it and no more; growing it later is mem_grow's
         * business. */
        if (f->cap_at) {
            memcpy((char *)in + f->cap_at, &n, sizeof n);
        }
        for (size_t k = 0; f->of && k < n; k++) {
            shape_own_copies(part + k * f->of->size, f->of);
        }
    }
}

/* The way down to a field, for the sentence about it. */
struct way {
    const struct way *up;
    const struct field *field;
    size_t i;
    size_t n; /* … of so many; with one of them the number is not said */
};

static void say_way(const struct way *w, struct text *why)
{
    if (w->up) {
        say_way(w->up, why);
        text_add(why, ".");
    }
    text_add(why, "%s", w->field->name);
    if (w->n > 1 || w->field->type == FIELD_OWNED) {
        text_add(why, "[%zu]", w->i);
    }
}

/* One value as a number, to be shown; a hash beyond 2^53 loses digits. */
static double number_at(const void *p, enum field_type type)
{
    switch (type) {
    case FIELD_BOOL:
        return *(const bool *)p;
    case FIELD_INT:
        return *(const int *)p;
    case FIELD_ENUM:
        return *(const unsigned *)p;
    case FIELD_INT64:
        return (double)*(const int64_t *)p;
    case FIELD_SIZE:
        return (double)*(const size_t *)p;
    case FIELD_DOUBLE:
        return *(const double *)p;
    case FIELD_TEXT:
    case FIELD_PART:
    case FIELD_OWNED:
        break;
    }
    return NAN;
}

/* To the last bit, since the live state and the folded one went through the same steps. Two that
 * are unknown are the same. */
static bool same_numbers(const void *a, const void *b, const struct way *w, struct text *why)
{
    double x = number_at(a, w->field->type);
    double y = number_at(b, w->field->type);
    bool equal = w->field->type == FIELD_DOUBLE ? x == y || (isnan(x) && isnan(y))
                                                : memcmp(a, b, w->field->size) == 0;

    if (!equal && why) {
        say_way(w, why);
        text_add(why, ": %.17g and %.17g", x, y);
    }
    return equal;
}

static bool same_texts(const char *a, const char *b, const struct way *w, struct text *why)
{
    bool equal = strcmp(a, b) == 0;

    if (!equal && why) {
        say_way(w, why);
        text_add(why, ": '%s' and '%s'", a, b);
    }
    return equal;
}

/* Without it the longer of two lists would be read beyond the shorter one's end. */
static bool same_counts(size_t a, size_t b, const struct way *up, const struct field *f,
                        struct text *why)
{
    if (a != b && why) {
        if (up) {
            say_way(up, why);
            text_add(why, ".");
        }
        text_add(why, "%s: %zu and %zu of them", f->name, a, b);
    }
    return a == b;
}

/* By fields and not by memcmp, which would compare the padding, the addresses of what is owned,
 * and two NaN bit by bit. Stops at the first difference: one is enough to look for. */
static bool same(const void *a, const void *b, const struct shape *shape, const struct way *up,
                 struct text *why)
{
    bool equal = true;

    for (size_t i = 0; equal && i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        bool owned = f->type == FIELD_OWNED;
        const char *in_a = owned ? owned_at(a, f) : at(a, f);
        const char *in_b = owned ? owned_at(b, f) : at(b, f);
        size_t n = owned ? count_at(a, f->count_at) : f->n;
        size_t size = f->of ? f->of->size : f->size;

        equal = !owned || same_counts(n, count_at(b, f->count_at), up, f, why);
        for (size_t k = 0; equal && k < n; k++) {
            struct way w = {up, f, k, n};
            const char *x = in_a + k * size;
            const char *y = in_b + k * size;

            equal = f->of                   ? same(x, y, f->of, &w, why)
                    : f->type == FIELD_TEXT ? same_texts(x, y, &w, why)
                                            : same_numbers(x, y, &w, why);
        }
    }
    return equal;
}

bool shape_equal(const void *a, const void *b, const struct shape *shape, struct text *why)
{
    return same(a, b, shape, NULL, why);
}

void shape_write(const void *in, const struct shape *shape, struct text *out)
{
    for (size_t i = 0; i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        bool owned = f->type == FIELD_OWNED;
        size_t n = owned ? count_at(in, f->count_at) : f->n;
        const char *part = owned ? owned_at(in, f) : at(in, f);

        if (owned) {
            text_add_bytes(out, &n, sizeof n);
        }
        if (f->type == FIELD_TEXT) {
            text_add_bytes(out, part, strlen(part) + 1);
        } else if (!f->of) {
            text_add_bytes(out, part, n * f->size);
        }
        for (size_t k = 0; f->of && k < n; k++) {
            shape_write(part + k * f->of->size, f->of, out);
        }
    }
}

static bool take(struct shape_bytes *from, void *to, size_t n)
{
    if (n > from->left) {
        return false;
    }
    memcpy(to, from->at, n);
    from->at += n;
    from->left -= n;
    return true;
}

static bool take_text(struct shape_bytes *from, char *to, size_t most)
{
    const unsigned char *end = memchr(from->at, '\0', from->left < most ? from->left : most);

    return end && take(from, to, (size_t)(end - from->at) + 1);
}

/* Count and pointer are set together: what reading leaves half-way can be freed. */
static bool take_owned(struct shape_bytes *from, void *out, const struct field *f, char **part,
                       size_t *n)
{
    if (!take(from, n, sizeof *n) || *n > from->left) { /* each of them has a byte at least */
        return false;
    }
    *part = mem_array(*n, f->of->size);
    memcpy(at_mine(out, f), part, sizeof *part);
    memcpy((char *)out + f->count_at, n, sizeof *n);
    if (f->cap_at) {
        memcpy((char *)out + f->cap_at, n, sizeof *n);
    }
    return true;
}

bool shape_read(void *out, const struct shape *shape, struct shape_bytes *from)
{
    bool ok = true;

    for (size_t i = 0; ok && i < shape->n_fields; i++) {
        const struct field *f = &shape->field[i];
        char *part = at_mine(out, f);
        size_t n = f->n;

        if (f->type == FIELD_OWNED) {
            ok = take_owned(from, out, f, &part, &n);
        } else if (f->type == FIELD_TEXT) {
            ok = take_text(from, part, f->size);
        } else if (!f->of) {
            ok = take(from, part, n * f->size);
        }
        for (size_t k = 0; ok && f->of && k < n; k++) {
            ok = shape_read(part + k * f->of->size, f->of, from);
        }
    }
    return ok;
}
