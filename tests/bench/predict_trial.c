#include "tests/bench/predict_trial.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/overnight.h"
#include "daemon/core/state/prediction.h"
#include "tests/bench/predict_ask.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The grower. Common practice where the chores are, and our own guess how often they are
 * forgotten. */
/* clang-format off */
#define DAYS           80
#define DAY_S          BENCH_DAY_S
#define MORNING_H      8
#define FORGETS        0.15 /* share of the readings that are not taken */
#define LEVEL_EVERY    7    /* days between two looks at a falling level */
#define RESERVOIR_EACH 3    /* days between two readings by meter; its mark is seen daily */
#define EVENING_H      20
#define EC_EVERY       3    /* days, once it floats */
#define CHANGE_MOST    12   /* days between two changes at most … */
#define SPENT          0.5  /* … sooner when so much of the strength is gone */
#define FAULT_DAY      45   /* from then on, once half of the containers float … */
#define FAULT_LAST     66   /* … and there is time to see it; other rooms have no such fault */
#define EARLY_DAY      20   /* none floats yet, and all have drunk of their start */
#define BUCKET_L_DAY   2.0  /* lost by a bucket with a leak */
#define MARK_SD        0.05 /* of the float line: a level beside its mark, in passing … */
#define LOOKS_LOW      0.08 /* … and so far below it is read by ruler */
#define BUMP_BELOW     0.72 /* of the strength made: salt is added, once in a solution */
#define DAYS_LEFT      2    /* the reservoir is filled when it holds no more than so many … */
#define FILL_BELOW     0.45 /* … or this much of what it could */
/* clang-format on */

static int64_t now_of(const struct trial *r)
{
    return ask_now(r);
}

static void tell(struct trial *r, struct entry *e)
{
    e->seq = ++r->seq;
    fold_entry(&r->s, &r->b->room, e);
}

static struct entry entry_now(const struct trial *r, enum entry_kind kind, const char *subject,
                              const char *what)
{
    struct entry e = entry_of(kind, subject, now_of(r), now_of(r));

    (void)snprintf(e.what, sizeof e.what, "%s", what);
    return e;
}

static bool forgets(struct trial *r)
{
    return dice_even(&r->t.dice) < FORGETS;
}

static void start_all(struct trial *r)
{
    const struct room *room = &r->b->room;

    for (size_t i = 0; i < room->n_containers; i++) {
        const struct container *c = &room->container[i];
        const struct crop *crop = &room->crop[c->crop];
        struct entry e = entry_now(r, ENTRY_STARTED, c->name, crop->name);
        struct water_body solution = truth_solution(&r->t, crop->stage[0].recipe_at,
                                                    c->start_volume_l, crop->start_ec_ms_cm);

        truth_start(&r->t, i, &solution);
        entry_set(&e, FIGURE_VOLUME_L, c->start_volume_l);
        entry_set(&e, FIGURE_EC_MS_CM, crop->start_ec_ms_cm);
        tell(r, &e);
        ask_level_told(r, i, c->start_volume_l);
    }
}

static double room_use_l_day(const struct trial *r)
{
    double sum = 0;

    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        sum += isnan(r->t.plant[i].float_day) ? 0 : truth_rate_l_day(&r->t, i);
    }
    return sum;
}

static void fill_up(struct truth *t)
{
    t->reservoir = (struct water_body){0};
    water_pour_like(&t->reservoir, &t->source, t->room->reservoir.capacity_l);
}

static void fill(struct trial *r)
{
    struct entry e = entry_now(r, ENTRY_RESERVOIR_FILLED, "reservoir", "");

    fill_up(&r->t);
    ask_reservoir_told(r, NAN, r->b->room.reservoir.capacity_l);
    entry_set(&e, FIGURE_VOLUME_L, r->b->room.reservoir.capacity_l);
    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, water_ec_ms_cm(&r->t.reservoir)));
    tell(r, &e);
}

static void read_reservoir(struct trial *r, bool meter)
{
    struct entry e = entry_now(r, ENTRY_READING, "reservoir", "");

    entry_set(&e, FIGURE_VOLUME_L, truth_read_reservoir(&r->t));
    if (meter) {
        entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, water_ec_ms_cm(&r->t.reservoir)));
    }
    ask_reservoir_told(r, e.figure[FIGURE_VOLUME_L], e.figure[FIGURE_VOLUME_L]);
    tell(r, &e);
    if (r->t.reservoir.volume_l < FILL_BELOW * r->b->room.reservoir.capacity_l ||
        r->t.reservoir.volume_l < DAYS_LEFT * room_use_l_day(r) + r->b->room.reservoir.low_l) {
        fill(r);
    }
    ask_empty(r);
}

