#include "tests/bench/plan_draw.h"

#include "tests/sim/dice.h"

#include <stdio.h>

void plan_draw_instance(long n, long days, uint64_t seed)
{
    static const char *const recipes[] = {"leaf", "fruit", "herb"};
    static const double volumes[] = {1.6, 1.8, 8.3, 9.0};
    struct dice dice = {seed};

    printf("{\"days\":%ld,\"reservoir\":{\"usable_l\":100.0,\"line_loss_l\":2.0},\n"
           " \"labour\":{\"budget_min\":[",
           days);
    for (long d = 0; d < days; d++) {
        double u = dice_even(&dice);

        printf("%s%d", d ? "," : "", u < 0.15 ? 0 : u < 0.4 ? 60 : 90);
    }
    printf("],\"open_min\":25,\"load_min\":15,\"overtime_cost_per_min\":1.0},\n"
           " \"cost\":{\"open\":10,\"load\":5,\"early_per_day\":0.6,\"late_per_day\":2.0,"
           "\"deviation_per_pct\":0.1,\"unplanned\":200},\n \"jobs\":[");
    for (long i = 0; i < n; i++) {
        long due = (long)(dice_even(&dice) * (double)days);
        long early = 1 + (long)(dice_even(&dice) * 4);
        long late = 1 + (long)(dice_even(&dice) * 3);
        double ec = 0.8 + 1.2 * dice_even(&dice);
        const char *recipe = recipes[(size_t)(dice_even(&dice) * 2.6)];

        printf("%s\n  {\"id\":\"c%02ld\",\"earliest\":%ld,\"due\":%ld,\"latest\":%ld,"
               "\"recipe\":\"%s\",\"ec\":%.2f,\"tolerance_pct\":10,\"volume_l\":%.1f,"
               "\"minutes\":6}",
               i ? "," : "", i + 1, due - early > 0 ? due - early : 0, due,
               due + late < days ? due + late : days - 1, recipe, ec,
               volumes[(size_t)(dice_even(&dice) * 4)]);
    }
    printf("]}\n");
}
