/* state_shape.h - what a state is made of: for each of its structs, the list of its fields.
 *
 * Private to state.c and to the test of these lists. A state is copied, freed and compared by
 * them, so that no field has to be thought of three times. A struct with a field that its list
 * does not have does not compile; the error stands at the list that is short (state_shape.c says
 * how). */
#ifndef TARN_CORE_STATE_STATE_SHAPE_H
#define TARN_CORE_STATE_STATE_SHAPE_H

#include <stddef.h>

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

extern const struct shape state_shape;

#endif
