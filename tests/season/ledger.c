#include "tests/season/ledger.h"

#include "daemon/base/mem.h"

#include <stdlib.h>

#define ABOVE_FRAC 0.005

const char *const work_words[WORK_N] = {
    "changeovers", "changes", "bumps", "pH", "readings", "looks", "fills", "care", "other",
};

void ledger_init(struct ledger *l, const struct room *room, int32_t first_day, size_t n_days)
{
    *l = (struct ledger){.room = room,
                         .first_day = first_day,
                         .n_days = n_days,
                         .used = mem_array(room->n_products, sizeof *l->used),
                         .minutes = mem_array(n_days, sizeof *l->minutes),
                         .opened = mem_array(n_days, sizeof *l->opened)};
}

void ledger_deinit(struct ledger *l)
{
    free(l->used);
    free(l->minutes);
    free(l->opened);
    *l = (struct ledger){0};
}

void ledger_hour(struct ledger *l, const struct truth *t)
{
    for (size_t i = 0; i < t->room->n_containers; i++) {
        const struct truth_plant *p = &t->plant[i];
        struct band band;
        struct tally_band *tally;

        if (!p->growing) {
            continue;
        }
        band = band_ec(t, i);
        tally = band.start ? &l->start : &l->on_float;
        tally->hours += 1;
        tally->low += p->ec_ms_cm < band.lo;
        tally->high += p->ec_ms_cm > band.hi;
        l->ph_out_h += !band_ph_in(t, i);
        l->above_h += p->float_day <= p->age_day &&
                      p->volume_l > t->room->container[i].float_volume_l * (1 + ABOVE_FRAC);
    }
    l->mix_left_h += t->holds_mix;
    l->dry_h = t->dry_hours;
}

void ledger_work(struct ledger *l, size_t day, enum work what, double minutes)
{
    l->minutes[day < l->n_days ? day : l->n_days - 1] += minutes;
    l->minutes_of[what] += minutes;
}

double ledger_poured_away_l(const struct ledger *l)
{
    return l->drained_l + l->rest_l;
}

double ledger_minutes_week(const struct ledger *l)
{
    double sum = 0;

    for (size_t day = 0; day < l->n_days; day++) {
        sum += l->minutes[day];
    }
    return sum * 7 / (double)l->n_days;
}

double ledger_minutes_week_of(const struct ledger *l, enum work what)
{
    return l->minutes_of[what] * 7 / (double)l->n_days;
}

size_t ledger_days_over(const struct ledger *l)
{
    size_t n = 0;

    for (size_t day = 0; day < l->n_days; day++) {
        n += l->minutes[day] > room_budget_min(l->room, l->first_day + (int32_t)day);
    }
    return n;
}
