/* announce.h - a copy of the room file that says on which days nobody is there, and what the water
 * is. */
#ifndef TARN_TESTS_SEASON_ANNOUNCE_H
#define TARN_TESTS_SEASON_ANNOUNCE_H

#include "daemon/base/err.h"

#include <stddef.h>
#include <stdint.h>

/* What the copy says otherwise. */
struct announced {
    const int32_t *off; /* civil days */
    size_t n_off;
    double source_ec_ms_cm, source_alkalinity_mg_l; /* NaN = as the file has it */
};

/* Copies the room file `from` to `to`, with the days as `off` of its `labour` and the water in its
 * `source_water`. 0, or the error of the system; a file whose labour has an `off` of its own is
 * ERR_REFUSED. */
int announce_room(const char *from, const char *to, const struct announced *a, struct err *err);

#endif
