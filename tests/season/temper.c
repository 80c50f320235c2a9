#include "tests/season/temper.h"

#include "daemon/core/units/day.h"
#include "tests/sim/dice.h"

#include <stdbool.h>

#define DRAW_DAY     200
#define DRAW_WEEKEND 201
#define AWAY_FRAC    0.15 /* of the weekends */
#define FORGETS      0.03 /* of the days */
#define LATE_FRAC    0.10
#define FRIDAY       4

static bool is_away(uint64_t seed, int32_t first_day, uint64_t day)
{
    int weekday = day_weekday(first_day + (int32_t)day);
    struct dice d;

    if (day < 7 || weekday < FRIDAY) {
        return false;
    }
    d = dice_of(seed, DRAW_WEEKEND, 0, day - (uint64_t)(weekday - FRIDAY));
    return dice_even(&d) < AWAY_FRAC;
}

enum presence temper_of(uint64_t seed, int32_t first_day, uint64_t day)
{
    struct dice d = dice_of(seed, DRAW_DAY, 0, day);
    double u = dice_even(&d);

    if (is_away(seed, first_day, day)) {
        return AWAY;
    }
    if (u < FORGETS && day > 0) {
        return FORGOTTEN;
    }
    return u < FORGETS + LATE_FRAC ? LATE : PRESENT;
}
