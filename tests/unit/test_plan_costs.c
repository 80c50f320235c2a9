/* What the plan of the changes costs, how near that is to the least, and what another day would cost. */
#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/work/plan_costs.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <math.h>
#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct agenda agenda;
};

static void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static void on_float(struct fixture *f, const char *name, int day)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(day, 9)));
}

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    agenda_derive(&f->room, &f->s, at(36, 7), 28, NULL, false, &f->agenda);
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    agenda_deinit(&f->agenda);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

static const struct task *change_of(const struct agenda *a)
{
    for (size_t i = 0; i < a->n; i++) {
        if (a->task[i].kind == TASK_CHANGE) {
            return &a->task[i];
        }
    }
    fail_msg("no change is planned");
    return NULL;
}

static void a_plan_is_counted(void **ctx)
{
    struct fixture *f = *ctx;
    struct plan_amounts sum = plan_costs_now(&f->room, &f->s, at(36, 7), &f->agenda);

    assert_true(sum.valid);
    assert_float_equal(sum.open_days, 1, 0);
    assert_float_equal(sum.fillings, 1, 0);
    assert_float_equal(sum.minutes, 25 + 15 + 2 * 6, 1e-9); /* changeover, load, two containers */
}

static void one_mix_for_two_is_the_best_there_is(void **ctx)
{
    struct fixture *f = *ctx;

    assert_true(plan_costs_gap_pct(&f->room, &f->s, at(36, 7), &f->agenda) < 1);
}

static void a_room_without_changes_has_no_gap(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda none = {0};

    assert_true(isnan(plan_costs_gap_pct(&f->room, &f->s, at(36, 7), &none)));
    assert_true(plan_costs_now(&f->room, &f->s, at(36, 7), &none).valid);
}

static void another_day_is_later_or_earlier_for_both(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t = change_of(&f->agenda);
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;
    size_t n = plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other);

    assert_true(n > 0);
    for (size_t i = 0; i < n; i++) {
        int32_t late = other[i].day - t->due;

        assert_int_not_equal(other[i].day, t->on);
        assert_true(other[i].dearer >= -1e-9);
        assert_float_equal(other[i].sum.late_days, 2.0 * (late > 0 ? late : 0), 1e-9);
        assert_float_equal(other[i].sum.open_days, is.open_days, 0);
    }
}

static void a_look_at_a_level_has_no_other_day(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j = {.kind = TASK_CHECK};
    struct task t = {.kind = TASK_CHECK, .job = &j, .n_jobs = 1};
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;

    assert_int_equal(plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, &t, &is, other),
                     0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_plan_is_counted),
        TEST(one_mix_for_two_is_the_best_there_is),
        TEST(a_room_without_changes_has_no_gap),
        TEST(another_day_is_later_or_earlier_for_both),
        TEST(a_look_at_a_level_has_no_other_day),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
