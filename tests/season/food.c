#include "tests/season/food.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

void food_init(struct food_targets *f, const struct room *room)
{
    f->ms_cm = mem_array(room->n_crops * ROOM_STAGES_MAX, sizeof *f->ms_cm);
}

void food_deinit(struct food_targets *f)
{
    free(f->ms_cm);
    f->ms_cm = NULL;
}

static double food_ms_cm(const struct water_body *w)
{
    return water_ec_ms_cm(w) - water_ballast_ms_cm(w);
}

double food_share(struct food_targets *f, const struct truth *t, size_t i)
{
    size_t crop_at = t->room->container[i].crop;
    const struct crop *crop = &t->room->crop[crop_at];
    const struct stage *stage = truth_stage(t, i);
    double *target = &f->ms_cm[crop_at * ROOM_STAGES_MAX + (size_t)(stage - crop->stage)];

    if (!(*target > 0)) {
        struct water_body fresh = truth_solution(t, stage->recipe_at, 1,
                                                 room_fresh_ms_cm(t->room, crop, stage->ec_ms_cm));

        *target = food_ms_cm(&fresh);
    }
    return food_ms_cm(&t->plant[i].water) / *target;
}
