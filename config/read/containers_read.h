/* containers_read.h - containers, one by one or by pattern. */
#ifndef TARN_CONFIG_READ_CONTAINERS_READ_H
#define TARN_CONFIG_READ_CONTAINERS_READ_H

#include "config/read/building.h"

/* Adds the container, or all that "A1..A12" stands for, to the room. Reads after reservoir and
 * crops, by which it is checked. */
void container_read(struct building *b, const struct pair *p);

#endif
