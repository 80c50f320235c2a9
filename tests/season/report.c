#include "tests/season/report.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double pct(double part, double whole)
{
    return whole > 0 ? 100 * part / whole : 100;
}

/* Of nothing it is none. */
static double pct_of(double part, double whole)
{
    return whole > 0 ? 100 * part / whole : 0;
}

static double in_pct(const struct tally_band *t)
{
    return pct(t->hours - t->low - t->high, t->hours);
}

static struct tally_band both(const struct ledger *l)
{
    return (struct tally_band){l->start.hours + l->on_float.hours, l->start.low + l->on_float.low,
                               l->start.high + l->on_float.high};
}

static double mean(double sum, size_t n)
{
    return n ? sum / (double)n : 0;
}

static json_t *in_json(const struct report *r, const struct ledger *l)
{
    struct tally_band ec = both(l);
    json_t *o = json_pack("{s:s,s:I,s:I,s:s,s:I}", "policy", r->policy, "seed", (json_int_t)r->seed,
                          "weeks", (json_int_t)r->weeks, "room", l->room->name, "containers",
                          (json_int_t)l->room->n_containers);
    json_t *used = json_object();
    json_t *minutes = json_object();
    /* clang-format off */
    const struct {
        const char *key;
        double value;
    } figures[] = {
        {"container_days",        ec.hours / 24},
        {"ec_in_pct",             in_pct(&ec)},
        {"ec_low_pct",            pct(ec.low, ec.hours)},
        {"ec_high_pct",           pct(ec.high, ec.hours)},
        {"float_days",            l->on_float.hours / 24},
        {"float_ec_in_pct",       in_pct(&l->on_float)},
        {"start_ec_in_pct",       in_pct(&l->start)},
        {"wide_pct",              pct(l->food.wide, l->food.hours)},
        {"narrow_pct",            pct(l->food.narrow, l->food.hours)},
        {"over_pct",              pct_of(l->food.over, l->food.hours)},
        {"deviation_pct",         pct_of(l->food.off, l->food.hours)},
        {"ph_in_pct",             pct(ec.hours - l->ph_out_h, ec.hours)},
        {"plant_ph_least",        l->plant_ph},
        {"tank_ph_least",         l->tank_ph},
        {"dosed_ph_least",        l->dosed_ph},
        {"doses_by_sheet",        (double)ledger_n_doses(l, false)},
        {"dose_ratio_least",      ledger_dose_ratio(l, false, 0)},
        {"dose_ratio_p90",        ledger_dose_ratio(l, false, 0.9)},
        {"dose_ratio_worst",      ledger_dose_ratio(l, false, 1)},
        {"doses_again",           (double)ledger_n_doses(l, true)},
        {"dose_again_ratio_p90",  ledger_dose_ratio(l, true, 0.9)},
        {"dose_again_ratio_worst", ledger_dose_ratio(l, true, 1)},
        {"low_n_days_pct",        pct_of(l->starved_days[STARVES_N], l->plant_days)},
        {"low_k_days_pct",        pct_of(l->starved_days[STARVES_K], l->plant_days)},
        {"low_ca_days_pct",       pct_of(l->starved_days[STARVES_CA], l->plant_days)},
        {"ballast_pct",           pct_of(l->ballast_frac, l->plant_days)},
        {"ballast_end_pct",       100 * l->ballast_end_frac},
        {"dry_h",                 l->dry_h},
        {"mix_left_h",            l->mix_left_h},
        {"above_line",            (double)l->above},
        {"stuck_above_h",         l->above_h},
        {"changeovers",           (double)l->changeovers},
        {"changeover_days",       (double)l->changeover_days},
        {"mixes",                 (double)l->mixes},
        {"jugs",                  (double)l->jugs},
        {"changes",               (double)l->changes},
        {"bumps",                 (double)l->bumps},
        {"mixed_l",               l->mixed_l},
        {"poured_away_l",         ledger_poured_away_l(l)},
        {"drained_l",             l->drained_l},
        {"rest_l",                l->rest_l},
        {"plain_away_l",          l->plain_l},
        {"source_l",              l->water_l},
        {"labour_min_week",       ledger_minutes_week(l)},
        {"visits_week",           ledger_visits_week(l)},
        {"visited_min_week",      ledger_minutes_week_with_visits(l)},
        {"worst_day_min",         ledger_worst_day_min(l)},
        {"figures_week",          (double)l->figures * 7 / (double)l->n_days},
        {"days_over_budget",      (double)ledger_days_over(l)},
        {"tasks_missed",          (double)l->missed},
        {"put_off",               (double)l->put_off},
        {"days_away",             (double)l->days_away},
        {"days_forgotten",        (double)l->days_forgotten},
        {"days_late",             (double)l->days_late},
        {"acks",                  (double)l->acks},
        {"unsure",                (double)l->asks},
        {"voids",                 (double)l->voids},
        {"refused",               (double)l->refused},
        {"entries_told",          (double)l->journal},
        {"entries_lost",          (double)l->lost},
        {"alarms_true",           (double)l->alarms_true},
        {"alarms_false",          (double)l->alarms_false},
        {"faults",                (double)l->faults},
        {"faults_noticed",        (double)l->noticed},
        {"alarm_delay_days",      mean(l->alarm_delay_day, l->noticed)},
        {"faults_mended",         (double)l->mended},
        {"mend_delay_days",       mean(l->mend_delay_day, l->mended)},
        {"float_day_n",           (double)l->float_day.n},
        {"float_day_inside",      (double)l->float_day.inside},
        {"low_day_n",             (double)l->low_day.n},
        {"low_day_inside",        (double)l->low_day.inside},
        {"wall_s",                l->wall_s},
    };
    /* clang-format on */

    for (size_t k = 0; k < sizeof figures / sizeof *figures; k++) {
        (void)json_object_set_new(o, figures[k].key,
                                  isfinite(figures[k].value)
                                      ? json_real(round(figures[k].value * 1000) / 1000)
                                      : json_null());
    }
    for (size_t i = 0; i < l->room->n_products; i++) {
        const struct product *p = &l->room->product[i];

        if (l->used[i] > 0) {
            (void)json_object_set_new(used, p->name,
                                      json_pack("{s:f,s:s}", "amount", l->used[i], "unit",
                                                p->kind == PRODUCT_DRY ? "g" : "mL"));
        }
    }
    (void)json_object_set_new(o, "used", used);
    for (int k = 0; k < WORK_N; k++) {
        (void)json_object_set_new(minutes, work_words[k],
                                  json_real(round(ledger_minutes_week_of(l, k) * 1000) / 1000));
    }
    (void)json_object_set_new(o, "labour_min_week_of", minutes);
    return o;
}

