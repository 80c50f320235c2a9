/* temper.h - how a person keeps their days: the same for every policy of a seed.
 *
 * Pure. Now and then the morning's work is done at noon, a day is forgotten, or a long weekend is
 * spent elsewhere, which is known before. */
#ifndef TARN_TESTS_SEASON_TEMPER_H
#define TARN_TESTS_SEASON_TEMPER_H

#include <stdint.h>

enum presence { PRESENT, LATE, FORGOTTEN, AWAY };

/* On a day counted from the first; first_day is its civil day. Nobody is away in the first week. */
enum presence temper_of(uint64_t seed, int32_t first_day, uint64_t day);

#endif
