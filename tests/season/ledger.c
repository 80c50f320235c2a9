#include "tests/season/ledger.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdlib.h>

#define ABOVE_FRAC   0.005
#define METER_H      6 /* a meter is held in every so many hours */
#define LABORATORY_H 24
#define STARVES_MG_L 20.0 /* of N, K or Ca: common practice, no source */
#define N_MG_MMOL    14.007
#define K_MG_MMOL    39.098
#define CA_MG_MMOL   40.078

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
                         .opened = mem_array(n_days, sizeof *l->opened),
                         .plant_ph = INFINITY,
                         .tank_ph = INFINITY,
                         .dosed_ph = INFINITY};
    food_init(&l->targets, room);
}

void ledger_deinit(struct ledger *l)
{
    free(l->used);
    free(l->minutes);
    free(l->opened);
    free(l->dose);
    food_deinit(&l->targets);
    *l = (struct ledger){0};
}

void ledger_ph(double *least, double ph)
{
    *least = fmin(*least, ph);
}

/* The first days of a plant on float are left out, as band.h has it: its start solution may not be
 * changed sooner. */
static void weigh_food(struct ledger *l, const struct truth *t, size_t i)
{
    double share = food_share(&l->targets, t, i);

    l->food.hours += METER_H;
    l->food.wide += share >= FOOD_WIDE && share <= FOOD_OVER ? METER_H : 0;
    l->food.narrow += share >= FOOD_NARROW && share <= FOOD_OVER ? METER_H : 0;
    l->food.over += share > FOOD_OVER ? METER_H : 0;
    l->food.off += METER_H * fabs(share - 1);
}

static void hold_meters_in(struct ledger *l, const struct truth *t, size_t i)
{
    const struct water_body *w = &t->plant[i].water;
    double ec_ms_cm = water_ec_ms_cm(w);
    double ph = water_ph(w);
    struct band band = band_ec(t, i);
    struct tally_band *tally = band.start ? &l->start : &l->on_float;

    if (!band.start) {
        weigh_food(l, t, i);
    }
    tally->hours += METER_H;
    tally->low += ec_ms_cm < band.lo ? METER_H : 0;
    tally->high += ec_ms_cm > band.hi ? METER_H : 0;
    l->ph_out_h += band_ph_in(t, i, ph) ? 0 : METER_H;
    ledger_ph(&l->plant_ph, ph);
}

/* Gives the share of its EC that plants leave. */
static double analyse(struct ledger *l, const struct water_body *w)
{
    double n_mmol_l = water_mmol_l(w, WATER_NO3) + water_mmol_l(w, WATER_NH4);
    double ballast = water_ballast_ms_cm(w) / water_ec_ms_cm(w);

    l->plant_days += 1;
    l->starved_days[STARVES_N] += N_MG_MMOL * n_mmol_l < STARVES_MG_L;
    l->starved_days[STARVES_K] += K_MG_MMOL * water_mmol_l(w, WATER_K) < STARVES_MG_L;
    l->starved_days[STARVES_CA] += CA_MG_MMOL * water_mmol_l(w, WATER_CA) < STARVES_MG_L;
    l->ballast_frac += ballast;
    return ballast;
}

static void visit_laboratory(struct ledger *l, const struct truth *t)
{
    double sum = 0;
    size_t n = 0;

    for (size_t i = 0; i < t->room->n_containers; i++) {
        if (t->plant[i].growing) {
            sum += analyse(l, &t->plant[i].water);
            n++;
        }
    }
    l->ballast_end_frac = n ? sum / (double)n : l->ballast_end_frac;
    if (t->reservoir.volume_l > 0) {
        ledger_ph(&l->tank_ph, water_ph(&t->reservoir));
    }
}

void ledger_hour(struct ledger *l, const struct truth *t)
{
    long long hour = llround(24 * t->day);

    for (size_t i = 0; i < t->room->n_containers; i++) {
        const struct truth_plant *p = &t->plant[i];

        if (!p->growing) {
            continue;
        }
        if (hour % METER_H == 0) {
            hold_meters_in(l, t, i);
        }
        l->above_h += p->float_day <= p->age_day &&
                      p->water.volume_l > t->room->container[i].float_volume_l * (1 + ABOVE_FRAC);
    }
    if (hour % LABORATORY_H == 0) {
        visit_laboratory(l, t);
    }
    l->mix_left_h += t->holds_mix;
    l->dry_h = t->dry_hours;
}

void ledger_dose(struct ledger *l, double ratio, bool again)
{
    l->dose = mem_grow(l->dose, &l->doses_cap, l->n_doses + 1, sizeof *l->dose);
    l->dose[l->n_doses++] = (struct tally_dose){ratio, again};
}

size_t ledger_n_doses(const struct ledger *l, bool again_only)
{
    size_t n = 0;

    for (size_t k = 0; k < l->n_doses; k++) {
        n += l->dose[k].again || !again_only;
    }
    return n;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a;
    double y = *(const double *)b;

    return (x > y) - (x < y);
}

double ledger_dose_ratio(const struct ledger *l, bool again_only, double share)
{
    size_t n = ledger_n_doses(l, again_only);
    double *ratio = mem_array(n + 1, sizeof *ratio);
    double found = NAN;
    size_t at = 0;

    for (size_t k = 0; k < l->n_doses; k++) {
        if (l->dose[k].again || !again_only) {
            ratio[at++] = l->dose[k].ratio;
        }
    }
    if (n) {
        qsort(ratio, n, sizeof *ratio, by_size);
        found = ratio[(size_t)ceil(share * (double)(n - 1))];
    }
    free(ratio);
    return found;
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

double ledger_visits_week(const struct ledger *l)
{
    size_t n = 0;

    for (size_t day = 0; day < l->n_days; day++) {
        n += l->minutes[day] > 0;
    }
    return (double)n * 7 / (double)l->n_days;
}

double ledger_minutes_week_with_visits(const struct ledger *l)
{
    return ledger_minutes_week(l) + LEDGER_VISIT_MIN * ledger_visits_week(l);
}

double ledger_worst_day_min(const struct ledger *l)
{
    double worst = 0;

    for (size_t day = 0; day < l->n_days; day++) {
        worst = fmax(worst, l->minutes[day]);
    }
    return worst;
}

size_t ledger_days_over(const struct ledger *l)
{
    size_t n = 0;

    for (size_t day = 0; day < l->n_days; day++) {
        n += l->minutes[day] > room_budget_min(l->room, l->first_day + (int32_t)day);
    }
    return n;
}
