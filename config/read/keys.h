/* keys.h - the keys of the room file: one table a section says name, type, range, default and help.
 *
 * The parser goes by these tables, and the reference in tarn-room.5 is checked against them. */
#ifndef TARN_CONFIG_READ_KEYS_H
#define TARN_CONFIG_READ_KEYS_H

#include "config/read/fault.h"
#include "config/read/yaml_tree.h"
#include "daemon/core/units/quantity.h"

#include <stdbool.h>
#include <stddef.h>

enum key_type {
    KEY_QUANTITY, /* double; `quantity` says of what */
    KEY_TEXT,     /* char[size] */
    KEY_NAME,     /* char[size], a valid name */
    KEY_WORD,     /* int-sized enum: index into `words` */
    KEY_BOOL,     /* bool: true or false */
    KEY_DAY,      /* int32_t: a civil day */
    KEY_CLOCK,    /* int32_t: second of the day, "07:00" */
    KEY_PART,     /* read by its own code; here so that it is known */
};

struct key {
    const char *name;
    enum key_type type;
    enum quantity quantity;
    const char *const *words; /* NULL-terminated, of KEY_WORD */
    const char *form;         /* of KEY_PART: what is written there, for the reference */
    size_t offset;            /* into the struct that the section fills */
    size_t size;              /* of that member */
    double lo, hi;            /* of a quantity, in the unit inside */
    bool above_lo;            /* lo itself is too little */
    bool needed;
    const char *preset; /* as it would be written; NULL = none */
    const char *help;
};

struct key_section {
    const char *name; /* "reservoir"; of maps by name: "containers.NAME" */
    const struct key *key;
    size_t n;
    const char *help;
};

#define KEYS_MAX 40 /* of a section; sections.c does not compile with more */

/* Fills *base from the map by the section's table. With `override` nothing is needed and nothing
 * preset: what is not said stays as it is. Faults are noted; false when there was any. `where` is
 * for messages. NULL for the map gives the presets alone. KEY_PART is only known here: its value is
 * the caller's to read. */
bool keys_read(struct faulty *f, const struct node *map, const struct key_section *s,
               const char *where, bool override, void *base);

/* One value by itself, into its member of *base. False with the fault noted, *base untouched; a
 * KEY_PART is left to its reader, and true. */
bool key_read(struct faulty *f, const struct node *value, const struct key *k, void *base);

/* Reads a quantity from a scalar into *out, in the unit inside. False, with the fault noted and
 * *out untouched, when it is no quantity of that kind or lies outside lo..hi (lo itself too
 * where above_lo). `name` is the key, for messages. */
bool quantity_read(struct faulty *f, const struct node *value, const char *name, enum quantity q,
                   double lo, double hi, bool above_lo, double *out);

#endif
