#include "tests/bench/predict_ask.h"

#include <math.h>

#define EVENING_DAY 0.5 /* after the morning's work */

static const double quantile[FORETOLD_N] = {0.05, 0.25, 0.50, 0.75, 0.95};

int64_t ask_now(const struct trial *r)
{
    return BENCH_FIRST_S + (int64_t)llround(r->t.day * 24) * 3600;
}

double ask_day(int64_t t_s)
{
    return t_s == FORECAST_NEVER ? INFINITY : (double)(t_s - BENCH_FIRST_S) / BENCH_DAY_S;
}

static void line_add(struct two *l, double day, double value)
{
    l->day[0] = l->day[1];
    l->value[0] = l->value[1];
    l->day[1] = day;
    l->value[1] = value;
}

static void line_begin(struct two *l, double day, double value)
{
    *l = (struct two){
        {NAN, day  },
        {NAN, value}
    };
}

static double slope(const struct two *l)
{
    return (l->value[1] - l->value[0]) / (l->day[1] - l->day[0]);
}

void ask_level_told(struct trial *r, size_t i, double volume_l)
{
    if (r->seen[i].level.day[1] == 0) {
        line_begin(&r->seen[i].level, r->t.day > 0 ? r->t.day : 1e-6, volume_l);
    } else {
        line_add(&r->seen[i].level, r->t.day, volume_l);
    }
}

void ask_ec_told(struct trial *r, size_t i, double ec_ms_cm, bool made)
{
    struct two *l = &r->seen[i].ec;

    if (made) {
        r->seen[i].ec_fell_day = -slope(l);
        line_begin(l, r->t.day, ec_ms_cm);
    } else {
        line_add(l, r->t.day, ec_ms_cm);
    }
}

void ask_reservoir_told(struct trial *r, double before_l, double volume_l)
{
    if (!isnan(before_l) && r->t.day > r->tank_day && r->tank_l > 0) {
        r->tank_l_day = (r->tank_l - before_l) / (r->t.day - r->tank_day);
    }
    r->tank_day = r->t.day;
    r->tank_l = volume_l;
}

void ask_float(struct trial *r, size_t i, int when)
{
    const struct two *l = &r->seen[i].level;
    struct pending *p = &r->at[when][i];
    double lost = -slope(l);

    for (int k = 0; k < FORETOLD_N; k++) {
        p->of.at[k] = ask_day(predict_float_s(&r->b->room, &r->s, i, quantile[k]));
    }
    p->of.line = isnan(lost) ? NAN
                 : lost > 0
                     ? l->day[1] + (l->value[1] - r->b->room.container[i].float_volume_l) / lost
                     : INFINITY;
    r->asked[when][i] = true;
}

void ask_empty(struct trial *r)
{
    const struct room *room = &r->b->room;
    double rest_l = room->reservoir.remainder_l;
    struct pending p = {
        .spare_l = r->t.reservoir.volume_l - rest_l,
        .drawn_l = r->t.drawn_l,
    };

    for (int k = 0; k < FORETOLD_N; k++) {
        p.of.at[k] = ask_day(predict_reservoir_s(room, &r->s, rest_l, quantile[k], ask_now(r)));
    }
    p.of.line = r->tank_l_day > 0 ? r->tank_day + (r->tank_l - rest_l) / r->tank_l_day : NAN;
    if (r->fault == FAULT_NONE && p.spare_l > 0 && p.of.at[2] > r->t.day + 0.5 &&
        isfinite(p.of.at[FORETOLD_N - 1]) && r->n_empty < BENCH_ASIDE_MAX) {
        r->empty[r->n_empty++] = p;
    }
}

void ask_tonight(struct trial *r)
{
    int64_t then_s = ask_now(r) + (int64_t)(EVENING_DAY * BENCH_DAY_S);

    r->tonight_day = r->t.day + EVENING_DAY;
    for (int k = 0; k < FORETOLD_N; k++) {
        r->tonight.at[k] = predict_reservoir_l(&r->b->room, &r->s, then_s, quantile[k]);
    }
    r->tonight.line =
        r->tank_l_day > 0 ? r->tank_l - r->tank_l_day * (r->tonight_day - r->tank_day) : NAN;
}