void report_json(const struct report *r, const struct ledger *l)
{
    json_t *o = in_json(r, l);
    char *text = json_dumps(o, JSON_COMPACT | JSON_REAL_PRECISION(8));

    (void)puts(text);
    free(text);
    json_decref(o);
}

static void line(const char *what, const char *value, const char *more)
{
    (void)printf("%-28s %12s  %s\n", what, value, more);
}

__attribute__((format(printf, 3, 4))) static void figure(const char *what, double value,
                                                         const char *fmt, ...)
{
    char number[32];
    char more[200];
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(more, sizeof more, fmt, ap);
    va_end(ap);
    (void)snprintf(number, sizeof number, value < 1000 ? "%.1f" : "%.0f", value);
    line(what, number, more);
}

static void print_water(const struct ledger *l)
{
    figure("lowest pH with a plant", l->plant_ph,
           "in the reservoir %.1f, of acid just stirred in %.1f", l->tank_ph, l->dosed_ph);
    if (l->n_doses) {
        figure("doses by a sheet", (double)l->n_doses,
               "over what was needed: %.2f at least, 90 %% up to %.2f, at most %.2f",
               ledger_dose_ratio(l, false, 0), ledger_dose_ratio(l, false, 0.9),
               ledger_dose_ratio(l, false, 1));
    }
    if (ledger_n_doses(l, true)) {
        figure("  into dosed water", (double)ledger_n_doses(l, true),
               "90 %% up to %.2f, at most %.2f", ledger_dose_ratio(l, true, 0.9),
               ledger_dose_ratio(l, true, 1));
    }
    figure("days of 100 short of N", pct_of(l->starved_days[STARVES_N], l->plant_days),
           "of K %.1f, of Ca %.1f", pct_of(l->starved_days[STARVES_K], l->plant_days),
           pct_of(l->starved_days[STARVES_CA], l->plant_days));
    figure("ballast, % of EC", pct_of(l->ballast_frac, l->plant_days), "%.1f on the last day",
           100 * l->ballast_end_frac);
}