static double true_ec(const struct trial *r, size_t i)
{
    return water_ec_ms_cm(&r->t.plant[i].water);
}

static void read_level(struct trial *r, size_t i)
{
    struct entry e = entry_now(r, ENTRY_READING, r->b->room.container[i].name, "");

    entry_set(&e, FIGURE_VOLUME_L, truth_read_level(&r->t, r->swaps ? r->other : i));
    tell(r, &e);
    ask_level_told(r, i, e.figure[FIGURE_VOLUME_L]);
    r->looks += i == r->victim && !isnan(r->fault_day);
}

static void plan_change(struct trial *r, size_t i);

/* Salt for what was taken, and no water: once in a solution. */
static void bump(struct trial *r, size_t i)
{
    struct container_state *cs = &r->s.container[i];
    double ec = cs->strength_ms_cm;
    struct entry e = entry_now(r, ENTRY_BUMPED, r->b->room.container[i].name, "");

    r->t.plant[i].water =
        truth_solution(&r->t, truth_stage(&r->t, i)->recipe_at, r->t.plant[i].water.volume_l, ec);
    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, true_ec(r, i)));
    tell(r, &e);
    plan_change(r, i);
    ask_ec_told(r, i, e.figure[FIGURE_EC_MS_CM], true);
    ask_ec(r, i, true);
}

static void read_ec(struct trial *r, size_t i)
{
    struct entry e = entry_now(r, ENTRY_READING, r->b->room.container[i].name, "");

    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, true_ec(r, i)));
    entry_set(&e, FIGURE_VOLUME_L, truth_read_level(&r->t, i));
    tell(r, &e);
    ask_ec_told(r, i, e.figure[FIGURE_EC_MS_CM], false);
    ask_ec(r, i, false);
    if (r->ec_told[i] && !r->s.container[i].bumps &&
        e.figure[FIGURE_EC_MS_CM] < BUMP_BELOW * r->s.container[i].strength_ms_cm) {
        bump(r, i);
    }
}

/* The next change comes when the solution is spent, and what it will read then is foretold now. */
static void plan_change(struct trial *r, size_t i)
{
    const struct room *room = &r->b->room;
    int64_t now_s = now_of(r);
    int64_t spent_s =
        forecast_food_below_s(room, &r->s, i, SPENT * r->s.container[i].strength_ms_cm, now_s);
    int64_t on_s = spent_s - now_s > CHANGE_MOST * DAY_S ? now_s + CHANGE_MOST * DAY_S : spent_s;

    on_s = now_s + (on_s - now_s + DAY_S - 1) / DAY_S * DAY_S; /* in the morning */
    r->change_s[i] = on_s;
    r->ec_near_told[i] = false;
}

/* On the day on which the float is likely the grower looks, and again until it works. */
static void look(struct trial *r, size_t i)
{
    const struct container *c = &r->b->room.container[i];
    bool works = !isnan(r->t.plant[i].float_day) && !r->t.plant[i].clogged;
    struct entry e = entry_now(r, ENTRY_FLOAT_SEEN, c->name, works ? "yes" : "no");

    tell(r, &e);
    if (works) {
        plan_change(r, i);
        r->ec_told[i] = false; /* its strength was last measured weeks ago … */
        r->seen[i].ec = (struct two){
            {NAN, NAN},
            {NAN, NAN}
        }; /* … if at all */
    }
}

/* Refills a container with a mix that truly has this strength. */
static void pour_mix(struct trial *r, size_t i, double ec_ms_cm)
{
    size_t recipe = truth_stage(&r->t, i)->recipe_at;
    struct water_body mix =
        truth_solution(&r->t, recipe, r->b->room.container[i].float_volume_l, ec_ms_cm);

    truth_change(&r->t, i, &mix);
}

