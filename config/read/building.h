/* building.h - a room in the making: what the readers of its sections share.
 *
 * Inside config/read only. Each reader notes faults and goes on, so that one run finds all of
 * them; a room with a fault is thrown away whole. */
#ifndef TARN_CONFIG_READ_BUILDING_H
#define TARN_CONFIG_READ_BUILDING_H

#include "config/read/crops_read.h"
#include "config/read/yaml_tree.h"
#include "daemon/core/room/room.h"

/* Room for "containers.NAME" and the like, in messages. */
#define WHERE_LEN 96

#define CROP_UNKNOWN SIZE_MAX /* of a container whose crop is at fault */

/* A name that was given to a thing, and where. */
struct naming {
    char name[NAME_LEN_MAX + 1];
    struct place at;
    size_t order; /* how many names were given before it */
};

/* {0} but for f is an empty one. room_read.c frees what it holds, and hands the room on. */
struct building {
    struct faulty f;
    const struct node *file; /* the root of the tree; borrowed */
    struct room room;
    struct crops crops;    /* shipped and told; those that the room can grow move into the room */
    struct place *crop_at; /* of each container: where its crop was named */
    struct naming *naming; /* every name given, for the search of doubles at the end */
    size_t n_namings;
    size_t cap_products, cap_recipes, cap_containers, cap_meters, cap_crop_at, cap_namings;
};

/* Where a thing is wrong: at the value of a key, or at the thing itself where the key is not. */
struct place building_place(const struct node *map, const char *key);

/* False, with the fault noted, when the key is no name, or stands for the room or the reservoir.
 * `what` says whose name it would be: "a meter". */
bool building_check_name(struct building *b, const struct pair *p, const char *what);

/* Keeps a name that is given, to be set beside the others at the end. */
void building_add_name(struct building *b, const char *name, struct place at);

/* Notes that a map lacks a name, with the nearest of those that it has: "there is no 'x' in
 * 'recipes'; did you mean 'y'?" */
void building_unknown(struct building *b, struct place at, const char *key, const char *name,
                      const char *section, const char *const *known, size_t n_known);

/* Two keys of a map that give a ruler's scale, and what was read of them (0 = not there): the lower
 * one alone is none, and it lies below the other. */
void building_check_ruler(struct building *b, const struct node *map, const char *low_key,
                          double low_m, const char *high_key, double high_m);

/* A section that is a map of things by name: each is handed to `read_one`. A section that is no map
 * is a fault, and one that is not there is none: whether it is needed, the table of keys says. */
void building_read_each(struct building *b, const char *section,
                        void (*read_one)(struct building *, const struct pair *));

#endif
