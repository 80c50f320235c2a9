/* sections.h - the sections of the room file: a table of keys each, with ranges, presets and
 * help.
 *
 * Adding a key is a row here (sections.c) and a member to put it in; the parser, its messages
 * and the reference in tarn-room.5 go by the row. */
#ifndef TARN_CONFIG_READ_SECTIONS_H
#define TARN_CONFIG_READ_SECTIONS_H

#include "config/read/keys.h"
#include "daemon/core/room/room.h"

/* What the percentages of a liquid's label are shares of. */
enum label_basis { LABEL_BY_WEIGHT, LABEL_BY_VOLUME, LABEL_BASIS_N };

/* What a product's map says of its contents, before it is worked out (contents_read.h). */
struct labelled {
    struct product product; /* the keys that are the product's own */
    enum label_basis basis;
    char formula[FORMULA_LEN_MAX + 1]; /* of a dry salt; "" = not told */
    double purity_pct;
    enum reagent reagent;
    double strength_pct; /* by weight; 0 = not told */
};

/* What the file says of the source water, before it is worked out (room_read.c). */
struct source {
    struct source_water water; /* its rate_l_h holds L/min until then: quantity.h counts so */
    double feed_c, rated_c;    /* feed_c NaN = not told: the rate holds as it is */
    double feed_ms_cm, rejection_pct, recovery_pct; /* 0 = not told */
};

/* Every section: X(id, as messages and the reference call it, what the reference says of it).
 * Its table of keys fills a struct of the room, but for `product`: a struct labelled, `source`:
 * a struct source, and `file`, whose keys are all read by code of their own. */
/* clang-format off */
#define ROOM_SECTIONS(X)                                                                           \
    X(file,      "the room file",       "The sections of the file, in any order.")                 \
    X(room,      "room",                "The room at large.")                                      \
    X(units,     "units",               "How figures are shown. What is written in this file and " \
                                        "on the command line has its own unit each time.")         \
    X(source,    "source_water",        "The plain water, before anything is added.")              \
    X(reservoir, "reservoir",           "The shared tank. Its low mark lies above the remainder "  \
                                        "and below the capacity.")                                 \
    X(labour,    "labour",              "Minutes of work that a day has, and minutes that each "   \
                                        "takes.")                                                  \
    X(care,      "care",                "How often a thing is seen to; 0 days is never.")          \
    X(measures,  "measures",            "What amounts are measured with. Doses are rounded to "    \
                                        "its steps.")                                              \
    X(backup,    "backup",              "Copies of the journal, one at each day's start. Each is " \
                                        "read back before it counts.")                             \
    X(sensors,   "sensors",             "What is told with --sensor. Of each hour the first "      \
                                        "reading of a thing counts in any case; what people tell " \
                                        "is always kept.")                                         \
    X(product,   "products.NAME",       "One nutrient, acid or base.")                             \
    X(recipe,    "recipes.NAME",        "What makes a solution. Crops name the recipe that each "  \
                                        "of their stages wants.")                                  \
    X(dose,      "recipes.NAME.doses",  "One product of a recipe.")                                \
    X(crop,      "crops.NAME",          "A crop. What is said of a shipped one changes just that; "\
                                        "the rest stays.")                                         \
    X(stage,     "crops.NAME.stages",   "A growth stage. One that the shipped crop has is changed "\
                                        "in what is said; a new one takes its place by its age. "  \
                                        "The first begins at 0 days.")                             \
    X(container, "containers.NAME",     "A container, or as many as a pattern stands for. The "    \
                                        "start line lies above the float line, and the float "     \
                                        "line above the remainder.")                               \
    X(meter,     "meters.NAME",         "One meter.")
/* clang-format on */

/* section_room, section_reservoir, … */
#define ROOM_SECTION_DECLARE(id, word, text) extern const struct key_section section_##id;
ROOM_SECTIONS(ROOM_SECTION_DECLARE)

/* All of them in that order, for the reference; NULL-terminated. */
extern const struct key_section *const room_sections[];

#endif
