#include "tests/season/calendar.h"

#include "daemon/base/mem.h"
#include "tests/season/calendar_steps.h"

#include <math.h>
#include <stdlib.h>

#define WEEK     7
#define LONG_AGO (-1000)

void calendar_init(struct calendar *c, struct hands *h, struct faults *f,
                   struct calendar_habits habits)
{
    const struct room *room = h->room;

    *c = (struct calendar){.h = h,
                           .f = f,
                           .habits = habits,
                           .week_day = CALENDAR_NOTHING,
                           .round_day = CALENDAR_NOTHING,
                           .on_float = mem_array(room->n_containers, sizeof *c->on_float),
                           .due_day = mem_array(room->n_containers, sizeof *c->due_day),
                           .idle_day = mem_array(room->n_containers, sizeof *c->idle_day),
                           .last_ms_cm = mem_array(room->n_containers, sizeof *c->last_ms_cm),
                           .care_day = mem_array(CARE_KIND_N, sizeof *c->care_day),
                           .calibrated_day = mem_array(room->n_meters, sizeof *c->calibrated_day),
                           .bought_day = mem_array(room->n_products, sizeof *c->bought_day)};
    for (size_t i = 0; i < room->n_products; i++) {
        c->bought_day[i] = CALENDAR_NOTHING;
    }
    for (size_t i = 0; i < room->n_meters; i++) {
        c->calibrated_day[i] = LONG_AGO;
    }
}

void calendar_deinit(struct calendar *c)
{
    free(c->on_float);
    free(c->due_day);
    free(c->idle_day);
    free(c->last_ms_cm);
    free(c->care_day);
    free(c->calibrated_day);
    free(c->bought_day);
    *c = (struct calendar){0};
}

static void weekly_round(struct calendar *c)
{
    struct hands *h = c->h;

    calendar_find_faults(c);
    for (size_t i = 0; i < h->room->n_containers; i++) {
        if (!h->t->plant[i].growing) {
            continue;
        }
        (void)calendar_look(c, i);
        calendar_work(c, WORK_READ, h->room->labour.read_min);
        calendar_mind_ph(c, i);
    }
    calendar_work(c, WORK_READ, h->room->labour.read_min);
    calendar_work(c, WORK_FILL, h->room->labour.fill_min);
    calendar_fill(c);
    c->week_day = calendar_today(c);
}

static bool change(struct calendar *c)
{
    bool any;

    if (c->habits.way == CALENDAR_EACH) {
        return calendar_change_each(c);
    }
    if (calendar_today(c) < c->group_day + c->habits.change_days) {
        return false;
    }
    any = calendar_change_all(c);
    c->group_day = calendar_today(c);
    return any;
}

static void calendars_morning(struct calendar *c, bool leaves)
{
    bool mixed;

    calendar_care(c);
    calendar_harvest_and_start(c);
    if (c->week_day == CALENDAR_NOTHING || calendar_today(c) >= c->week_day + WEEK) {
        weekly_round(c);
    }
    mixed = change(c);
    if (mixed || leaves || calendar_is_low(c)) {
        calendar_fill(c);
        calendar_work(c, WORK_FILL, mixed ? 0 : c->h->room->labour.fill_min);
    }
}

void calendar_morning(struct calendar *c, bool leaves)
{
    if (calendar_today(c) == 0) {
        calendar_work(c, WORK_FILL, c->h->room->labour.fill_min);
        calendar_fill(c);
    }
    calendar_receive(c);
    if (c->habits.way == CALENDAR_NOTEBOOK) {
        calendar_notebook(c, leaves);
    } else {
        calendars_morning(c, leaves);
    }
}
