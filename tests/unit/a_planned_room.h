/* a_planned_room.h - the room of a_room.h with its plan, which is made anew as days go by,
 * for tests of tasks. Day 0 is 2026-03-01, on which every container may be started. */
#ifndef TARN_TESTS_A_PLANNED_ROOM_H
#define TARN_TESTS_A_PLANNED_ROOM_H

#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/work/task_numbers.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct agenda agenda;
    struct task_ends ends; /* of the last plan */
    bool today_stands;
};

static inline int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    f->agenda.next_id = 1;
    *ctx = f;
    return 0;
}

static inline int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    task_ends_deinit(&f->ends);
    agenda_deinit(&f->agenda);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

static inline void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static inline void plan(struct fixture *f, int64_t now_s)
{
    struct agenda fresh;

    task_ends_deinit(&f->ends);
    agenda_derive(&f->room, &f->s, now_s, 28, &f->agenda, f->today_stands, &fresh);
    task_numbers_carry_over(&f->room, &f->s, now_s, &f->agenda, &fresh, &f->ends);
    agenda_deinit(&f->agenda);
    f->agenda = fresh;
}

static inline const struct task *task_of(const struct fixture *f, enum task_kind kind)
{
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == kind) {
            return &f->agenda.task[i];
        }
    }
    return NULL;
}

static inline const struct task_end *end_of(const struct fixture *f, int64_t id)
{
    for (size_t i = 0; i < f->ends.n; i++) {
        if (f->ends.end[i].id == id) {
            return &f->ends.end[i];
        }
    }
    return NULL;
}

static inline void start(struct fixture *f, const char *name, int64_t t_s)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", t_s), FIGURE_EC_MS_CM, 0.7));
}

static inline void on_float(struct fixture *f, const char *name)
{
    start(f, name, at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(30, 9)));
}

static inline int32_t day(int n)
{
    return 20513 + n;
}

static inline void refill(struct fixture *f, const char *name, int on, double ec_ms_cm)
{
    tell(f, told_at(ENTRY_DRAINED, name, "", at(on, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, name, "fruit", at(on, 9)), FIGURE_EC_MS_CM, ec_ms_cm));
}

static inline void fill(struct fixture *f, int on, double volume_l)
{
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(on, 8)), FIGURE_VOLUME_L,
                 volume_l));
}

static inline void mix(struct fixture *f, int64_t t_s, double volume_l, double ec_ms_cm,
                       int64_t task)
{
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "grow", t_s);

    e.task = task;
    tell(f, with(with(e, FIGURE_VOLUME_L, volume_l), FIGURE_EC_MS_CM, ec_ms_cm));
}

static inline void nobody_works(struct fixture *f, int from, int to)
{
    free(f->room.labour.off);
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){day(from), day(to)};
    f->room.labour.n_off = 1;
}

/* The task of a kind that a subject stands in; NULL when there is none. */
static inline const struct task *task_with(const struct fixture *f, enum task_kind kind,
                                           const char *subject)
{
    struct subject s = room_find(&f->room, subject);

    for (size_t i = 0; i < f->agenda.n; i++) {
        const struct task *t = &f->agenda.task[i];

        for (size_t k = 0; t->kind == kind && k < t->n_jobs; k++) {
            if (t->job[k].subject.kind == s.kind && t->job[k].subject.at == s.at) {
                return t;
            }
        }
    }
    return NULL;
}

static inline size_t count_of(const struct fixture *f, enum task_kind kind)
{
    size_t n = 0;

    for (size_t i = 0; i < f->agenda.n; i++) {
        n += f->agenda.task[i].kind == kind;
    }
    return n;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

#endif
