/* What the plan of the changes costs, how near that is to the least, and what another
 * day would cost. */
#include "daemon/base/mem.h"
#include "daemon/core/tasks/plan_costs.h"

#include "daemon/core/tasks/change_plan.h"
#include "tests/unit/a_planned_room.h"

/* Two that share a mix, as planned on day 36. */
static int set_up_two(void **ctx)
{
    int rc = set_up_planned(ctx);
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    agenda_derive(&f->room, &f->s, at(36, 7), 28, NULL, false, &f->agenda);
    return rc;
}
#define TWO(name) cmocka_unit_test_setup_teardown(name, set_up_two, tear_down)

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
    const struct task *t = task_in(&f->agenda, TASK_CHANGE);
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

/* Planned on the first day of its window, 37 to 44: six days behind it are offered, and none that
 * is past or before the window. */
static void a_change_on_its_first_day_has_the_six_days_after_it(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t = task_in(&f->agenda, TASK_CHANGE);
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;

    assert_int_equal(t->earliest, day(37));
    f->agenda.task[t - f->agenda.task].on = day(37);
    assert_int_equal(plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other),
                     6);
    for (int i = 0; i < 6; i++) {
        assert_int_equal(other[i].day, day(38 + i));
    }
    f->agenda.task[t - f->agenda.task].on = day(44); /* its last: a day late is shown too */
    assert_int_equal(plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other),
                     4);
    assert_int_equal(other[0].day, day(41)); /* three days before */
    assert_int_equal(other[2].day, day(43));
    assert_int_equal(other[3].day, day(45));
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

/* The change of a day that costs least: any other day within reach costs more, and
 * the further it is from the last day that serves, the more. A1 and A2 are both to be
 * changed from day 37 to day 44. */
static void the_other_days_are_those_of_the_window_and_one_after(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t = task_in(&f->agenda, TASK_CHANGE);
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;
    size_t n = plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other);
    size_t found = 0;

    assert_true(is.valid && is.open_days == 1);
    for (int32_t day = t->on - 3; day <= t->on + 6; day++) {
        bool serves = day != t->on && day >= t->earliest && day <= t->latest + 1;

        if (serves && found < n) {
            assert_int_equal(other[found].day, day);
            found++;
        }
    }
    assert_int_equal(found, n);
    assert_true(n == PLAN_COSTS_DAYS_MAX || other[n - 1].day == t->latest + 1);
}

/* Of the eight other days from 37 to 45 that serve beside day 39, as many as a screen has room
 * for, and none is written behind them. */
static void more_days_than_there_is_room_for_are_left_out(void **ctx)
{
    struct fixture *f = *ctx;
    struct other_day other[PLAN_COSTS_DAYS_MAX + 1] = {0};
    struct plan_amounts is;
    int32_t last = 0;

    for (size_t i = 0; i < f->agenda.n; i++) {
        struct task *t = &f->agenda.task[i];

        if (t->kind == TASK_CHANGE) {
            t->on = t->earliest + 2;
            last = t->earliest + 6;
        }
    }
    assert_int_equal(plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda,
                                           task_in(&f->agenda, TASK_CHANGE), &is, other),
                     PLAN_COSTS_DAYS_MAX);
    assert_int_equal(other[PLAN_COSTS_DAYS_MAX - 1].day, last);
    assert_int_equal(other[PLAN_COSTS_DAYS_MAX].day, 0);
}

static void a_day_off_or_past_is_no_other_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t = task_in(&f->agenda, TASK_CHANGE);
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;
    size_t n;

    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){t->on - 1, t->on - 1};
    f->room.labour.n_off = 1;
    n = plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other);
    assert_true(n > 0);
    for (size_t i = 0; i < n; i++) {
        assert_int_not_equal(other[i].day, t->on - 1);
    }
    n = plan_costs_other_days(&f->room, &f->s, (t->on - 1) * DAY_S + 7 * 3600, &f->agenda, t, &is,
                              other);
    for (size_t i = 0; i < n; i++) {
        assert_true(other[i].day > t->on - 1);
    }
}

/* A day late costs so much for each container as the planner takes a late day to cost. */
static void a_day_later_costs_what_a_late_day_costs(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t = task_in(&f->agenda, TASK_CHANGE);
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;
    size_t n = plan_costs_other_days(&f->room, &f->s, at(36, 7), &f->agenda, t, &is, other);
    bool seen = false;

    for (size_t i = 0; i < n; i++) {
        const struct other_day *o = &other[i];
        double dearer =
            plan_usual_cost.late_per_day * (o->sum.late_days - is.late_days) +
            plan_usual_cost.early_per_day * (o->sum.early_days - is.early_days) +
            plan_usual_cost.plain_per_l * (o->sum.plain_l - is.plain_l) +
            plan_usual_cost.short_per_l * (o->sum.short_l - is.short_l) +
            plan_usual_cost.deviation_per_pct * (o->sum.deviation_pct - is.deviation_pct);

        assert_float_equal(o->dearer, dearer, 1e-6);
        assert_float_equal(o->sum.moved, 0, 0); /* that it moves is what was asked for */
        seen = seen || o->sum.late_days > 0;
    }
    assert_true(seen);
}

