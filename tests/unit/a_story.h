/* a_story.h - the invented room of a_room.h with the state that comes of what is told of it.
 *
 * Tests take it as cmocka's context: cmocka_unit_test_setup_teardown(name, story_begin,
 * story_end). */
#ifndef TARN_TESTS_A_STORY_H
#define TARN_TESTS_A_STORY_H

#include "daemon/core/state/fold.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct story {
    struct room room;
    struct state s;
    int64_t seq; /* of the entry told last */
};

#define STORY(name) cmocka_unit_test_setup_teardown(name, story_begin, story_end)

static inline int story_begin(void **ctx)
{
    struct story *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    *ctx = f;
    return 0;
}

static inline int story_end(void **ctx)
{
    struct story *f = *ctx;

    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* The same room, in which nothing has happened yet. */
static inline void story_again(struct story *f)
{
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
}

static inline int64_t tell(struct story *f, struct entry e)
{
    e.seq = ++f->seq;
    fold_entry(&f->s, &f->room, &e);
    return e.seq;
}

static inline struct entry amount(struct entry e, const char *product, double amount)
{
    name_it(e.amount[e.n_amounts].product, sizeof e.amount[0].product, product);
    e.amount[e.n_amounts++].amount = amount;
    return e;
}

/* A vine started on day 0 at 9, 18 L of 0.7 mS/cm. */
static inline void start(struct story *f, const char *name)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
}

/* … and its float, whose line is at 8 L, seen working on day 31. */
static inline void on_float(struct story *f, const char *name)
{
    start(f, name);
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(31, 9)));
}

/* A figure read at 9 of a day. */
static inline int64_t reads(struct story *f, const char *name, int day, enum figure figure,
                            double v)
{
    return tell(f, with(told_at(ENTRY_READING, name, "", at(day, 9)), figure, v));
}

/* Plain water in the reservoir up to its mark, at 9 of a day. */
static inline void fills(struct story *f, int day, double volume_l)
{
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, 9)), FIGURE_VOLUME_L,
                 volume_l));
}

static inline void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g within %g", got, want, within);
    }
}

#endif
