/* room_read.h - the room file: YAML to a checked room, with every fault at its place.
 *
 * Reads the room file, and the crops of a folder where one is named; touches nothing else. All
 * faults are found (at most ROOM_FAULTS_MAX are kept), each as file:line:column: what is wrong;
 * what would be right. A file with a fault gives no room at all. */
#ifndef TARN_CONFIG_READ_ROOM_READ_H
#define TARN_CONFIG_READ_ROOM_READ_H

#include "config/read/fault.h"
#include "daemon/core/room/room.h"

/* Reads `path`. The crops built into the program are known; the *.yaml files in crops_dir (NULL
 * = none) add to them, or take the place of those of the same name. 0 with *out filled, for
 * room_deinit, or ERR_CONFIG with at least one fault and *out untouched. *faults is overwritten. */
int room_read(const char *path, const char *crops_dir, struct room *out,
              struct room_faults *faults);

/* The same from memory; `name` stands for the file in messages. */
int room_read_text(const char *name, const char *text, size_t len, const char *crops_dir,
                   struct room *out, struct room_faults *faults);

#endif
