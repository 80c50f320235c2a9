/* a_planned_room.h - the room of a_room.h with its plan, which is made anew as days go by,
 * for tests of tasks. Day 0 is 2026-03-01, on which every container may be started. */
#ifndef TARN_TESTS_A_PLANNED_ROOM_H
#define TARN_TESTS_A_PLANNED_ROOM_H

#include "tests/unit/a_working_room.h"

/* For cmocka: as set_up, but every container may be started on day 0. */
static inline int set_up_planned(void **ctx)
{
    int rc = set_up(ctx);
    struct fixture *f = *ctx;

    for (size_t i = 0; i < f->room.n_containers; i++) {
        f->room.container[i].start_on = day(0);
    }
    f->agenda.next_id = 1;
    return rc;
}

/* The plan of that instant in the place of the last, with what ended in f->ends. Tasks and ends
 * that a test holds are gone with it. */
static inline void plan(struct fixture *f, int64_t now_s)
{
    struct agenda fresh;

    task_ends_deinit(&f->ends);
    agenda_derive(&f->room, &f->s, now_s, 28, &f->agenda, f->today_stands, &fresh);
    task_numbers_carry_over(&f->room, &f->s, now_s, &f->agenda, &fresh, &f->ends);
    agenda_deinit(&f->agenda);
    f->agenda = fresh;
}

/* The first task of a kind; NULL when there is none. Stands until the next plan. */
static inline const struct task *task_of(const struct fixture *f, enum task_kind kind)
{
    return task_in(&f->agenda, kind);
}

/* What became of the task with that number at the last plan; NULL when it goes on. */
static inline const struct task_end *end_of(const struct fixture *f, int64_t id)
{
    for (size_t i = 0; i < f->ends.n; i++) {
        if (f->ends.end[i].id == id) {
            return &f->ends.end[i];
        }
    }
    return NULL;
}

/* A mix of the young recipe told, for a task (0 = none). */
static inline void mix(struct fixture *f, int64_t t_s, double volume_l, double ec_ms_cm,
                       int64_t task)
{
    struct entry e = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", t_s);

    e.task = task;
    tell(f, with(with(e, FIGURE_VOLUME_L, volume_l), FIGURE_EC_MS_CM, ec_ms_cm));
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

/* How many tasks of a kind there are. */
static inline size_t count_of(const struct fixture *f, enum task_kind kind)
{
    size_t n = 0;

    for (size_t i = 0; i < f->agenda.n; i++) {
        n += f->agenda.task[i].kind == kind;
    }
    return n;
}

#undef TEST
#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up_planned, tear_down)

#endif