static void print_used(const struct ledger *l)
{
    for (size_t i = 0; i < l->room->n_products; i++) {
        const struct product *p = &l->room->product[i];

        if (l->used[i] > 0) {
            figure(p->name, l->used[i], "%s used", p->kind == PRODUCT_DRY ? "g" : "mL");
        }
    }
}

void report_table(const struct report *r, const struct ledger *l)
{
    struct tally_band ec = both(l);

    (void)printf("%s, %zu containers, %lld weeks, seed %lld, policy %s\n", l->room->name,
                 l->room->n_containers, (long long)r->weeks, (long long)r->seed, r->policy);
    figure("container-days", ec.hours / 24, "%.0f of them on float", l->on_float.hours / 24);
    figure("EC in band, %", in_pct(&ec), "low %.1f, high %.1f; on float %.1f, before %.1f",
           pct(ec.low, ec.hours), pct(ec.high, ec.hours), in_pct(&l->on_float), in_pct(&l->start));
    figure("food in 75-115 %, %", pct(l->food.narrow, l->food.hours),
           "in 50-115 %% for %.1f; off by %.1f %% on average", pct(l->food.wide, l->food.hours),
           pct_of(l->food.off, l->food.hours));
    figure("pH in band, %", pct(ec.hours - l->ph_out_h, ec.hours), "%s", "");
    print_water(l);
    figure("dry reservoir, h", l->dry_h, "%.0f h with a mix left in it", l->mix_left_h);
    figure("fills above a float line", (double)l->above, "%.0f h by a stuck float", l->above_h);
    figure("changeovers", (double)l->changeovers, "on %zu days, %zu mixes, %zu jugs",
           l->changeover_days, l->mixes, l->jugs);
    figure("changes", (double)l->changes, "and %zu bumps", l->bumps);
    figure("solution mixed, L", l->mixed_l, "%s", "");
    figure("solution poured away, L", ledger_poured_away_l(l), "drained %.0f, left of mixes %.0f",
           l->drained_l, l->rest_l);
    figure("plain water thrown away, L", l->plain_l, "of %.0f from the source", l->water_l);
    print_used(l);
    figure("labour, min a week", ledger_minutes_week(l), "%zu days above the budget",
           ledger_days_over(l));
    figure("visits a week", ledger_visits_week(l),
           "with %d min each %.0f min a week; worst day %.0f min; %.0f figures a week",
           LEDGER_VISIT_MIN, ledger_minutes_week_with_visits(l), ledger_worst_day_min(l),
           (double)l->figures * 7 / (double)l->n_days);
    for (int k = 0; k < WORK_N; k++) {
        figure(work_words[k], ledger_minutes_week_of(l, k), "%s", k ? "" : "of them");
    }
    figure("days away", (double)l->days_away, "%zu forgotten, %zu late", l->days_forgotten,
           l->days_late);
    figure("tasks missed", (double)l->missed, "%zu put off for want of something", l->put_off);
    if (strcmp(r->policy, "tarn") == 0) {
        figure("acknowledged", (double)l->acks, "%zu voided, %zu refused; %zu of %zu entries lost",
               l->voids, l->refused, l->lost, l->journal);
        figure("alarms true", (double)l->alarms_true, "and %zu false", l->alarms_false);
        figure("float days inside", (double)l->float_day.inside, "of %zu; low days %zu of %zu",
               l->float_day.n, l->low_day.inside, l->low_day.n);
    }
    if (l->faults) {
        figure("faults", (double)l->faults, "%zu noticed after %.1f days, %zu mended after %.1f",
               l->noticed, mean(l->alarm_delay_day, l->noticed), l->mended,
               mean(l->mend_delay_day, l->mended));
    }
    figure("wall, s", l->wall_s, "%s", "");
}
