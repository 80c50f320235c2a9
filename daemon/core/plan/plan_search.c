/* The idea. A first plan puts the jobs in one by one, those that can wait least before the others,
 * each where it costs least. It is then mended by large-neighbourhood search (Shaw 1998; Ropke &
 * Pisinger 2006): some jobs are taken out and put back where they cost least, now and then passing
 * over a day (Christiaens & Vanden Berghe 2020), with a day shut or made free for the round, so that
 * whole days close and open. What is worse by a little is kept now and then, less as it goes on
 * (simulated annealing; Kirkpatrick, Gelatt & Vecchi 1983).
 *
 * The jobs of one recipe on one day are a bunch. What the loads of a bunch cost depends on its jobs
 * and not on the day, and is remembered under a hash of them (Zobrist 1970), so that most trials cost
 * a look-up: a round is a few jobs times the days of their windows, whatever n. */
#include "daemon/core/plan/plan_search.h"

#include "daemon/base/mem.h"
#include "daemon/core/plan/plan_day.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TAKEN_MAX  96 /* by twins; else no more than */
#define TAKEN_FEW  16
#define HOT        3
#define COLD       0.3
#define MEMORY_MIN 1024 /* bunches remembered: so many … */
#define MEMORY_MAX 16384
#define RUN_ROUNDS 4000 /* that a cooling has, where there are so many */
#define RUNS_MAX   8
#define CROWD      5000 /* jobs: from here on each goes to its due day */
#define NO_DAY     (-2)

/* Jobs, ascending, of one recipe on one day. */
struct bunch {
    uint32_t *at;
    size_t n, cap;
    uint64_t key;
    struct plan_loads loads;
};

struct memory {
    uint64_t key;
    size_t n;
    struct plan_loads loads;
};

struct search {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    size_t n_days, n_recipes;
    size_t *recipe;      /* of each job, from 0 */
    uint64_t *sign;      /* of each job, for the keys */
    struct bunch *bunch; /* by day, then recipe */
    struct plan_tally *tally;
    double *day_cost;
    struct plan_place *place;
    double cost;
    struct memory *memory;
    size_t memory_mask;
    uint32_t *trial; /* a bunch and one job more */
    uint64_t dice;
    uint32_t taken[TAKEN_MAX];
    struct plan_place was[TAKEN_MAX];
    size_t n_taken;
    int32_t shut, free; /* days, for a round */
    double lure;        /* what the free day is made cheaper by for its first job */
    bool passes_over;
    size_t n_twins; /* jobs like the one before them */
};

/* ---- dice (splitmix64: Steele, Lea & Flood 2014) */