/* Today's list is worked as it stands, whatever becomes of another task. */
static void what_is_on_todays_list_does_not_move_for_another(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *moved = NULL;
    struct other_day other[PLAN_COSTS_DAYS_MAX];
    struct plan_amounts is;
    size_t n;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(36, 8)));
    on_float(f, "A3", 36); /* from 43 to 50 */
    tell(f, told_at(ENTRY_STAGE_SEEN, "A3", "fruiting", at(36, 9)));
    agenda_deinit(&f->agenda);
    agenda_derive(&f->room, &f->s, at(44, 7), 28, NULL, false, &f->agenda);
    for (size_t i = 0; i < f->agenda.n; i++) {
        const struct task *t = &f->agenda.task[i];

        moved = t->kind == TASK_CHANGE && t->on > 20513 + 44 ? t : moved;
    }
    assert_int_equal(task_in(&f->agenda, TASK_CHANGE)->on,
                     20513 + 44); /* the last day of A1 and A2 */
    if (moved) {
        n = plan_costs_other_days(&f->room, &f->s, at(44, 7), &f->agenda, moved, &is, other);
        for (size_t i = 0; i < n; i++) {
            assert_float_equal(other[i].sum.late_days - is.late_days,
                               other[i].day > moved->due ? other[i].day - moved->due : 0, 1e-9);
        }
    }
}

/* On a day that a person chose the plan costs more than it need: by as much as the
 * other plan shows at least, and not by much more, since the bound is near. */
static void a_plan_that_was_moved_has_a_gap(void **ctx)
{
    struct fixture *f = *ctx;
    struct plan_cost cost = change_plan_cost(&f->room);
    struct plan_amounts is = plan_costs_now(&f->room, &f->s, at(36, 7), &f->agenda);
    double good = plan_price(&cost, &is);
    struct plan_amounts then;
    double gap;
    double known;

    assert_true(plan_costs_gap_pct(&f->room, &f->s, at(36, 7), &f->agenda) >= 0);
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == TASK_CHANGE) {
            f->agenda.task[i].on = 20513 + 46; /* two days late for two containers */
        }
    }
    then = plan_costs_now(&f->room, &f->s, at(36, 7), &f->agenda);
    assert_float_equal(then.late_days, 2 * 2, 1e-9);
    gap = plan_costs_gap_pct(&f->room, &f->s, at(36, 7), &f->agenda);
    known = 100 * (plan_price(&cost, &then) - good) / good;
    assert_true(known > 5 && gap > known / 2 && gap < 2 * known);
}

static void a_task_of_yesterday_is_counted_as_of_today(void **ctx)
{
    struct fixture *f = *ctx;
    struct plan_amounts is;

    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == TASK_CHANGE) {
            f->agenda.task[i].on = 20513 + 44;
        }
    }
    is = plan_costs_now(&f->room, &f->s, at(46, 7), &f->agenda);
    assert_true(is.valid);
    assert_float_equal(is.late_days, 2 * 2, 1e-9);
}

/* Each mix of a day is a filling of its own; a day is opened once. */
static void two_mixes_of_a_day_are_two_fillings(void **ctx)
{
    struct fixture *f = *ctx;
    struct plan_amounts is;

    tell(f, told_at(ENTRY_STAGE_SEEN, "A2", "fruiting", at(36, 8))); /* another recipe */
    agenda_deinit(&f->agenda);
    agenda_derive(&f->room, &f->s, at(44, 7), 28, NULL, false, &f->agenda);
    is = plan_costs_now(&f->room, &f->s, at(44, 7), &f->agenda);
    assert_true(is.valid);
    assert_float_equal(is.open_days, 1, 0);
    assert_float_equal(is.fillings, 2, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TWO(a_plan_is_counted),
        TWO(one_mix_for_two_is_the_best_there_is),
        TWO(a_room_without_changes_has_no_gap),
        TWO(another_day_is_later_or_earlier_for_both),
        TWO(a_change_on_its_first_day_has_the_six_days_after_it),
        TWO(a_look_at_a_level_has_no_other_day),
        TWO(the_other_days_are_those_of_the_window_and_one_after),
        TWO(more_days_than_there_is_room_for_are_left_out),
        TWO(a_day_off_or_past_is_no_other_day),
        TWO(a_day_later_costs_what_a_late_day_costs),
        TWO(what_is_on_todays_list_does_not_move_for_another),
        TWO(a_plan_that_was_moved_has_a_gap),
        TWO(a_task_of_yesterday_is_counted_as_of_today),
        TWO(two_mixes_of_a_day_are_two_fillings),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
