/* portion.h - an amount as a person can measure it out.
 *
 * Pure. A portion is rounded to the step of what it is measured with. Where that would change it by
 * more than PORTION_OFF_MAX, the product is thinned first: one part made up to ten, or a hundred,
 * with water. */
#ifndef TARN_CORE_ROOM_PORTION_H
#define TARN_CORE_ROOM_PORTION_H

#include "daemon/core/room/room.h"

/* Common practice, no source: 2 % is what an EC meter is off by itself, and more than a hundredfold
 * nobody thins in one jug. */
#define PORTION_OFF_MAX  0.02
#define PORTION_THIN_MAX 100

enum tool { TOOL_SYRINGE, TOOL_CYLINDER, TOOL_SCALE };
extern const char *const tool_words[]; /* "syringe", "cylinder", "scale" */

struct portion {
    double product; /* mL or g of the product that goes in */
    double amount;  /* what is measured: `product`, or the mL of it thinned, or the g to dissolve */
    enum tool tool;
    int thin;        /* 1 = as it is */
    double off_frac; /* product over what was wanted, less 1 */
};

/* Of `wanted` mL, or g of a dry product; >= 0. A dry product that is too little for the scale is
 * weighed `thin` times over and dissolved to a litre, of which one part in `thin` is used. */
struct portion portion_of(const struct measures *m, bool dry, double wanted);

#endif
