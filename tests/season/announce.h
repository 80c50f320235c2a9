/* announce.h - a copy of the room file that says on which days nobody is there or works, what the
 * water is, and what is kept in the reservoir. */
#ifndef TARN_TESTS_SEASON_ANNOUNCE_H
#define TARN_TESTS_SEASON_ANNOUNCE_H

#include "daemon/base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What the copy says otherwise. */
struct announced {
    const int32_t *off; /* civil days */
    size_t n_off;
    const bool
        *works; /* of each weekday, Monday first: no work on the others; NULL = as it has it */
    double feed_ms_cm;       /* a weak feed in the reservoir … */
    const char *feed_recipe; /* … by this recipe; NULL = as the file has it */
    double source_ec_ms_cm, source_alkalinity_mg_l; /* NaN = as the file has it */
};

/* Copies the room file `from` to `to`, with the days as `off` of its `labour`, the water in its
 * `source_water` and the feed in its `reservoir`. Days off of its own stay; they have to stand in
 * one line. 0, or the error of the system. */
int announce_room(const char *from, const char *to, const struct announced *a, struct err *err);

#endif