void ask_settle_reservoir(struct trial *r)
{
    size_t kept = 0;

    for (size_t i = 0; i < r->n_empty; i++) {
        struct pending *p = &r->empty[i];

        if (r->t.drawn_l - p->drawn_l >= p->spare_l) {
            score_note(&r->b->reservoir, &p->of, r->t.day, ASK_FAR_DAY);
        } else {
            r->empty[kept++] = *p;
        }
    }
    r->n_empty = kept;
    if (r->fault == FAULT_NONE && r->t.day >= r->tonight_day && r->tonight_day > 0) {
        score_note(&r->b->tonight, &r->tonight, r->t.reservoir.volume_l, INFINITY);
        r->tonight_day = NAN;
    }
}

void ask_settle_floats(struct trial *r)
{
    for (size_t i = 0; i < r->b->room.n_containers && r->fault == FAULT_NONE; i++) {
        double truth = r->t.plant[i].float_day;

        for (int when = 0; when < 3 && !isnan(truth); when++) {
            if (r->asked[when][i]) {
                score_note(&r->b->float_day[when], &r->at[when][i].of, truth, ASK_FAR_DAY);
            }
        }
    }
}

void ask_ec(struct trial *r, size_t i, bool made)
{
    const struct two *l = &r->seen[i].ec;
    struct foretold *f = made ? &r->ec[i] : &r->ec_near[i];
    double fell_day = made ? r->seen[i].ec_fell_day : -slope(l);

    for (int k = 0; k < FORETOLD_N; k++) {
        f->at[k] = predict_ec_at(&r->b->room, &r->s, i, r->change_s[i], quantile[k]);
    }
    f->line = l->value[1] - fell_day * (ask_day(r->change_s[i]) - l->day[1]);
    (made ? r->ec_told : r->ec_near_told)[i] = true;
}

void ask_settle_ec(struct trial *r, size_t i, double truth_ms_cm)
{
    if (r->ec_told[i] && r->fault == FAULT_NONE) {
        score_note(&r->b->ec, &r->ec[i], truth_ms_cm, INFINITY);
    }
    if (r->ec_near_told[i] && r->fault == FAULT_NONE) {
        score_note(&r->b->ec_near, &r->ec_near[i], truth_ms_cm, INFINITY);
    }
    r->ec_near_told[i] = false;
}

/* ---- the truths */

void variant_init(struct truth *t, const struct bench *b, uint64_t seed)
{
    struct truth_spread spread = truth_usual;
    struct dice d = dice_of(seed, 1, 0, 0);

    if (b->truth == TRUTH_SPREADS) {
        spread.room *= 1.5;
        spread.plant *= 1.5;
        spread.half_frac *= 1.5;
        spread.spread *= 1.5;
        spread.appetite *= 1.5;
        spread.weather *= 1.5;
        spread.own_weather *= 1.5;
    }
    if (b->truth == TRUTH_GREENHOUSE) { /* the days have their own weather in them */
        spread.weather = 0;
    }
    truth_init(t, &b->room, seed, spread);
    switch (b->truth) {
    case TRUTH_EVAPORATION:
        t->way.evaporates_l_day = 0.040;
        break;
    case TRUTH_CROP:
        t->way.size = dice_even(&d) < 0.5 ? 0.5 : 2;
        t->way.pace = dice_even(&d) < 0.5 ? 0.5 : 2;
        break;
    case TRUTH_HEAT: /* half as much again and more, in two weeks */
        t->way.heat_ln = log(1.6);
        t->way.heat_week[0] = 2 + (int)(3 * dice_even(&d));
        t->way.heat_week[1] = 5 + (int)(4 * dice_even(&d));
        break;
    case TRUTH_GREENHOUSE:
        t->way.series = &b->greenhouse[0][0];
        t->way.n_series = GREENHOUSE_N;
        t->way.n_days = GREENHOUSE_DAYS;
        t->way.series_days = 80;
        break;
    case TRUTH_DRAWN:
    case TRUTH_SPREADS:
    case TRUTH_N:
        break;
    }
}
