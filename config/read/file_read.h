/* file_read.h - a small text file into memory, with what went wrong as a fault. */
#ifndef TARN_CONFIG_READ_FILE_READ_H
#define TARN_CONFIG_READ_FILE_READ_H

#include "config/read/fault.h"

#include <stdbool.h>
#include <stddef.h>

/* Bytes. A room of 20000 containers one by one would be larger; by patterns it is a page. The bound
 * keeps what a broken or a hostile file can cost to a moment. */
#define ROOM_FILE_MAX 262144

/* True with the whole file in *out, malloc'd and not terminated, and its size in *out_len. What is
 * no regular file, cannot be read or is larger than ROOM_FILE_MAX is a fault without a place; the
 * outputs stay as they were. */
bool file_read(struct faulty *f, const char *path, char **out, size_t *out_len);

#endif
