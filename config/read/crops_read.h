/* crops_read.h - crops from a map of NAME: {…}: the shipped ones, those of a folder, and what a
 * room file makes of them. */
#ifndef TARN_CONFIG_READ_CROPS_READ_H
#define TARN_CONFIG_READ_CROPS_READ_H

#include "config/read/yaml_tree.h"
#include "daemon/core/room/room.h"

/* {0} is none; the owner frees `crop`. */
struct crops {
    struct crop *crop;
    size_t n, cap;
    uint64_t made_of; /* hash of the files that were read, those of the program left out */
};

/* Adds the crops of a map. One that is there already is changed only in what the map says; a stage
 * of a known name likewise, and others are added behind. */
void crops_read(struct faulty *f, const struct node *map, struct crops *crops);

/* Adds the crops that are built into the program. */
void crops_read_shipped(struct room_faults *faults, struct crops *crops);

/* Reads every *.yaml in a folder that is not hidden, by name, and adds their text to made_of. A
 * crop of these takes the place of a known one whole: such a file says all of its crop, and what it
 * leaves out is not to come from another. A folder that cannot be read is a fault without a place,
 * and so is each file of it. */
void crops_read_dir(struct room_faults *faults, const char *dir, struct crops *crops);

#endif
