/* A new solution of alkaline water stands for a night, and is dosed again before its seedling. */
#include "daemon/core/state/standing.h"
#include "tests/unit/a_working_room.h"

#include <math.h>

static void the_water_holds(struct fixture *f, double meq_l)
{
    report_water(&f->room, meq_l, 7.4);
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
}

static void begin(struct fixture *f, double ph)
{
    struct entry e = told_at(ENTRY_STARTED, "A1", "vine", at(0, 9));

    tell(f, with(with(with(e, FIGURE_VOLUME_L, 20), FIGURE_EC_MS_CM, 0.6), FIGURE_PH, ph));
}

static void set_again(struct fixture *f, double ph)
{
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(1, 9)), FIGURE_PH, ph));
}

static void the_second_dose_is_due_on_the_morrow(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    the_water_holds(f, 4);
    begin(f, 5.5);
    j = job_of(f, at(0, 10), TASK_PH, "A1");
    assert_window(j, day(1), day(2), day(3));
    assert_int_equal(j->done_on, day(0));
    assert_float_equal(j->volume_l, 20, 1e-9);
    assert_string_equal(j->loss, "with roots in it, it is set half a unit a day and no more");
    assert_null(job_of(f, at(0, 10), TASK_READ, "A1")); /* the dose is measured */
    assert_non_null(job_of(f, at(3, 10), TASK_PH, "A1"));
    assert_null(job_of(f, at(4, 10), TASK_PH, "A1")); /* its plant is in by now: it is read first */
    assert_non_null(job_of(f, at(4, 10), TASK_READ, "A1"));
    set_again(f, 5.5);
    assert_null(job_of(f, at(1, 10), TASK_PH, "A1"));
    assert_non_null(job_of(f, at(1, 10), TASK_READ, "A1"));
}

static void none_is_due_where_it_rests_in_its_band_or_nobody_knows(void **ctx)
{
    struct fixture *f = *ctx;

    the_water_holds(f, 0.1);
    begin(f, 5.8);
    assert_null(job_of(f, at(0, 10), TASK_PH, "A1"));
    the_water_holds(f, 4);
    begin(f, NAN); /* its pH was not told */
    assert_null(job_of(f, at(0, 10), TASK_PH, "A1"));
    the_water_holds(f, NAN);
    begin(f, 5.5);
    assert_null(job_of(f, at(0, 10), TASK_PH, "A1"));
}

/* Alkalinity does not leave with the gas, so the pH rises; and for good it rises to where roots
 * keep the gas up (root_gas.h). */
static void it_rises_while_its_gas_leaves(void **ctx)
{
    struct fixture *f = *ctx;
    struct dissolved now;
    struct dissolved tomorrow;

    the_water_holds(f, 4);
    begin(f, 5.5);
    now = standing_solution(&f->room, &f->s, A1, at(0, 9));
    tomorrow = standing_solution(&f->room, &f->s, A1, at(1, 9));
    assert_float_equal(balance_ph_closed(&now), 5.5, 1e-3);
    assert_float_equal(tomorrow.alkalinity_meq_l, now.alkalinity_meq_l, 1e-9);
    /* A day leaves 0.29 of the gas: the pH rises by log10(1 / 0.29) = 0.54, a little less by what
     * roots keep up. */
    assert_float_equal(balance_ph_closed(&tomorrow), 6.03, 0.04);
    tomorrow = standing_solution(&f->room, &f->s, A1, at(60, 9));
    assert_float_equal(balance_ph_closed(&tomorrow), f->s.container[A1].drift.from_ph, 1e-3);
}

/* Read on the way, it still comes to rest where it was to: the rise teaches nothing of the plant,
 * and the pH is set while somebody stands there. */
static void a_rise_while_gas_leaves_is_no_drift(void **ctx)
{
    struct fixture *f = *ctx;
    const struct ph_drift *drift;
    double rests;

    the_water_holds(f, 4);
    begin(f, 5.5);
    drift = &f->s.container[A1].drift;
    rests = drift->from_ph;
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(1, 9)), FIGURE_PH, 6.03));
    assert_float_equal(drift->from_ph, rests, 0.05);
    assert_float_equal(drift->own.mean, 0, 0.02);
    assert_non_null(job_of(f, at(1, 10), TASK_PH, "A1"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_second_dose_is_due_on_the_morrow),
        TEST(none_is_due_where_it_rests_in_its_band_or_nobody_knows),
        TEST(it_rises_while_its_gas_leaves),
        TEST(a_rise_while_gas_leaves_is_no_drift),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
