/* shape.h - copies, frees, compares, writes and reads structs by the lists of their fields.
 *
 * Pure. A list stands once for each struct (state.c has those of the state), so that a field need
 * not be thought of in five places. Knows nothing of what the fields mean. */
#ifndef TARN_CORE_STATE_SHAPE_H
#define TARN_CORE_STATE_SHAPE_H

#include <stdbool.h>
#include <stddef.h>

struct text;

enum field_type {
    FIELD_BOOL,
    FIELD_INT, /* int32_t too */
    FIELD_ENUM,
    FIELD_INT64,
    FIELD_SIZE,
    FIELD_DOUBLE,
    FIELD_TEXT, /* an array of char, to its NUL */
    FIELD_PART, /* a struct within */
    FIELD_OWNED /* a pointer to structs that the state owns */
};

struct field {
    const char *name;
    enum field_type type;
    size_t at;              /* bytes from the start of its struct */
    size_t n, size;         /* so many of it, one after another, each of so many bytes */
    const struct shape *of; /* of FIELD_PART and FIELD_OWNED: what each is … */
    size_t count_at,
        cap_at; /* … and of FIELD_OWNED where its size_t counts stand; cap_at 0 = none */
};

struct shape {
    const struct field *field; /* in the order of the struct */
    size_t n_fields;
    size_t size;
};

/* Frees what the struct at `in` owns, and all that its parts own; the pointers are
 * left as they are. */
void shape_free_owned(void *in, const struct shape *shape);

/* A struct that was copied byte by byte gets its own copies of what it owns. */
void shape_own_copies(void *in, const struct shape *shape);

/* Are two structs the same in every field (NaN is NaN, text counts to its NUL)? On false the first
 * difference is said in *why (NULL = not wanted): "meter[0].odd: 1 and 2". */
bool shape_equal(const void *a, const void *b, const struct shape *shape, struct text *why);

/* Adds the struct's fields to *out as bytes: each as it lies in memory, a text to its NUL, of what
 * is owned first how many. So only the program that wrote them can read them. */
void shape_write(const void *in, const struct shape *shape, struct text *out);

/* What is left of such bytes. */
struct shape_bytes {
    const unsigned char *at;
    size_t left;
};

/* Fills a zeroed struct from bytes, whose beginning moves behind what was read. False where they
 * end too early or a text is too long; what was made so far is there, for shape_free_owned. */
bool shape_read(void *out, const struct shape *shape, struct shape_bytes *from);

#endif