static uint64_t roll(struct search *s)
{
    uint64_t z = (s->dice += 0x9E3779B97F4A7C15ULL);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static uint32_t below(struct search *s, size_t n)
{
    return (uint32_t)(((roll(s) >> 32) * n) >> 32);
}

/* ---- bunches */

static struct bunch *bunch_of(struct search *s, int32_t day, uint32_t job)
{
    return &s->bunch[(size_t)day * s->n_recipes + s->recipe[job]];
}

static struct plan_loads recall(struct search *s, uint64_t key, const uint32_t *at, size_t n)
{
    struct memory *m = &s->memory[key & s->memory_mask];

    if (n == 0) {
        return (struct plan_loads){0};
    }
    if (m->key != key || m->n != n) {
        *m = (struct memory){key, n, plan_loads_of(s->room, s->job, at, n)};
    }
    return m->loads;
}

static size_t seat_of(const struct bunch *b, uint32_t job)
{
    size_t lo = 0;
    size_t hi = b->n;

    while (lo < hi) {
        size_t mid = (lo + hi) / 2;

        if (b->at[mid] < job) {
            lo = mid + 1;
        } else {
            hi = mid;
        }
    }
    return lo;
}

static struct plan_loads loads_with(struct search *s, const struct bunch *b, uint32_t job)
{
    uint64_t key = b->key ^ s->sign[job];
    const struct memory *m = &s->memory[key & s->memory_mask];
    size_t seat;

    if (m->key == key && m->n == b->n + 1) {
        return m->loads;
    }
    seat = seat_of(b, job);
    if (seat > 0) {
        memcpy(s->trial, b->at, seat * sizeof *b->at);
    }
    s->trial[seat] = job;
    if (seat < b->n) {
        memcpy(s->trial + seat + 1, b->at + seat, (b->n - seat) * sizeof *b->at);
    }
    return recall(s, key, s->trial, b->n + 1);
}

static void swap_loads(struct plan_tally *t, const struct plan_loads *out,
                       const struct plan_loads *in)
{
    for (int way = 0; way < PLAN_WAYS; way++) {
        t->loads.cost[way] += in->cost[way] - out->cost[way];
        t->loads.fillings[way] += in->fillings[way] - out->fillings[way];
    }
}

/* ---- places */

static void tally_job(const struct search *s, struct plan_tally *t, uint32_t job, int32_t day,
                      bool by_hand, int sign)
{
    const struct plan_job *j = &s->job[job];

    t->apart += sign * (plan_wait_cost(s->room, j, day) + (by_hand ? s->room->cost.hand : 0));
    t->minutes += sign * (j->minutes + (by_hand ? s->room->hand_min : 0));
    if (by_hand) {
        t->by_hand += (size_t)sign;
    } else {
        t->mixed += (size_t)sign;
        t->volume_l += sign * j->volume_l;
    }
    if (t->mixed + t->by_hand == 0) {
        *t = (struct plan_tally){0}; /* what rounding left */
    }
}

static double cost_with(struct search *s, int32_t day, uint32_t job, bool by_hand)
{
    struct plan_tally t = s->tally[day];

    tally_job(s, &t, job, day, by_hand, 1);
    if (!by_hand) {
        const struct bunch *b = bunch_of(s, day, job);
        struct plan_loads with = loads_with(s, b, job);

        swap_loads(&t, &b->loads, &with);
    }
    return plan_tally_cost(s->room, day, &t, NULL);
}

static void reckon(struct search *s, int32_t day)
{
    double cost = s->tally[day].mixed + s->tally[day].by_hand
                      ? plan_tally_cost(s->room, day, &s->tally[day], NULL)
                      : 0;

    s->cost += cost - s->day_cost[day];
    s->day_cost[day] = cost;
}

static void set_loads(struct search *s, int32_t day, struct bunch *b)
{
    struct plan_loads fresh = recall(s, b->key, b->at, b->n);

    swap_loads(&s->tally[day], &b->loads, &fresh);
    b->loads = fresh;
}

static void put(struct search *s, uint32_t job, struct plan_place at)
{
    s->place[job] = at;
    if (at.day == PLAN_UNPLANNED) {
        s->cost += s->room->cost.unplanned;
        return;
    }
    tally_job(s, &s->tally[at.day], job, at.day, at.by_hand, 1);
    if (!at.by_hand) {
        struct bunch *b = bunch_of(s, at.day, job);
        size_t seat = seat_of(b, job);

        b->at = mem_grow(b->at, &b->cap, b->n + 1, sizeof *b->at);
        memmove(b->at + seat + 1, b->at + seat, (b->n - seat) * sizeof *b->at);
        b->at[seat] = job;
        b->n++;
        b->key ^= s->sign[job];
        set_loads(s, at.day, b);
    }
    reckon(s, at.day);
}

static void take(struct search *s, uint32_t job)
{
    struct plan_place at = s->place[job];

    if (at.day == PLAN_UNPLANNED) {
        s->cost -= s->room->cost.unplanned;
        return;
    }
    if (!at.by_hand) {
        struct bunch *b = bunch_of(s, at.day, job);
        size_t seat = seat_of(b, job);

        b->n--;
        memmove(b->at + seat, b->at + seat + 1, (b->n - seat) * sizeof *b->at);
        b->key ^= s->sign[job];
        set_loads(s, at.day, b);
    }
    tally_job(s, &s->tally[at.day], job, at.day, at.by_hand, -1);
    reckon(s, at.day);
}

static void put_where_cheapest(struct search *s, uint32_t job)
{
    const struct plan_job *j = &s->job[job];
    int32_t last = plan_last_day(s->room, j);
    bool may_mix = s->room->usable_l > s->room->line_loss_l;
    bool may_pour = plan_by_hand(s->room, j);
    struct plan_place best = {PLAN_UNPLANNED, false};
    double least = s->room->cost.unplanned;

    for (int32_t day = plan_first_day(j); day <= last; day++) {
        for (int by_hand = may_mix ? 0 : 1; by_hand <= (int)may_pour; by_hand++) {
            double more;

            if (day == s->shut || plan_is_off(s->room, day) ||
                (s->passes_over && below(s, 24) == 0)) {
                continue;
            }
            more = cost_with(s, day, job, by_hand) - s->day_cost[day];
            if (day == s->free && !by_hand && s->tally[day].mixed == 0) {
                more -= s->lure;
            }
            if (more < least) {
                least = more;
                best = (struct plan_place){day, by_hand};
            }
        }
    }
    put(s, job, best);
}

/* ---- the first plan */

struct order {
    int32_t latest, due;
    uint32_t job;
};

static int by_patience(const void *pa, const void *pb)
{
    const struct order *a = pa;
    const struct order *b = pb;

    if (a->latest != b->latest) {
        return a->latest < b->latest ? -1 : 1;
    }
    if (a->due != b->due) {
        return a->due < b->due ? -1 : 1;
    }
    return a->job < b->job ? -1 : a->job > b->job;
}

static void fill(struct search *s)
{
    struct order *order = mem_array(s->n, sizeof *order);
    size_t left = 0;

    for (uint32_t i = 0; i < s->n; i++) {
        if (s->place[i].day == PLAN_UNPLANNED) {
            order[left++] = (struct order){s->job[i].latest, s->job[i].due, i};
            take(s, i);
        }
    }
    if (left > 1) {
        qsort(order, left, sizeof *order, by_patience);
    }
    for (size_t i = 0; i < left; i++) {
        put_where_cheapest(s, order[i].job);
    }
    free(order);
}

/* ---- mending it */

static bool is_taken(const struct search *s, uint32_t job)
{
    for (size_t i = 0; i < s->n_taken; i++) {
        if (s->taken[i] == job) {
            return true;
        }
    }
    return false;
}

static void take_out(struct search *s, uint32_t job)
{
    if (s->n_taken < TAKEN_MAX && !is_taken(s, job)) {
        s->taken[s->n_taken] = job;
        s->was[s->n_taken++] = s->place[job];
        take(s, job);
    }
}

/* Whole days, and those who were on them may not come back. */
static void take_day(struct search *s, uint32_t seed)
{
    int32_t day = s->place[seed].day;

    take_out(s, seed);
    if (day == PLAN_UNPLANNED) {
        return;
    }
    for (size_t r = 0; r < s->n_recipes; r++) {
        const struct bunch *b = &s->bunch[(size_t)day * s->n_recipes + r];

        while (b->n && s->n_taken < TAKEN_FEW) {
            take_out(s, b->at[below(s, b->n)]);
        }
    }
    if (below(s, 4)) {
        s->shut = day;
        s->free = day - 2 + (int32_t)below(s, 5);
    }
}

static bool may_meet(const struct search *s, const struct plan_job *a, const struct plan_job *b)
{
    return plan_first_day(a) <= plan_last_day(s->room, b) &&
           plan_first_day(b) <= plan_last_day(s->room, a);
}

/* Neighbours in strength that may be done on one day: they may share a load. */
static void take_alike(struct search *s, uint32_t seed, size_t want)
{
    size_t up = seed + 1;
    size_t down = seed;
    size_t looks = 0;

    take_out(s, seed);
    while (s->n_taken < want && looks++ < 64 && (down > 0 || up < s->n)) {
        uint32_t job;

        if (up >= s->n || (down > 0 && below(s, 2))) {
            job = (uint32_t)--down;
        } else {
            job = (uint32_t)up++;
        }
        if (s->recipe[job] == s->recipe[seed] && may_meet(s, &s->job[seed], &s->job[job]) &&
            below(s, 4)) {
            take_out(s, job);
        }
    }
}

static void take_any(struct search *s, size_t want)
{
    while (want-- > 0) {
        take_out(s, below(s, s->n));
    }
}

/* Jobs that may all be done on one day, which is made free for the first of them. */
static void take_to_one(struct search *s, uint32_t seed, size_t want)
{
    const struct plan_job *j = &s->job[seed];
    int32_t first = plan_first_day(j);
    size_t looks = 0;

    take_out(s, seed);
    s->free = first + (int32_t)below(s, (size_t)(plan_last_day(s->room, j) - first) + 1);
    while (s->n_taken < want && looks++ < 64) {
        uint32_t job = below(s, s->n);

        if (plan_first_day(&s->job[job]) <= s->free &&
            plan_last_day(s->room, &s->job[job]) >= s->free) {
            take_out(s, job);
        }
    }
}

static bool are_twins(const struct plan_job *a, const struct plan_job *b)
{
    return a->recipe == b->recipe && a->ec_ms_cm == b->ec_ms_cm && a->earliest == b->earliest &&
           a->due == b->due && a->latest == b->latest;
}

/* All jobs that are like the seed and stand with it, to a day that is made free for them. */
static void take_twins(struct search *s, uint32_t seed)
{
    const struct plan_job *j = &s->job[seed];
    int32_t first = plan_first_day(j);
    int32_t on = s->place[seed].day;
    size_t from = seed;

    while (from > 0 && are_twins(&s->job[from - 1], j)) {
        from--;
    }
    for (size_t i = from; i < s->n && are_twins(&s->job[i], j); i++) {
        if (s->place[i].day == on) {
            take_out(s, (uint32_t)i);
        }
    }
    s->free = first + (int32_t)below(s, (size_t)(plan_last_day(s->room, j) - first) + 1);
    s->lure = INFINITY;
}

/* What a round takes out. */
enum taking { TAKE_DAY, TAKE_ALIKE, TAKE_ANY, TAKE_TO_ONE, TAKE_TWINS };

static void mend_round(struct search *s)
{
    uint32_t seed = below(s, s->n);
    uint32_t put_back[TAKEN_MAX];

    s->n_taken = 0;
    s->shut = s->free = NO_DAY;
    s->lure = s->room->cost.open + s->room->cost.load / 2;
    switch (s->n_twins && below(s, 3) == 0 ? TAKE_TWINS : (enum taking)below(s, TAKE_TWINS)) {
    case TAKE_DAY:
        take_day(s, seed);
        break;
    case TAKE_ALIKE:
        take_alike(s, seed, 2 + below(s, 7));
        break;
    case TAKE_ANY:
        take_any(s, 1 + below(s, 5));
        break;
    case TAKE_TO_ONE:
        take_to_one(s, seed, 2 + below(s, 9));
        break;
    case TAKE_TWINS:
        take_twins(s, seed);
        break;
    }
    memcpy(put_back, s->taken, s->n_taken * sizeof *put_back);
    for (size_t left = s->n_taken; left > 0; left--) { /* in any order */
        size_t i = below(s, left);

        put_where_cheapest(s, put_back[i]);
        put_back[i] = put_back[left - 1];
    }
}

static void undo_round(struct search *s)
{
    for (size_t i = 0; i < s->n_taken; i++) {
        take(s, s->taken[i]);
    }
    for (size_t i = 0; i < s->n_taken; i++) {
        put(s, s->taken[i], s->was[i]);
    }
}

/* One cooling. best is the plan as it stands, and then the best that was met; gives its cost. */
static double mend(struct search *s, size_t rounds, struct plan_place *best)
{
    double least = s->cost;
    double heat = HOT;
    double cools = rounds ? pow(COLD / HOT, 1.0 / (double)rounds) : 1;

    for (size_t k = 0; k < rounds; k++) {
        double before = s->cost;

        mend_round(s);
        if (s->cost < least - 1e-9) {
            least = s->cost;
            memcpy(best, s->place, s->n * sizeof *best);
        } else if (s->cost > before &&
                   (s->cost - before) * 65536 > heat * (double)below(s, 65536)) {
            undo_round(s);
        }
        heat *= cools;
    }
    return least;
}

static void set_out(struct search *s, const struct plan_place *from)
{
    for (uint32_t i = 0; i < s->n; i++) {
        put(s, i, from[i]);
    }
}

static void clear(struct search *s)
{
    for (uint32_t i = 0; i < s->n; i++) {
        take(s, i);
    }
}

/* Several coolings: which days are open is soon settled in each, and not always well. */
static void mend_in_runs(struct search *s, size_t rounds, struct plan_place *const *from,
                         size_t n_from, struct plan_place *best)
{
    struct plan_place *mine = mem_array(s->n, sizeof *mine);
    size_t runs = rounds / RUN_ROUNDS < RUNS_MAX ? rounds / RUN_ROUNDS : RUNS_MAX;
    double least = INFINITY;

    runs = runs > n_from ? runs : n_from;
    s->passes_over = true;
    for (size_t run = 0; run < runs; run++) {
        double cost;

        set_out(s, from[run % n_from]);
        memcpy(mine, s->place, s->n * sizeof *mine);
        cost = mend(s, rounds / runs, mine);
        if (cost < least - 1e-9) {
            least = cost;
            memcpy(best, mine, s->n * sizeof *best);
        }
        clear(s);
    }
    free(mine);
}

/* ---- */

static void lay_out(struct search *s)
{
    size_t want = MEMORY_MIN;

    s->recipe = mem_array(s->n, sizeof *s->recipe);
    s->sign = mem_array(s->n, sizeof *s->sign);
    for (size_t i = 0; i < s->n; i++) {
        size_t days = (size_t)plan_last_day(s->room, &s->job[i]) + 1;

        s->recipe[i] = i == 0 ? 0 : s->recipe[i - 1] + (s->job[i].recipe != s->job[i - 1].recipe);
        s->n_twins += i > 0 && are_twins(&s->job[i], &s->job[i - 1]);
        s->sign[i] = roll(s);
        s->n_days = days > s->n_days ? days : s->n_days;
    }
    s->n_recipes = s->recipe[s->n - 1] + 1;
    while (want < MEMORY_MAX && want < 128 * s->n) {
        want *= 2;
    }
    s->memory = mem_array(want, sizeof *s->memory);
    s->memory_mask = want - 1;
    s->bunch = mem_array(s->n_days * s->n_recipes, sizeof *s->bunch);
    s->tally = mem_array(s->n_days, sizeof *s->tally);
    s->day_cost = mem_array(s->n_days, sizeof *s->day_cost);
    s->trial = mem_array(s->n + 1, sizeof *s->trial);
    s->place = mem_array(s->n, sizeof *s->place);
}

static void deinit(struct search *s)
{
    for (size_t k = 0; k < s->n_days * s->n_recipes; k++) {
        free(s->bunch[k].at);
    }
    free(s->recipe);
    free(s->sign);
    free(s->memory);
    free(s->bunch);
    free(s->tally);
    free(s->day_cost);
    free(s->trial);
    free(s->place);
}

static void due_day_each(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct plan_place *out)
{
    for (size_t i = 0; i < n; i++) {
        int32_t first = plan_first_day(&job[i]);
        int32_t last = plan_last_day(room, &job[i]);
        int32_t due = job[i].due < first ? first : job[i].due > last ? last : job[i].due;
        int32_t day = due;

        while (day > first && plan_is_off(room, day)) {
            day--;
        }
        while (day < last && plan_is_off(room, day)) {
            day++;
        }
        out[i].day = first <= last && !plan_is_off(room, day) && room->usable_l > room->line_loss_l
                         ? day
                         : PLAN_UNPLANNED;
        out[i].by_hand = false;
    }
}

static struct search begin(const struct plan_room *room, const struct plan_job *job, size_t n)
{
    struct search s = {
        .room = room, .job = job, .n = n, .dice = 20080701, .shut = NO_DAY, .free = NO_DAY};

    lay_out(&s);
    return s;
}

void plan_fill(const struct plan_room *room, const struct plan_job *job, size_t n,
               struct plan_place *place)
{
    struct search s;

    if (n == 0) {
        return;
    }
    if (n > CROWD) {
        due_day_each(room, job, n, place);
        return;
    }
    s = begin(room, job, n);
    set_out(&s, place);
    fill(&s);
    memcpy(place, s.place, n * sizeof *place);
    deinit(&s);
}

void plan_search(const struct plan_room *room, const struct plan_job *job, size_t n, size_t rounds,
                 struct plan_place *const *from, size_t n_from, struct plan_place *out)
{
    struct search s;

    if (n == 0 || n > CROWD) {
        memcpy(out, from[0], n * sizeof *out);
        return;
    }
    s = begin(room, job, n);
    mend_in_runs(&s, rounds, from, n_from, out);
    deinit(&s);
}
