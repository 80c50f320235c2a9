#include "daemon/core/tasks/change_plan.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"

#include <math.h>
#include <stdlib.h>

/* Common practice and our own choice, no source. */
#define METER_MS_CM    0.01 /* what an EC meter shows */
#define MORNING_H      2    /* in which the source makes water while the reservoir is filled */
#define SPARE_RISK     0.1  /* that there is less water than is counted on */
#define DRAW_DAYS      21   /* for which what is drunk is forecast; then as on the last of them */
#define DAY_S          86400
#define LABOUR_PER_MIN 0.4 /* points: as one beyond the budget (plan_problem.c) */
#define OPEN_WEIGHS    2   /* what comes after it, fill and acid, is not in its minutes */

/* The strength to mix so that the container holds what is wanted although some of the old stayed
 * in it: as finely as a meter shows it, so that what is alike is seen to be. */
static double mix_strength(const struct room *room, const struct state *s, int64_t now_s,
                           const struct job *j)
{
    const struct container *c = &room->container[j->subject.at];
    struct forecast now = forecast_container(room, s, j->subject.at, now_s);

    double food_ms_cm = solution_mix_for_rest(j->food_ms_cm, c->float_volume_l,
                                              solution_food_ms_cm(now.body), c->remainder_l);

    return METER_MS_CM * round((food_ms_cm + room->source.ec_ms_cm) / METER_MS_CM);
}

/* Plain water above the outlet, day by day, until it is low: then it is filled, and
 * as good as half full for all that is known. That a mix may count on is less: a fill
 * is left out where a change comes before the last drop. */
static void foresee_water(const struct room *room, const struct state *s, struct change_plan *p)
{
    const struct reservoir *v = &room->reservoir;
    double unknown_l = (v->capacity_l + v->low_l) / 2 - v->remainder_l;
    bool known = s->reservoir.at_s && !s->reservoir.holds_mix;
    int64_t morning_s = zone_instant_s(&room->zone, p->today, room->day_start_s);

    for (int32_t day = 0; day < CHANGE_PLAN_DAYS; day++) {
        int64_t at_s = zone_instant_s(&room->zone, p->today + day, room->day_start_s);
        double volume_l = known ? forecast_reservoir(room, s, at_s).volume_l : 0;
        double sure_l = known ? predict_reservoir_l(room, s, at_s, SPARE_RISK) : 0;

        known = known && volume_l > v->remainder_l;
        p->spare_l[day] = known ? fmax(0, sure_l - v->remainder_l) : unknown_l;
        p->plain_l[day] = known && volume_l > v->low_l ? volume_l - v->remainder_l : unknown_l;
    }
    /* Nobody fills it before the mixes of this morning. */
    if (s->reservoir.holds_mix || forecast_is_dry(room, s, morning_s)) {
        p->plain_l[0] = p->spare_l[0] = 0;
    }
}

/* Days from one to the second after it on which work is done: the next may be forgotten. */
static int days_to_second(const struct change_plan *p, int32_t day)
{
    int32_t then = day + 1;

    for (int worked = 0; then < CHANGE_PLAN_DAYS; then++) {
        worked += !p->off[then];
        if (worked == 2) {
            break;
        }
    }
    return then - day;
}

/* The water that mixes may count on: besides what is in the reservoir what the source
 * has in a morning, less what floats drink until somebody fills again. */
static void add_source_less_draw(const struct room *room, const struct state *s,
                                 struct change_plan *p)
{
    double ready_l = room->source.stored_l + MORNING_H * room->source.rate_l_h;
    double draw_l = 0;

    for (int32_t day = 0; day < CHANGE_PLAN_DAYS; day++) {
        if (day < DRAW_DAYS) {
            int64_t from_s = zone_instant_s(&room->zone, p->today + day, room->day_start_s);

            draw_l = forecast_draw_l(room, s, from_s, from_s + DAY_S);
        }
        p->spare_l[day] = fmax(0, p->spare_l[day] + ready_l - draw_l * days_to_second(p, day));
    }
}

struct plan_cost change_plan_cost(const struct room *room)
{
    struct plan_cost cost = plan_usual_cost;

    cost.open = OPEN_WEIGHS * (cost.open + LABOUR_PER_MIN * room->labour.changeover_min);
    cost.load += LABOUR_PER_MIN * room->labour.load_min;
    return cost;
}

void change_plan_init(const struct room *room, const struct state *s, int64_t now_s,
                      const struct job *const *change, size_t n, struct change_plan *out)
{
    const struct reservoir *v = &room->reservoir;

    *out = (struct change_plan){
        .room = {.usable_l = v->capacity_l - v->remainder_l,
                 .line_loss_l = v->line_loss_l,
                 .changeover_min = room->labour.changeover_min,
                 .load_min = room->labour.load_min,
                 .budget_min = out->budget_min,
                 .plain_l = out->plain_l,
                 .spare_l = out->spare_l,
                 .off = out->off,
                 .n_days = CHANGE_PLAN_DAYS,
                 .hand_l = room->measures.jug_l,
                 .hand_min = room->labour.pour_min,
                 .cost = change_plan_cost(room)},
        .job = mem_array(n, sizeof *out->job),
        .slot = mem_array(n, sizeof *out->slot),
        .n = n,
        .today = zone_day(&room->zone, now_s),
    };
    for (int32_t day = 0; day < CHANGE_PLAN_DAYS; day++) {
        out->budget_min[day] = room_budget_min(room, out->today + day);
        /* A day without minutes is a day off, whatever the calendar says. */
        out->off[day] = !(out->budget_min[day] > 0);
    }
    for (size_t i = 0; i < n; i++) {
        out->job[i] = (struct plan_job){.earliest = change[i]->earliest - out->today,
                                        .due = change[i]->due - out->today,
                                        .latest = change[i]->latest - out->today,
                                        .kept = PLAN_UNPLANNED,
                                        .recipe = change[i]->recipe,
                                        .ec_ms_cm = mix_strength(room, s, now_s, change[i]),
                                        .tolerance_pct = room->tolerance_pct,
                                        .volume_l = change[i]->volume_l,
                                        .minutes = change[i]->minutes};
        out->slot[i] = (struct plan_slot){.day = PLAN_UNPLANNED};
    }
    if (n) {
        foresee_water(room, s, out);
        add_source_less_draw(room, s, out);
    }
}

void change_plan_visits(struct change_plan *p, const struct room *room,
                        const bool there[CHANGE_PLAN_DAYS])
{
    for (int32_t day = 0; day < CHANGE_PLAN_DAYS; day++) {
        p->visit[day] =
            there[day] ? 0
                       : plan_usual_cost.overtime_per_min * room_visit_min(room, p->today + day);
    }
    p->room.visit = p->visit;
}

void change_plan_deinit(struct change_plan *p)
{
    free(p->job);
    free(p->slot);
    p->job = NULL;
    p->slot = NULL;
    p->n = 0;
}
