/* figure.h - the figures that can be measured and told: each with its word, key and unit.
 *
 * Pure. One table: the journal's columns, the protocol's fields, the checks and the help are made
 * from it. */
#ifndef TARN_CORE_WORDS_FIGURE_H
#define TARN_CORE_WORDS_FIGURE_H

#include "daemon/core/units/quantity.h"

enum figure {
    FIGURE_VOLUME_L, /* litres in the subject afterwards */
    FIGURE_ADDED_L,  /* litres added */
    FIGURE_EC_MS_CM,
    FIGURE_PH,
    FIGURE_TEMP_C,
    FIGURE_SLOPE_PCT, /* of a meter: 100 = as new */
    FIGURE_OFFSET_MV,
    FIGURE_AMOUNT, /* of a product: mL or g, as the product is */
    FIGURE_YIELD_G,
    FIGURE_WAS_MS_CM, /* EC in the subject just before; of a mix, before it was corrected */
    FIGURE_TOOK_MIN,  /* how long the work took in all */
    FIGURE_JOBS,      /* beside it, by the daemon: as much work as so many jobs of the kind */
    FIGURE_N
};

struct figure_def {
    const char *word;          /* on the command line: "volume" */
    const char *key;           /* in JSON and SQL: "volume_l" */
    enum quantity quantity;    /* FIGURE_AMOUNT: the product says, liquid or dry */
    double lo, hi;             /* outside: it cannot be */
    double usual_lo, usual_hi; /* outside: possible but strange */
    const char
        *unit; /* in which it is asked for ("slope=…%"); "" = as the person's meter shows it */
};
extern const struct figure_def figure_defs[]; /* FIGURE_N of them */

#define FIGURE_BIT(f) (1U << (unsigned)(f))

/* A figure by its word ("volume") or its key ("volume_l"); -1 when there is none. */
int figure_find(const char *word_or_key);

#endif
