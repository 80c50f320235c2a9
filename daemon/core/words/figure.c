#include "daemon/core/words/figure.h"

#include <string.h>

/* What is usual follows common practice; the slope and offset of a pH meter are judged as in the
 * worked example "how to calculate offset and slope" (85 to 105 %, within 30 mV). */
/* By hand, so that columns stand under each other. */
/* clang-format off */
const struct figure_def figure_defs[] = {
    /*                     word      key          quantity             can be     usual     unit */
    [FIGURE_VOLUME_L]   = {"volume", "volume_l",  QUANTITY_VOLUME,      0,  1e5,    0,  5000, ""},
    [FIGURE_ADDED_L]    = {"added",  "added_l",   QUANTITY_VOLUME,      0,  1e5,    0,  5000, ""},
    [FIGURE_EC_MS_CM]   = {"ec",     "ec_ms_cm",  QUANTITY_EC,          0,   20,    0,     5, ""},
    [FIGURE_PH]         = {"ph",     "ph",        QUANTITY_PH,          0,   14,    4,   8.5, ""},
    [FIGURE_TEMP_C]     = {"temp",   "temp_c",    QUANTITY_TEMP,       -5,   60,    8,    35, ""},
    [FIGURE_SLOPE_PCT]  = {"slope",  "slope_pct", QUANTITY_PERCENT,     0,  200,   85,   105, "%"},
    [FIGURE_OFFSET_MV]  = {"offset", "offset_mv", QUANTITY_MILLIVOLT,-500,  500,  -30,    30, "mV"},
    [FIGURE_AMOUNT]     = {"amount", "amount",    QUANTITY_LIQUID,      0,  1e7,    0,   1e6, ""},
    [FIGURE_YIELD_G]    = {"yield",  "yield_g",   QUANTITY_DRY,         0,  1e6,    0, 30000, "g"},
    [FIGURE_WAS_MS_CM]  = {"was",    "was_ms_cm", QUANTITY_EC,          0,   20,    0,     5, ""},
    [FIGURE_TOOK_MIN]   = {"took",   "took_min",  QUANTITY_MINUTES,   0.1, 1440,  0.1,  480, "min"},
    [FIGURE_JOBS]       = {"jobs",   "jobs",      QUANTITY_NUMBER,      0,  1e5,    0,   1e4, ""},
};
/* clang-format on */

_Static_assert(sizeof figure_defs / sizeof *figure_defs == FIGURE_N, "a figure without its row");

int figure_find(const char *word_or_key)
{
    for (int f = 0; f < FIGURE_N; f++) {
        if (strcmp(figure_defs[f].word, word_or_key) == 0 ||
            strcmp(figure_defs[f].key, word_or_key) == 0) {
            return f;
        }
    }
    return -1;
}
