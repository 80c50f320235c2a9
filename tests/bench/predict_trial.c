#include "tests/bench/predict_trial.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/units/day.h"
#include "tests/sim/truth.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The grower. Common practice where the chores are, and our own guess how often they are
 * forgotten. */
/* clang-format off */
#define DAYS           80
#define DAY_S          86400LL
#define FIRST_S        (20514 * DAY_S) /* 2026-03-02, 00:00 UTC */
#define MORNING_H      8
#define FORGETS        0.15 /* share of the readings that are not taken */
#define LEVEL_EVERY    7    /* days between two looks at a falling level */
#define RESERVOIR_EACH 3    /* days */
#define EC_EVERY       3    /* days, once it floats */
#define CHANGE_MOST    12   /* days between two changes at most … */
#define SPENT          0.5  /* … sooner when so much of the strength is gone */
#define FAULT_DAY      45   /* most containers float by then, and none is ripe */
#define PENDING_MAX    4096 /* foretold and not yet come true: more than in any room of 80 days */
#define DAYS_LEFT      2    /* the reservoir is filled when it holds no more than so many … */
#define FILL_BELOW     0.45 /* … or this much of what it could */
/* clang-format on */

/* Foretold, and waiting for the truth. */
struct pending {
    double lo, mid, hi; /* day of the room */
    double spare_l;     /* true litres until the reservoir is empty … */
    double drawn_l;     /* … counted from here */
};

/* One simulated room and the grower's journal of it. */
struct trial {
    struct bench *b;
    struct truth t;
    struct state s;
    enum faults fault;
    struct pending empty[PENDING_MAX];
    size_t n_empty;
    struct pending *at[3]; /* of each container: the float day as foretold at three instants */
    struct gauss *ec;      /* of each container: strength at the next change … */
    bool *ec_told;         /* … was foretold */
    int64_t *change_s;     /* … which is then */
    bool *asked[3];
    double fault_day, noticed_day;
    size_t victim;
    bool was_open[ALARM_KIND_N];
    int64_t seq;
};

static int64_t now_of(const struct trial *r)
{
    return FIRST_S + (int64_t)llround(r->t.day * 24) * 3600;
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

static double room_day(int64_t t_s)
{
    return t_s == FORECAST_NEVER ? INFINITY : (double)(t_s - FIRST_S) / DAY_S;
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
    entry_set(&e, FIGURE_VOLUME_L, r->b->room.reservoir.capacity_l);
    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, water_ec_ms_cm(&r->t.reservoir)));
    tell(r, &e);
}

/* By when would it be empty, if nobody fills it? */
static void foretell_reservoir(struct trial *r)
{
    const struct room *room = &r->b->room;
    double rest_l = room->reservoir.remainder_l;
    int64_t now_s = now_of(r);
    struct pending p = {
        .lo = room_day(predict_reservoir_s(room, &r->s, rest_l, 0.05, now_s)),
        .mid = room_day(predict_reservoir_s(room, &r->s, rest_l, 0.50, now_s)),
        .hi = room_day(predict_reservoir_s(room, &r->s, rest_l, 0.95, now_s)),
        .spare_l = r->t.reservoir.volume_l - rest_l,
        .drawn_l = r->t.drawn_l,
    };

    if (r->fault == FAULT_NONE && p.spare_l > 0 && p.mid > r->t.day + 0.5 && isfinite(p.hi) &&
        r->n_empty < PENDING_MAX) {
        r->empty[r->n_empty++] = p;
    }
}

static void settle_reservoir(struct trial *r)
{
    size_t kept = 0;

    for (size_t i = 0; i < r->n_empty; i++) {
        struct pending *p = &r->empty[i];

        if (r->t.drawn_l - p->drawn_l >= p->spare_l) {
            score_note(&r->b->reservoir, r->t.day >= p->lo && r->t.day <= p->hi, r->t.day - p->mid);
        } else {
            r->empty[kept++] = *p;
        }
    }
    r->n_empty = kept;
}

static void read_reservoir(struct trial *r)
{
    struct entry e = entry_now(r, ENTRY_READING, "reservoir", "");

    entry_set(&e, FIGURE_VOLUME_L, truth_read_reservoir(&r->t));
    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, water_ec_ms_cm(&r->t.reservoir)));
    tell(r, &e);
    if (r->t.reservoir.volume_l < FILL_BELOW * r->b->room.reservoir.capacity_l ||
        r->t.reservoir.volume_l < DAYS_LEFT * room_use_l_day(r) + r->b->room.reservoir.low_l) {
        fill(r);
    }
    foretell_reservoir(r);
}

static double true_ec(const struct trial *r, size_t i)
{
    return water_ec_ms_cm(&r->t.plant[i].water);
}

static void read_level(struct trial *r, size_t i)
{
    struct entry e = entry_now(r, ENTRY_READING, r->b->room.container[i].name, "");

    entry_set(&e, FIGURE_VOLUME_L, truth_read_level(&r->t, i));
    tell(r, &e);
}

static void read_ec(struct trial *r, size_t i)
{
    struct entry e = entry_now(r, ENTRY_READING, r->b->room.container[i].name, "");

    entry_set(&e, FIGURE_EC_MS_CM, truth_read_ec(&r->t, true_ec(r, i)));
    entry_set(&e, FIGURE_VOLUME_L, truth_read_level(&r->t, i));
    tell(r, &e);
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
    r->ec[i] = predict_ec(room, &r->s, i, on_s);
    r->ec_told[i] = true;
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
        r->ec_told[i] = false; /* its strength was last measured weeks ago */
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

    if (r->ec_told[i] && r->fault == FAULT_NONE) {
        double sd = sqrt(r->ec[i].var);
        double truth = true_ec(r, i);

        score_note(&r->b->ec, fabs(truth - r->ec[i].mean) <= 1.645 * sd, truth - r->ec[i].mean);
    }
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
}