static void change(struct trial *r, size_t i)
{
    const struct room *room = &r->b->room;
    const struct container *c = &room->container[i];
    const struct crop *crop = &room->crop[c->crop];
    struct forecast now = forecast_container(room, &r->s, i, now_of(r));
    const struct stage *stage = &crop->stage[now.stage];
    double ec = solution_next_strength(stage->ec_ms_cm, r->s.container[i].strength_ms_cm,
                                       crop->step_ec_ms_cm);
    struct entry drained = entry_now(r, ENTRY_DRAINED, c->name, "");
    struct entry e = entry_now(r, ENTRY_REFILLED, c->name, room->recipe[stage->recipe_at].name);

    ask_settle_ec(r, i, true_ec(r, i));
    entry_set(&drained, FIGURE_VOLUME_L, c->remainder_l);
    tell(r, &drained);
    if (r->fault == FAULT_REFILL && isnan(r->fault_day) && r->t.day >= FAULT_DAY) {
        r->fault_day = r->t.day; /* a unit too strong, and told as it was meant */
        r->victim = i;
        pour_mix(r, i, ec + 1.0);
        entry_set(&e, FIGURE_EC_MS_CM, ec);
    } else {
        pour_mix(r, i, ec);
        entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, true_ec(r, i)));
    }
    entry_set(&e, FIGURE_VOLUME_L, c->float_volume_l);
    tell(r, &e);
    plan_change(r, i);
    ask_ec_told(r, i, e.figure[FIGURE_EC_MS_CM], true);
    ask_ec(r, i, true);
}

static void work_container(struct trial *r, size_t i, int day)
{
    struct container_state *cs = &r->s.container[i];
    bool on_float = cs->float_s != 0;

    if (!on_float && predict_float_p(&r->b->room, &r->s, i, now_of(r)) > 0.6 &&
        now_of(r) - cs->looked_s >= DAY_S) {
        look(r, i);
    } else if (!on_float && !isnan(r->fault_day) && r->fault == FAULT_BUCKET && i == r->victim) {
        read_level(r, i); /* every day, by someone who wonders */
    } else if (!on_float && day % LEVEL_EVERY == (int)(i % LEVEL_EVERY) && !forgets(r)) {
        read_level(r, i);
    } else if (on_float && now_of(r) >= r->change_s[i]) {
        change(r, i);
    } else if (on_float && day % EC_EVERY == (int)(i % EC_EVERY) && !forgets(r)) {
        read_ec(r, i);
    }
}

/* In the evening, where a night is wanted: tape at the water line, and every shut-off closed. */
static void evening(struct trial *r)
{
    int64_t wanted_s = overnight_wanted_s(&r->b->room, &r->s);

    if (wanted_s && wanted_s <= now_of(r) && !forgets(r)) {
        r->t.closed = true;
        r->tape_l = r->t.reservoir.volume_l;
        r->b->nights += r->fault == FAULT_NONE;
    }
}

/* In the morning a jug fills it up to the tape, and the shut-offs are opened. */
static void open_up(struct trial *r)
{
    struct entry e = entry_now(r, ENTRY_STOOD, "reservoir", "");
    double added_l = truth_jug_to(&r->t, r->tape_l);

    water_pour_like(&r->t.reservoir, &r->t.source, added_l);
    entry_set(&e, FIGURE_ADDED_L, added_l);
    tell(r, &e);
    r->t.closed = false;
}

/* Walking along: a level that looks to be below its float's mark is read. */
static void glance(struct trial *r, size_t i)
{
    double line_l = r->b->room.container[i].float_volume_l;
    double seems_l = r->t.plant[i].water.volume_l + MARK_SD * line_l * dice_normal(&r->t.dice);

    if (r->s.container[i].float_s && seems_l < (1 - LOOKS_LOW) * line_l) {
        read_level(r, i);
    }
}

static void morning(struct trial *r, int day)
{
    bool away = forgets(r);

    if (!away) {
        read_reservoir(r, day % RESERVOIR_EACH == 0);
    } else if (r->t.reservoir.volume_l <
               DAYS_LEFT * room_use_l_day(r) + r->b->room.reservoir.low_l) {
        fill(r);
    }
    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        work_container(r, i, day);
    }
    for (size_t i = 0; i < r->b->room.n_containers && !away; i++) {
        glance(r, i);
    }
}

/* A leak is a share of what the reservoir gives, and a float fails that has worked. */
static bool is_of_floats(enum faults fault)
{
    return fault != FAULT_NONE && fault < FAULT_REFILL;
}

static bool may_strike(const struct trial *r)
{
    size_t floating = 0;

    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        floating += r->s.container[i].float_s != 0;
    }
    return r->t.day >= FAULT_DAY && r->t.day < FAULT_LAST &&
           floating >= r->b->room.n_containers / 2;
}

