/* a_deed.h - a task in the small room, and what a person says of it. */
#ifndef TARN_TESTS_A_DEED_H
#define TARN_TESTS_A_DEED_H

#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/tell/deed.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct deed_fixture {
    struct room room;
    struct state s;
    struct job job[3];
    struct task task;
    struct told told[4];
    struct deed d;
    struct entries out;
    struct err err;
};

/* Folds an entry as it is, without a number. */
static inline void tell(struct deed_fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

/* For cmocka: the room of a_room.h, and ana, who tells now, on day 40 at 10, what she did. */
static inline int deed_set_up(void **ctx)
{
    struct deed_fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    f->d = (struct deed){.now_s = at(40, 10),
                         .happened_s = at(40, 10),
                         .uid = 1000,
                         .who = "ana",
                         .note = "",
                         .key = "",
                         .told = f->told};
    *ctx = f;
    return 0;
}

/* Ends the fixture, with the entries that came of the last deed. */
static inline int deed_tear_down(void **ctx)
{
    struct deed_fixture *f = *ctx;

    entries_deinit(&f->out);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* A task of `kind` about the first n containers. */
static inline void a_task(struct deed_fixture *f, enum task_kind kind, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        f->job[i] = (struct job){
            .kind = kind,
            .subject = {SUBJECT_CONTAINER, i},
            .cycle = 1,
            .earliest = 20550,
            .due = 20553,
            .latest = 20556,
            .recipe = LEAF_FEED,
            .ec_ms_cm = 1.1,
            .food_ms_cm = 1.05,
            .volume_l = 7.5
        };
    }
    f->task = (struct task){.id = 41,
                            .kind = kind,
                            .earliest = 20550,
                            .due = 20553,
                            .latest = 20556,
                            .job = f->job,
                            .n_jobs = n,
                            .recipe = LEAF_FEED,
                            .mix_ec_ms_cm = 1.1,
                            .mix_l = 7.5 * (double)n + 7};
}

/* One more figure of a subject ("" = of the task at large), at most four subjects. */
static inline void say(struct deed_fixture *f, const char *subject, enum figure figure,
                       double value)
{
    size_t i = 0;

    while (i < f->d.n_told && strcmp(f->told[i].subject, subject) != 0) {
        i++;
    }
    if (i == f->d.n_told) {
        f->d.n_told++;
        name_it(f->told[i].subject, sizeof f->told[i].subject, subject);
    }
    f->told[i].has |= FIGURE_BIT(figure);
    f->told[i].figure[figure] = value;
}

/* A vine started on day 0, its float seen working on day 30. */
static inline void on_float(struct deed_fixture *f, const char *name)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(30, 9)));
}

/* Acknowledges the task with what was said; what deed_ack gives. */
static inline int ack(struct deed_fixture *f)
{
    return deed_ack(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err);
}

/* What a change needs at large: 22 L of 1.15 mS/cm and pH 5.8. */
static inline void say_mix(struct deed_fixture *f)
{
    say(f, "", FIGURE_EC_MS_CM, 1.15);
    say(f, "", FIGURE_PH, 5.8);
    say(f, "", FIGURE_VOLUME_L, 22);
}

/* Fails unless the entries that came of the deed are of these n kinds, in this order. */
static inline void assert_kinds(const struct deed_fixture *f, const enum entry_kind *kind, size_t n)
{
    assert_int_equal(f->out.n, n);
    for (size_t i = 0; i < n; i++) {
        assert_string_equal(entry_kinds[f->out.entry[i].kind].word, entry_kinds[kind[i]].word);
    }
}

#define DEED_TEST(name) cmocka_unit_test_setup_teardown(name, deed_set_up, deed_tear_down)

#endif