/* The day on which the float line is reached, as foretold at this instant. */
static void foretell_float(struct trial *r, size_t i, int when)
{
    const struct room *room = &r->b->room;

    r->at[when][i] = (struct pending){
        .lo = room_day(predict_float_s(room, &r->s, i, 0.05)),
        .mid = room_day(predict_float_s(room, &r->s, i, 0.50)),
        .hi = room_day(predict_float_s(room, &r->s, i, 0.95)),
    };
    r->asked[when][i] = true;
}

static void work_container(struct trial *r, size_t i, int day)
{
    struct container_state *cs = &r->s.container[i];
    bool on_float = cs->float_s != 0;

    if (!on_float && predict_float_p(&r->b->room, &r->s, i, now_of(r)) > 0.6 &&
        now_of(r) - cs->looked_s >= DAY_S) {
        look(r, i);
    } else if (!on_float && day % LEVEL_EVERY == (int)(i % LEVEL_EVERY) && !forgets(r)) {
        read_level(r, i);
    } else if (on_float && now_of(r) >= r->change_s[i]) {
        change(r, i);
    } else if (on_float && day % EC_EVERY == (int)(i % EC_EVERY) && !forgets(r)) {
        read_ec(r, i);
    }
}

static void morning(struct trial *r, int day)
{
    if (day % RESERVOIR_EACH == 0 && !forgets(r)) {
        read_reservoir(r);
    } else if (r->t.reservoir.volume_l <
               DAYS_LEFT * room_use_l_day(r) + r->b->room.reservoir.low_l) {
        fill(r);
    }
    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        work_container(r, i, day);
    }
}

static void strike(struct trial *r)
{
    static const double leak[FAULT_N] = {
        [FAULT_LEAK_2] = 0.02, [FAULT_LEAK_5] = 0.05, [FAULT_LEAK_20] = 0.20};

    r->fault_day = r->t.day;
    r->t.leak_l_day = leak[r->fault] * room_use_l_day(r);
    for (size_t i = 0; i < r->b->room.n_containers; i++) {
        if (r->s.container[i].float_s) {
            r->victim = i;
        }
    }
    if (r->fault == FAULT_CLOG) {
        r->t.plant[r->victim].clogged = true;
    }
}

static bool is_of_fault(const struct trial *r, const struct alarm *a)
{
    switch (r->fault) {
    case FAULT_LEAK_2:
    case FAULT_LEAK_5:
    case FAULT_LEAK_20:
        return a->kind == ALARM_LEAK;
    case FAULT_CLOG:
        return a->kind == ALARM_LOW && a->subject.at == r->victim;
    case FAULT_REFILL:
        return a->kind == ALARM_STRONG && a->subject.at == r->victim;
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

        if (r->fault != FAULT_NONE && is_of_fault(r, a) && room_day(a->since_s) > r->fault_day &&
            isnan(r->noticed_day)) {
            r->noticed_day = r->t.day;
        }
        if (r->fault == FAULT_NONE && a->since_s > now_of(r) - DAY_S && a->kind != ALARM_PACE) {
            r->b->false_alarms++;
            r->b->false_of[a->kind]++;
        }
    }
    alarms_deinit(&alarms);
}

static void settle_floats(struct trial *r)
{
    for (size_t i = 0; i < r->b->room.n_containers && r->fault == FAULT_NONE; i++) {
        double truth = r->t.plant[i].float_day;

        for (int when = 0; when < 3 && !isnan(truth); when++) {
            const struct pending *p = &r->at[when][i];

            if (r->asked[when][i]) {
                score_note(&r->b->float_day[when], truth >= p->lo && truth <= p->hi,
                           truth - p->mid);
            }
        }
    }
}

/* The truth is run once by itself, to know the days at which to ask; all draws are the same
 * then. */
static double *true_float_days(struct bench *b, uint64_t seed)
{
    double *day = mem_array(b->room.n_containers, sizeof *day);
    struct truth t;

    truth_init(&t, &b->room, seed, truth_usual);
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
    truth_init(&r->t, &b->room, seed, truth_usual);
    state_init(&r->s, &b->room);
    for (int when = 0; when < 3; when++) {
        r->at[when] = mem_array(n, sizeof *r->at[when]);
        r->asked[when] = mem_array(n, sizeof *r->asked[when]);
    }
    r->ec = mem_array(n, sizeof *r->ec);
    r->ec_told = mem_array(n, sizeof *r->ec_told);
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
            foretell_float(r, i, 1);
        } else if (day == (int)true_day[i] - 3) {
            foretell_float(r, i, 2);
        }
    }
}

void trial_run(struct bench *b, enum faults fault, uint64_t seed)
{
    double *true_day = true_float_days(b, seed);
    struct trial *r = mem_array(1, sizeof *r);

    trial_init(r, b, fault, seed);
    start_all(r);
    for (size_t i = 0; i < b->room.n_containers; i++) {
        foretell_float(r, i, 0);
    }
    fill(r);
    for (int h = 0; h < DAYS * 24; h++) {
        int day = h / 24;

        if (h % 24 == MORNING_H) {
            morning(r, day);
            watch(r);
            ask_floats(r, true_day, day);
        }
        if (fault != FAULT_NONE && fault != FAULT_REFILL && h == FAULT_DAY * 24 + 1) {
            strike(r);
        }
        truth_hour(&r->t);
        settle_reservoir(r);
    }
    settle_floats(r);
    if (fault == FAULT_NONE) {
        b->room_months += DAYS / 30.4;
    } else {
        found_note(&b->found[fault], r->noticed_day - r->fault_day);
    }
    trial_deinit(r);
    free(r);
    free(true_day);
}