static void strike(struct trial *r)
{
    static const double leak[FAULT_N] = {
        [FAULT_LEAK_5] = 0.05, [FAULT_LEAK_10] = 0.10, [FAULT_LEAK_20] = 0.20};

    r->fault_day = r->t.day;
    r->t.leak_l_day = leak[r->fault] * room_use_l_day(r);
    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        if (r->s.container[i].float_s) {
            r->victim = i;
        }
    }
    r->t.plant[r->victim].clogged = r->fault == FAULT_CLOG;
    r->t.plant[r->victim].stuck = r->fault == FAULT_STUCK;
}

/* In drawdown: a bucket with a crack, or the readings of two told of each other, once. */
static void strike_early(struct trial *r)
{
    double widest_l = 0;

    r->fault_day = r->t.day;
    r->victim = 0;
    if (r->fault == FAULT_BUCKET) {
        r->t.plant[r->victim].leak_l_day = BUCKET_L_DAY;
    }
    for (size_t i = 1; i < r->b->room.n_containers && r->fault == FAULT_SWAP; i++) {
        double apart_l = fabs(r->t.plant[i].water.volume_l - r->t.plant[0].water.volume_l);

        if (apart_l > widest_l) {
            widest_l = apart_l;
            r->other = i;
        }
    }
}

static void tell_swapped(struct trial *r)
{
    r->swaps = true;
    read_level(r, r->victim);
    { /* and the other's reading is told of the victim */
        size_t other = r->other;

        r->other = r->victim;
        read_level(r, other);
        r->other = other;
    }
    r->swaps = false;
}

static bool is_of_fault(const struct trial *r, const struct alarm *a)
{
    switch (r->fault) {
    case FAULT_LEAK_5:
    case FAULT_LEAK_10:
    case FAULT_LEAK_20:
        return a->kind == ALARM_LEAK;
    case FAULT_CLOG:
        return a->kind == ALARM_LOW && a->subject.at == r->victim;
    case FAULT_REFILL:
        return a->kind == ALARM_STRONG && a->subject.at == r->victim;
    case FAULT_BUCKET:
    case FAULT_SWAP:
        return a->subject.kind == SUBJECT_CONTAINER &&
               (a->subject.at == r->victim ||
                (r->fault == FAULT_SWAP && a->subject.at == r->other));
    case FAULT_STUCK:
        return a->kind == ALARM_LEAK || (a->kind == ALARM_HIGH && a->subject.at == r->victim);
    default:
        return false;
    }
}

/* With the victim of a fault a person who comes by sees its level and strength. */
static void watch(struct trial *r)
{
    struct alarms alarms;

    alarms_derive(&r->b->room, &r->s, now_of(r), &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        if (r->fault != FAULT_NONE && is_of_fault(r, a) && ask_day(a->since_s) > r->fault_day &&
            isnan(r->noticed_day)) {
            r->noticed_day =
                r->fault == FAULT_BUCKET || r->fault == FAULT_SWAP ? r->looks : r->t.day;
        }
        if (r->fault == FAULT_NONE && a->since_s > now_of(r) - DAY_S && a->kind != ALARM_PACE) {
            r->b->false_alarms++;
            r->b->false_of[a->kind]++;
        }
    }
    alarms_deinit(&alarms);
}

/* The truth is run once by itself, to know the days at which to ask; all draws are the same
 * then. */
static double *true_float_days(struct bench *b, uint64_t seed)
{
    double *day = mem_array(b->room.n_containers, sizeof *day);
    struct truth t;

    variant_init(&t, b, seed);
    for (size_t i = 0; i < b->room.n_containers; i++) {
        struct water_body plain = {0};

        water_pour_like(&plain, &t.source, b->room.container[i].start_volume_l);
        truth_start(&t, i, &plain);
    }
    for (int h = 0; h < DAYS * 24; h++) {
        truth_hour(&t);
        fill_up(&t);
    }
    for (size_t i = 0; i < b->room.n_containers; i++) {
        day[i] = t.plant[i].float_day;
    }
    truth_deinit(&t);
    return day;
}

static void trial_init(struct trial *r, struct bench *b, enum faults fault, uint64_t seed)
{
    size_t n = b->room.n_containers;

    *r = (struct trial){.b = b, .fault = fault, .fault_day = NAN, .noticed_day = NAN};
    variant_init(&r->t, b, seed);
    state_init(&r->s, &b->room);
    for (int when = 0; when < 3; when++) {
        r->at[when] = mem_array(n, sizeof *r->at[when]);
        r->asked[when] = mem_array(n, sizeof *r->asked[when]);
    }
    r->ec = mem_array(n, sizeof *r->ec);
    r->ec_told = mem_array(n, sizeof *r->ec_told);
    r->ec_near = mem_array(n, sizeof *r->ec_near);
    r->ec_near_told = mem_array(n, sizeof *r->ec_near_told);
    r->seen = mem_array(n, sizeof *r->seen);
    r->change_s = mem_array(n, sizeof *r->change_s);
}

