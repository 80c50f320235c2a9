/* sighting.h - what a person can see on a plant or in a tank, and what follows from it.
 *
 * Pure. One list: the enum, the words of journal and protocol, what a sighting asks for and what is
 * to be checked are made from it, so that one that lacks a column does not compile. A word that is
 * in a journal never changes its meaning. */
#ifndef TARN_CORE_WORDS_SIGHTING_H
#define TARN_CORE_WORDS_SIGHTING_H

#include <stdbool.h>

/* What the daemon does about it, beside saying what to check. */
enum sighting_does {
    SIGHTING_TELLS, /* nothing else: it is told of for some days */
    SIGHTING_HOLDS, /* the next solution is made no stronger than this one … */
    SIGHTING_STEPS, /* … or a step stronger again; told of until then */
    SIGHTING_LOOKS, /* a look is asked for, today or tomorrow: alarm.h has its alarm */
};

/* By hand, so that one is a line and its check. The order is that in which they are listed.
 *
 * says   after "A1: "
 * plant  is it about a plant, and not about a reservoir?
 * day    so long it counts, unless it is seen again; 0 = until the next solution, which answers it.
 *        Common practice, no source
 * check  what to check first; 100 bytes at most, which is what a task says of it
 *
 * Tip burn is calcium that does not reach leaves which lose no water: air blown on them prevents it
 * in lettuce (Goto & Takakura 1992, Trans. ASAE 35:641-645; Frantz et al. 2004, J. Amer. Soc. Hort.
 * Sci. 129:331-338; both from memory). Blossom-end rot is calcium too: salt, much potassium beside
 * it and uneven water keep it out of the fruit (Ho & White 2005, Ann. Bot. 95:571-581; from
 * memory). Brown roots in warm water are mostly Pythium. The rest is common practice, no source. */
/* clang-format off */
#define BLOSSOM_ROT_CHECK \
    "EC not above its target, K to Ca at most 2:1, water without gaps, moving air"
#define WILTING_CHECK \
    "is there water, does the float let it in? Then how warm it is, and the roots"
#define BROWN_ROOTS_CHECK \
    "the water's warmth and smell, slime; white and firm is well. Scrub at the change"

#define SIGHTINGS(ROW)                                                                          \
    ROW(TIP_BURN,    "tip-burn",        "tips burn",             true,  HOLDS, 0,               \
        "EC not above its target; in lettuce calcium lacks: move the air, drier at night")      \
    ROW(PALE_GROWTH, "pale-growth",     "growth is pale",        true,  STEPS, 0,               \
        "pH first, since above its band iron is locked up; then EC, and the light")             \
    ROW(BLOSSOM_ROT, "blossom-end-rot", "fruit rots at its end", true,  LOOKS, 14,              \
        BLOSSOM_ROT_CHECK)                                                                      \
    ROW(WILTING,     "wilting",         "it wilts",              true,  LOOKS, 5,               \
        WILTING_CHECK)                                                                          \
    ROW(BROWN_ROOTS, "brown-roots",     "roots are brown",       true,  LOOKS, 14,              \
        BROWN_ROOTS_CHECK)                                                                      \
    ROW(PESTS,       "pests",           "pests were seen",       true,  TELLS, 7,               \
        "the undersides of leaves, here and on its neighbours; take off what is full of them")  \
    ROW(DISEASE,     "disease",         "disease was seen",      true,  TELLS, 7,               \
        "its neighbours; take off what is ill, and wash hands before the next plant")           \
    ROW(ALGAE,       "algae",           "algae were seen",       false, TELLS, 14,              \
        "where light falls in: cover it, and scrub at the next change")                         \
    ROW(LEAK,        "leak",            "a leak was seen",       false, TELLS, 3,               \
        "close what feeds it, then fittings and seams; tell the level once it is dry")
/* clang-format on */

enum sighting {
/* clang-format off */
#define AS_ENUM(name, word, says, plant, does, day, check) SIGHTING_##name,
    SIGHTINGS(AS_ENUM)
#undef AS_ENUM
    SIGHTING_N
    /* clang-format on */
};

struct sighting_def {
    const char *word; /* in JSON, SQL and on the command line: "tip-burn" */
    const char *says; /* in a sentence: "tips burn" */
    bool plant;
    enum sighting_does does;
    int day;
    const char *check;
};

/* By enum sighting. */
extern const struct sighting_def sightings[SIGHTING_N];

/* The words alone, and a NULL behind them. */
extern const char *const sighting_words[SIGHTING_N + 1];

/* A sighting by its word; -1 when there is none. */
int sighting_find(const char *word);

#endif
