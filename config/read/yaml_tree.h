/* yaml_tree.h - a YAML document as a tree of nodes that know their place.
 *
 * A strict subset: one document of UTF-8, maps, lists and scalars. Anchors, aliases, tags and merge
 * keys are refused, so nothing expands; depth, size and number of events are bounded. libyaml's own
 * reader of `[` is quadratic and has no depth limit: the walk stops at the first bracket too many.
 */
#ifndef TARN_CONFIG_READ_YAML_TREE_H
#define TARN_CONFIG_READ_YAML_TREE_H

#include "config/read/fault.h"

#include <stddef.h>
#include <stdint.h>

enum node_kind { NODE_SCALAR, NODE_LIST, NODE_MAP };

struct node {
    enum node_kind kind;
    struct place at;
    struct place named; /* the key it is the value of, for faults about what it lacks */
    char *text;         /* of a scalar: one line of UTF-8 without control characters */
    struct pair *pair;  /* of a map */
    struct node *item;  /* of a list */
    size_t n, cap;      /* pairs or items */
};

struct pair {
    char *key;
    uint64_t hash; /* of the key, so that a file of ten thousand keys is read at once */
    struct place at;
    struct node value;
};

#define YAML_DEPTH_MAX  16
#define YAML_EVENTS_MAX 20000
#define YAML_SCALAR_MAX 4096
#define YAML_KEY_MAX    128

/* Reads the document into *out. False when anything was at fault; what was read of it is freed
 * then. */
bool yaml_tree_read(struct faulty *f, const char *text, size_t len, struct node *out);
void yaml_tree_free(struct node *n);

/* The value of a key in a map; NULL when there is none, or n is no map. */
const struct node *node_get(const struct node *n, const char *key);

/* "a map", "a list" or "a single value", for messages. */
const char *node_kind_word(const struct node *n);

#endif