static void trial_deinit(struct trial *r)
{
    for (int when = 0; when < 3; when++) {
        free(r->at[when]);
        free(r->asked[when]);
    }
    free(r->ec);
    free(r->ec_told);
    free(r->ec_near);
    free(r->ec_near_told);
    free(r->seen);
    free(r->change_s);
    state_deinit(&r->s);
    truth_deinit(&r->t);
}

static void ask_floats(struct trial *r, const double *true_day, int day)
{
    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        if (isnan(true_day[i]) || r->s.container[i].float_s) {
            continue;
        }
        if (day == (int)(true_day[i] / 2)) {
            ask_float(r, i, 1);
        } else if (day == (int)true_day[i] - 3) {
            ask_float(r, i, 2);
        }
    }
}

static void hold_full(struct trial *r)
{
    truth_hour(&r->t);
    fill_up(&r->t);
}

/* What the room showed in one planting is what the next one is believed to be: the float days of a
 * second one, as they are foretold at its start. */
static void plant_again(struct trial *r)
{
    size_t n = r->b->room.n_containers;
    double began_day = r->t.day;

    for (size_t i = 0; i < n; i++) {
        struct entry e = entry_now(r, ENTRY_HARVESTED, r->b->room.container[i].name, "final");

        tell(r, &e);
        truth_harvest(&r->t, i);
    }
    start_all(r);
    for (size_t i = 0; i < n; i++) {
        ask_float(r, i, 0);
        for (int k = 0; k < FORETOLD_N; k++) {
            r->at[0][i].of.at[k] -= began_day;
        }
        r->at[0][i].of.line = NAN;
    }
    for (int h = 0; h < DAYS * 24; h++) {
        hold_full(r);
    }
    for (size_t i = 0; i < n; i++) {
        if (!isnan(r->t.plant[i].float_day)) {
            score_note(&r->b->float_again, &r->at[0][i].of, r->t.plant[i].float_day, ASK_FAR_DAY);
        }
    }
}

void trial_run(struct bench *b, enum faults fault, uint64_t seed)
{
    static const double soon[FAULT_N] = {
        [FAULT_LEAK_5] = 5, [FAULT_LEAK_10] = 5, [FAULT_LEAK_20] = 5, [FAULT_CLOG] = 3,
        [FAULT_STUCK] = 3,  [FAULT_REFILL] = 5,  [FAULT_BUCKET] = 2,  [FAULT_SWAP] = 2};
    double *true_day = true_float_days(b, seed);
    struct trial *r = mem_array(1, sizeof *r);

    trial_init(r, b, fault, seed);
    start_all(r);
    for (size_t i = 0; i < b->room.n_containers; i++) {
        ask_float(r, i, 0);
    }
    fill(r);
    for (int h = 0; h < DAYS * 24; h++) {
        int day = h / 24;

        if (h % 24 == MORNING_H - 1 && r->t.closed) {
            open_up(r);
        }
        if (h % 24 == MORNING_H) {
            morning(r, day);
            if (fault == FAULT_SWAP && day == EARLY_DAY + 3) {
                tell_swapped(r);
            }
            watch(r);
            ask_tonight(r);
            ask_floats(r, true_day, day);
        }
        if ((fault == FAULT_BUCKET || fault == FAULT_SWAP) && h == EARLY_DAY * 24 + MORNING_H + 1) {
            strike_early(r);
        } else if (is_of_floats(fault) && isnan(r->fault_day) && h % 24 == 1 && may_strike(r)) {
            strike(r);
        }
        if (h % 24 == EVENING_H) {
            evening(r);
        }
        truth_hour(&r->t);
        ask_settle_reservoir(r);
    }
    ask_settle_floats(r);
    if (fault == FAULT_NONE) {
        plant_again(r);
        b->room_months += DAYS / 30.4;
    } else if (!isnan(r->fault_day)) {
        found_note(&b->found[fault],
                   fault == FAULT_BUCKET || fault == FAULT_SWAP ? r->noticed_day
                                                                : r->noticed_day - r->fault_day,
                   soon[fault]);
    }
    trial_deinit(r);
    free(r);
    free(true_day);
}
