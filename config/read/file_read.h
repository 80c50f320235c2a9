/* file_read.h - a small text file into memory, with what went wrong as a fault. */
#ifndef TARN_CONFIG_READ_FILE_READ_H
#define TARN_CONFIG_READ_FILE_READ_H

#include "config/read/fault.h"

#include <stdbool.h>

/* *out is malloc'd. Files larger than ROOM_FILE_MAX are a fault. */
bool file_read(struct faulty *f, const char *path, char **out, size_t *out_len);

#endif
