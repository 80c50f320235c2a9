/* announce.h - a copy of the room file that says on which days nobody is there. */
#ifndef TARN_TESTS_SEASON_ANNOUNCE_H
#define TARN_TESTS_SEASON_ANNOUNCE_H

#include "daemon/base/err.h"

#include <stddef.h>
#include <stdint.h>

/* Copies the room file `from` to `to`, with the days (civil) as `off` of its `labour`. 0, or
 * the error of the system; a file whose labour has an `off` of its own is ERR_REFUSED. */
int announce_days_off(const char *from, const char *to, const int32_t *day, size_t n,
                      struct err *err);

#endif
