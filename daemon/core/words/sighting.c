#include "daemon/core/words/sighting.h"

#include <string.h>

#define CHECK_MAX 100 /* bytes that a job has room for */

/* clang-format off */
const struct sighting_def sightings[SIGHTING_N] = {
#define AS_DEF(name, word, says, plant, does, day, check)                                          \
    [SIGHTING_##name] = {word, says, plant, SIGHTING_##does, day, check},
    SIGHTINGS(AS_DEF)
};

const char *const sighting_words[SIGHTING_N + 1] = {
#define AS_WORD(name, word, says, plant, does, day, check) [SIGHTING_##name] = (word),
    SIGHTINGS(AS_WORD)
};

#define IS_SHORT(name, word, says, plant, does, day, check)                                        \
    _Static_assert(sizeof(check) - 1 <= CHECK_MAX, "a check that a task would cut short");
SIGHTINGS(IS_SHORT)
/* clang-format on */

int sighting_find(const char *word)
{
    for (int k = 0; k < SIGHTING_N; k++) {
        if (strcmp(sightings[k].word, word) == 0) {
            return k;
        }
    }
    return -1;
}
