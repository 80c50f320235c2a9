/* predict_ask.h - what predictbench asks the core, and a straight line, and how the truth settles
 * it.
 *
 * The line is what a grower would draw: through the last two readings, and on. */
#ifndef TARN_TESTS_BENCH_PREDICT_ASK_H
#define TARN_TESTS_BENCH_PREDICT_ASK_H

#include "daemon/core/state/prediction.h"
#include "tests/bench/predict_score.h"
#include "tests/sim/truth.h"

#define BENCH_DAY_S     86400LL
#define BENCH_FIRST_S   (20514 * BENCH_DAY_S) /* 2026-03-02, 00:00 UTC */
#define ASK_FAR_DAY     60.0 /* no plan looks farther: what never gets there is so far off */
#define BENCH_ASIDE_MAX 4096 /* foretold and not yet come true: more than in any room of 80 days */

/* Foretold, and waiting for the truth. */
struct pending {
    struct foretold of; /* days of the room, or litres */
    double spare_l;     /* true litres until the reservoir is empty … */
    double drawn_l;     /* … counted from here */
};

/* Two readings of one thing: the straight line. */
struct two {
    double day[2], value[2]; /* the older first; NaN = not read */
};

struct seen {
    struct two level, ec;
    double ec_fell_day; /* what the solution before fell by in a day; NaN = there was none */
};

/* One simulated room and the grower's journal of it. */
struct trial {
    struct bench *b;
    struct truth t;
    struct state s;
    enum faults fault;
    struct pending empty[BENCH_ASIDE_MAX];
    size_t n_empty;
    struct pending *at[3];    /* of each container: the float day as foretold at three instants */
    struct foretold *ec;      /* of each container: strength at the next change, as foretold when
                              its solution was made … */
    bool *ec_told;            /* … was foretold … */
    struct foretold *ec_near; /* … and when it was last read … */
    bool *ec_near_told;
    int64_t *change_s; /* … which is then */
    bool *asked[3];
    struct seen *seen;                   /* of each container */
    double tank_day, tank_l, tank_l_day; /* of the reservoir: last known, and what it loses */
    struct foretold tonight;
    double tonight_day; /* NaN = nothing is asked */
    double tape_l;      /* where the reservoir stood in the evening */
    double fault_day, noticed_day;
    size_t victim, other;
    bool swaps; /* a level is read off the other vessel */
    int looks;  /* at the victim since the fault */
    int64_t seq;
};

int64_t ask_now(const struct trial *r);
double ask_day(int64_t t_s);

/* A reading that was told, for the line. The reservoir's before it was filled (NaN = not read),
 * and what it holds now. A strength that was just made begins a line anew. */
void ask_level_told(struct trial *r, size_t i, double volume_l);
void ask_ec_told(struct trial *r, size_t i, double ec_ms_cm, bool made);
void ask_reservoir_told(struct trial *r, double before_l, double volume_l);

/* The day on which the float line is reached; by when the reservoir would be empty if nobody filled
 * it; what it holds this evening. */
void ask_float(struct trial *r, size_t i, int when);
void ask_empty(struct trial *r);
void ask_tonight(struct trial *r);

/* What has come true by now. */
void ask_settle_floats(struct trial *r);
void ask_settle_reservoir(struct trial *r);
/* The strength at the next change: as its solution is made, and as it is read once more. */
void ask_ec(struct trial *r, size_t i, bool made);

void ask_settle_ec(struct trial *r, size_t i, double truth_ms_cm);

/* A truth of the bench's variant. */
void variant_init(struct truth *t, const struct bench *b, uint64_t seed);

#endif
