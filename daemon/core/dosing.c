#include "daemon/core/dosing.h"

#include "daemon/core/solution.h"

#include <stdio.h>

size_t dosing_amounts(const struct room *room, size_t recipe, double volume_l, double ec_gain_ms_cm,
                      struct amount out[ROOM_DOSES_MAX])
{
    const struct recipe *r = &room->recipe[recipe];
    double share = solution_dose(ec_gain_ms_cm, 0, r->ec_gain_ms_cm);

    for (size_t i = 0; i < r->n_doses; i++) {
        (void)snprintf(out[i].product, sizeof out[i].product, "%s",
                       room->product[r->dose[i].product].name);
        out[i].amount = volume_l * share * r->dose[i].per_l;
    }
    return r->n_doses;
}
