#include "daemon/core/plan/plan_amounts.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdlib.h>

/* A load as its jobs have described it so far. */
struct load {
    size_t jobs;
    bool by_hand;
    int32_t day;
    size_t recipe;
    double ec_ms_cm, volume_l;
};

/* What is worked on a day, and the water that its mixes take. */
struct workday {
    bool open;
    double minutes, taken_l;
};

/* Puts a job into its load; false when it may not be there. */
static bool load_takes(const struct plan_room *room, const struct plan_job *j,
                       const struct plan_slot *s, struct load *l)
{
    double pct = 100 * fabs(s->ec_ms_cm - j->ec_ms_cm) / j->ec_ms_cm;
    bool alike = l->jobs == 0 || (!s->by_hand && !l->by_hand && l->day == s->day &&
                                  l->recipe == j->recipe && l->ec_ms_cm == s->ec_ms_cm);

    if (!alike || s->day < plan_first_day(j) || s->day > plan_last_day(room, j) ||
        plan_is_off(room, s->day) ||
        pct > j->tolerance_pct * (1 + 1e-9) || /* an end of the band serves */
        (s->by_hand && !plan_by_hand(room, j))) {
        return false;
    }
    *l = (struct load){l->jobs + 1, s->by_hand,  s->day,
                       j->recipe,   s->ec_ms_cm, l->volume_l + j->volume_l};
    return true;
}

static void add_load(const struct plan_room *room, const struct load *l, struct workday *day,
                     struct plan_amounts *sum)
{
    double fillings;

    /* A jug is filled at the tap: it opens no day, and takes nothing of the reservoir. */
    if (l->by_hand) {
        day->minutes += room->hand_min;
        sum->by_hand++;
        return;
    }
    fillings = plan_fillings(room, l->volume_l);
    day->minutes += room->load_min * fillings + (day->open ? 0 : room->changeover_min);
    day->open = true;
    day->taken_l += l->volume_l + room->line_loss_l * fillings;
    sum->fillings += fillings;
}

static void add_day(const struct plan_room *room, size_t d, const struct workday *day,
                    struct plan_amounts *sum)
{
    sum->open_days += day->open ? 1 : 0;
    sum->visits += day->open ? plan_visit_cost(room, (int32_t)d) : 0;
    sum->minutes += day->minutes;
    sum->mixed_l += day->taken_l;
    if (d < room->n_days) { /* nothing is known of later days: neither budget nor water */
        sum->overtime_min += fmax(0, day->minutes - room->budget_min[d]);
        sum->plain_l += day->open && room->plain_l ? fmax(0, room->plain_l[d] - day->taken_l) : 0;
        sum->short_l += room->spare_l ? fmax(0, day->taken_l - room->spare_l[d]) : 0;
    }
}

static void add_job(const struct plan_job *j, const struct plan_slot *slot,
                    struct plan_amounts *sum)
{
    double wait = (double)slot->day - (double)j->due;

    sum->early_days += fmax(0, -wait);
    sum->late_days += fmax(0, wait);
    sum->deviation_pct += 100 * fabs(slot->ec_ms_cm - j->ec_ms_cm) / j->ec_ms_cm;
    sum->moved += plan_is_move(j, slot->day) ? 1 : 0;
}

struct plan_amounts plan_amounts_of(const struct plan_room *room, const struct plan_job *job,
                                    size_t n, const struct plan_slot *slot)
{
    struct load *load = mem_array(n, sizeof *load);
    struct workday *day = mem_array(PLAN_DAYS_MAX, sizeof *day);
    struct plan_amounts sum = {.valid = true};

    for (size_t i = 0; i < n; i++) {
        if (slot[i].day == PLAN_UNPLANNED) {
            sum.unplanned++;
        } else if (slot[i].load <
                       n && /* loads are numbered from 0: more than jobs there cannot be */
                   load_takes(room, &job[i], &slot[i], &load[slot[i].load])) {
            add_job(&job[i], &slot[i], &sum);
            day[slot[i].day].minutes += job[i].minutes;
        } else {
            sum.valid = false;
        }
    }
    for (size_t k = 0; k < n; k++) {
        if (load[k].jobs) {
            add_load(room, &load[k], &day[load[k].day], &sum);
        }
    }
    for (size_t d = 0; d < PLAN_DAYS_MAX; d++) {
        add_day(room, d, &day[d], &sum);
    }
    free(load);
    free(day);
    return sum.valid ? sum : (struct plan_amounts){0};
}

double plan_price(const struct plan_cost *cost, const struct plan_amounts *a)
{
    if (!a->valid) {
        return INFINITY;
    }
    return cost->open * a->open_days + a->visits + cost->load * a->fillings +
           cost->early_per_day * a->early_days + cost->late_per_day * a->late_days +
           cost->deviation_per_pct * a->deviation_pct + cost->overtime_per_min * a->overtime_min +
           cost->unplanned * (double)a->unplanned + cost->move * (double)a->moved +
           cost->plain_per_l * a->plain_l + cost->short_per_l * a->short_l +
           cost->hand * (double)a->by_hand;
}

double plan_cost_of(const struct plan_room *room, const struct plan_job *job, size_t n,
                    const struct plan_slot *slot)
{
    struct plan_amounts sum = plan_amounts_of(room, job, n, slot);

    return plan_price(&room->cost, &sum);
}
