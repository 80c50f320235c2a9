#include "daemon/core/plan/plan_problem.h"

#include "daemon/base/order.h"

#include <math.h>

/* What a grower would pay, in points of which opening the reservoir takes ten. Our own
 * judgement; no source. */
/* clang-format off */
const struct plan_cost plan_usual_cost = {
    .open              = 10,    /* drain, rinse and fill the reservoir, besides the minutes */
    .load              = 5,     /* weigh, stir, wait, measure */
    .early_per_day     = 0.6,   /* nutrient that is thrown away half used … */
    .late_per_day      = 2.0,   /* … is less of a loss than a plant on spent solution */
    .deviation_per_pct = 0.1,   /* 10 % off, the most that is borne, is a fifth of another load */
    .overtime_per_min  = 0.4,   /* 25 minutes beyond the budget are as bad as another day */
    .unplanned         = 10000, /* a plant without nutrient: rather anything else */
    .move              = 1,     /* a list that changes every morning is not believed */
    .plain_per_l       = 0.05,  /* 100 L down the drain are a load's worth */
    .short_per_l       = 3.0,   /* floats that run dry cost plants: 4 L, more than a day */
    .hand              = 4,     /* a jug is less work than a load, and more than a share in one */
};
/* clang-format on */

/* What is overdue is done today and not in the past. */
int32_t plan_first_day(const struct plan_job *j)
{
    return order_max(j->earliest, 0);
}

int32_t plan_last_day(const struct plan_room *room, const struct plan_job *j)
{
    int32_t end =
        room->horizon > 0 && room->horizon < PLAN_DAYS_MAX ? room->horizon : PLAN_DAYS_MAX;

    /* Overdue: today still serves. */
    return order_min(order_max(j->latest, plan_first_day(j)), end - 1);
}

double plan_visit_cost(const struct plan_room *room, int32_t day)
{
    return room->visit && (size_t)day < room->n_days ? room->visit[day] : 0;
}

bool plan_is_off(const struct plan_room *room, int32_t day)
{
    return room->off && (size_t)day < room->n_days && room->off[day];
}

bool plan_is_move(const struct plan_job *j, int32_t day)
{
    return j->kept != PLAN_UNPLANNED && j->kept != day;
}

double plan_wait_cost(const struct plan_room *room, const struct plan_job *j, int32_t day)
{
    double days = (double)day - (double)j->due;

    return (days < 0 ? -room->cost.early_per_day * days : room->cost.late_per_day * days) +
           (plan_is_move(j, day) ? room->cost.move : 0);
}

bool plan_by_hand(const struct plan_room *room, const struct plan_job *j)
{
    return j->volume_l <= room->hand_l;
}

double plan_fillings(const struct plan_room *room, double volume_l)
{
    double each_l = room->usable_l - room->line_loss_l;

    /* What fills the reservoir to the last drop, but for rounding, is one filling. */
    return each_l > 0 ? fmax(1, ceil(volume_l / each_l - 1e-9)) : INFINITY;
}

bool plan_may_stay(const struct plan_room *room, const struct plan_job *j)
{
    return j->kept >= plan_first_day(j) && j->kept <= plan_last_day(room, j) &&
           !plan_is_off(room, j->kept);
}
