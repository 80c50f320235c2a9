/* a_working_room.h - the room of a_room.h with its journal and what it wants done,
 * for tests of jobs. Day 0 is 2026-03-01; no container has a day to start on. */
#ifndef TARN_TESTS_A_WORKING_ROOM_H
#define TARN_TESTS_A_WORKING_ROOM_H

#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/tasks/jobs.h"
#include "daemon/core/tasks/task_numbers.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct jobs jobs;      /* of the last job_of */
    struct agenda agenda;  /* of the last plan (a_planned_room.h) … */
    struct task_ends ends; /* … and what ended with it */
    bool today_stands;
};

/* For cmocka: the room with nothing told, and no day on which a container may be started. */
static inline int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    for (size_t i = 0; i < f->room.n_containers; i++) {
        f->room.container[i].start_on = DAY_NONE;
    }
    state_init(&f->s, &f->room);
    *ctx = f;
    return 0;
}

/* Ends all that a test left in the fixture. */
static inline int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    jobs_deinit(&f->jobs);
    task_ends_deinit(&f->ends);
    agenda_deinit(&f->agenda);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* A day of the tests as the calendar counts it: days since 1970. */
static inline int32_t day(int n)
{
    return 20513 + n;
}

/* The day of an instant, counted as `at` does: the room's clock is UTC. */
static inline int day_number(int64_t t_s)
{
    return (int)(t_s / DAY_S) - 20513;
}

/* Folds an entry as it is, without a number. */
static inline void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

/* A vine started at 9 of a day, 18 L of 0.7 mS/cm. */
static inline void start(struct fixture *f, const char *name, int on)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(on, 9)), FIGURE_EC_MS_CM, 0.7));
}

/* A vine started on day 0, its float seen working at 9 of that day. */
static inline void on_float(struct fixture *f, const char *name, int since)
{
    start(f, name, 0);
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(since, 9)));
}

/* Drained at 8 of a day, and refilled with the fruit recipe at 9. */
static inline void refill(struct fixture *f, const char *name, int on, double ec_ms_cm)
{
    tell(f, told_at(ENTRY_DRAINED, name, "", at(on, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, name, "fruit", at(on, 9)), FIGURE_EC_MS_CM, ec_ms_cm));
}

/* Plain water in the reservoir up to its mark, at 8 of a day. */
static inline void fill(struct fixture *f, int on, double volume_l)
{
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(on, 8)), FIGURE_VOLUME_L,
                 volume_l));
}

/* As if all plants were known to a tenth of what is in doubt of them at first: for rules that are
 * about days, and not about doubts. */
static inline void sure_of_all(struct fixture *f)
{
    for (size_t i = 0; i < f->s.n_containers; i++) {
        struct belief *b = &f->s.container[i].belief;

        for (size_t k = 0; k < BELIEF_N * BELIEF_N; k++) {
            b->v[k / BELIEF_N][k % BELIEF_N] *= 0.01;
        }
        b->appetite.var *= 0.01;
        f->s.container[i].wandered_s = f->s.latest_s;
    }
    f->s.common.var[ROOM_SIZE][ROOM_SIZE] *= 0.01;
    f->s.common.var[ROOM_PACE][ROOM_PACE] *= 0.01;
    f->s.wandered_s = f->s.latest_s;
}

/* Until a day; DAY_NONE: for this cycle. */
static inline void hold(struct fixture *f, enum entry_kind kind, const char *name, const char *word,
                        int32_t cycle, int32_t until_day, int64_t t_s)
{
    struct entry e = told_at(kind, name, word, t_s);

    e.cycle = cycle;
    e.until_day = until_day;
    tell(f, e);
}

/* The only days off are from one day to another, both taken in. */
static inline void nobody_works(struct fixture *f, int from, int to)
{
    free(f->room.labour.off);
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){day(from), day(to)};
    f->room.labour.n_off = 1;
}

/* The job of a kind about one thing; NULL when it wants none within four weeks of now. Of care the
 * first. Stands until it is called again. */
static inline const struct job *job_of(struct fixture *f, int64_t now_s, enum task_kind kind,
                                       const char *subject)
{
    struct subject s = room_find(&f->room, subject);

    jobs_deinit(&f->jobs);
    jobs_derive(&f->room, &f->s, now_s, 28, &f->jobs);
    for (size_t i = 0; i < f->jobs.n; i++) {
        const struct job *j = &f->jobs.job[i];

        if (j->kind == kind && j->subject.kind == s.kind && j->subject.at == s.at) {
            return j;
        }
    }
    return NULL;
}

/* The first task of a kind; NULL when there is none. Borrowed from the agenda. */
static inline const struct task *task_in(const struct agenda *a, enum task_kind kind)
{
    for (size_t i = 0; i < a->n; i++) {
        if (a->task[i].kind == kind) {
            return &a->task[i];
        }
    }
    return NULL;
}

#define assert_window(j, from, at_best, to)                                                        \
    do {                                                                                           \
        assert_non_null(j);                                                                        \
        assert_int_equal((j)->earliest, from);                                                     \
        assert_int_equal((j)->due, at_best);                                                       \
        assert_int_equal((j)->latest, to);                                                         \
    } while (0)

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

#endif
