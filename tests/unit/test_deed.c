/* From what a person says was done to the entries that tell it; and the rules that no deed may
 * break. */

#include "daemon/base/err.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/tell/deed.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct job job[3];
    struct task task;
    struct told told[4];
    struct deed d;
    struct entries out;
    struct err err;
};

static void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

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

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    entries_deinit(&f->out);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* A task of `kind` about the first n containers. */
static void a_task(struct fixture *f, enum task_kind kind, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        f->job[i] = (struct job){
            .kind = kind,
            .subject = {SUBJECT_CONTAINER, i},
            .cycle = 1,
            .earliest = 20550,
            .due = 20553,
            .latest = 20556,
            .recipe = GROW,
            .ec_ms_cm = 1.1,
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
                            .recipe = GROW,
                            .mix_ec_ms_cm = 1.1,
                            .mix_l = 7.5 * (double)n + 7};
}

static void say(struct fixture *f, const char *subject, enum figure figure, double value)
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

static void on_float(struct fixture *f, const char *name)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(30, 9)));
}

static int ack(struct fixture *f)
{
    return deed_ack(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err);
}

static void say_mix(struct fixture *f)
{
    say(f, "", FIGURE_EC_MS_CM, 1.15);
    say(f, "", FIGURE_PH, 5.8);
    say(f, "", FIGURE_VOLUME_L, 22);
}

static void assert_kinds(const struct fixture *f, const enum entry_kind *kind, size_t n)
{
    assert_int_equal(f->out.n, n);
    for (size_t i = 0; i < n; i++) {
        assert_string_equal(entry_kinds[f->out.entry[i].kind].word, entry_kinds[kind[i]].word);
    }
}

static void a_change_tells_the_mix_each_drain_and_refill_and_the_rinse(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {
        ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,          ENTRY_REFILLED,
        ENTRY_DRAINED,      ENTRY_REFILLED, ENTRY_RESERVOIR_RINSED, ENTRY_RESERVOIR_FILLED};
    const struct entry *mix;
    const struct entry *refill;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    say(f, "", FIGURE_ADDED_L, 80);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, sizeof kinds / sizeof *kinds);
    mix = &f->out.entry[1];
    assert_string_equal(mix->what, "grow");
    assert_int_equal(mix->n_amounts, 2);
    assert_string_equal(mix->amount[0].product, "grow-a");
    /* 22 L from 0.05 to the 1.10 of the task; 4 mL/L give 2.0: 22 * 4 * 1.05 / 2.0 = 46.2 mL, and
     * the cylinder shows 2 mL */
    assert_true(fabs(mix->amount[0].amount - 46) < 1e-9);
    refill = &f->out.entry[3];
    assert_true(refill->figure[FIGURE_VOLUME_L] == 8);
    assert_true(refill->figure[FIGURE_EC_MS_CM] < 1.15); /* half a litre of the old is in it */
    assert_int_equal(refill->task, 41);
    assert_string_equal(refill->who, "ana");
}

static void a_change_in_parts_needs_its_figures_once_and_rinses_at_the_end(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind first[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                            ENTRY_REFILLED};
    static const enum entry_kind second[] = {ENTRY_ACKNOWLEDGED, ENTRY_DRAINED, ENTRY_REFILLED,
                                             ENTRY_RESERVOIR_RINSED};
    const char *only[] = {"A2"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    f->d.only = only;
    f->d.n_only = 1;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, first, 4);
    assert_string_equal(f->out.entry[3].subject, "A2");
    for (size_t i = 0; i < f->out.n; i++) {
        tell(f, f->out.entry[i]);
    }
    entries_deinit(&f->out);
    a_task(f, TASK_CHANGE, 1);
    f->d.only = NULL;
    f->d.n_only = 0;
    f->d.n_told = 0;
    assert_int_equal(ack(f), 0);
    assert_kinds(f, second, 4);
}

static void what_a_mix_leaves_for_a_stronger_one_is_not_rinsed_away(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind weaker[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                             ENTRY_REFILLED};
    static const enum entry_kind stronger[] = {ENTRY_ACKNOWLEDGED, ENTRY_MIX_MADE, ENTRY_DRAINED,
                                               ENTRY_REFILLED, ENTRY_RESERVOIR_RINSED};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 1);
    f->task.leaves_rest = true;
    say_mix(f); /* 22 L at 1.15 */
    assert_int_equal(ack(f), 0);
    assert_kinds(f, weaker, sizeof weaker / sizeof *weaker);
    for (size_t i = 0; i < f->out.n; i++) {
        tell(f, f->out.entry[i]);
    }
    assert_true(f->s.reservoir.holds_mix);
    assert_true(fabs(f->s.reservoir.body.volume_l - 14.5) < 1e-9);
    entries_deinit(&f->out);

    a_task(f, TASK_CHANGE, 2);
    f->task.job[0] = f->task.job[1];
    f->task.n_jobs = 1;
    f->task.id = 42;
    f->task.mix_ec_ms_cm = 1.5; /* of 22 L again, of which 14.5 are at 1.15 */
    f->d.n_told = 0;
    say(f, "", FIGURE_EC_MS_CM, 1.5);
    say(f, "", FIGURE_PH, 5.8);
    say(f, "", FIGURE_VOLUME_L, 29);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, stronger, sizeof stronger / sizeof *stronger);
    /* half of the 29 L at 1.15, half at 0.05: 29 * 4 * (1.5 - 0.6) mL for each mS/cm that the
     * recipe gives, which the first mix has taught; the cylinder shows 2 mL */
    assert_true(fabs(f->out.entry[1].amount[0].amount - 104.4 / f->s.recipe[0].gain.value) <= 1);
}

static void what_was_drained_is_told_with_its_strength(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    say_mix(f);
    say(f, "A2", FIGURE_WAS_MS_CM, 0.6);
    assert_int_equal(ack(f), 0);
    assert_false(entry_has(&f->out.entry[1], FIGURE_WAS_MS_CM)); /* the mix */
    assert_false(entry_has(&f->out.entry[2], FIGURE_WAS_MS_CM)); /* A1 is drained */
    assert_false(entry_has(&f->out.entry[5], FIGURE_WAS_MS_CM)); /* A2 is refilled */
    assert_int_equal(f->out.entry[4].kind, ENTRY_DRAINED);
    assert_string_equal(f->out.entry[4].subject, "A2");
    assert_true(f->out.entry[4].figure[FIGURE_WAS_MS_CM] == 0.6);
}

static void what_stands_drained_was_of_no_strength(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "A1", FIGURE_WAS_MS_CM, 0.6);
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.msg, "A1 was drained already; was=… is told when it is drained");
}

static void a_bump_is_reckoned_from_what_it_was(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_BUMP, 1);
    say(f, "A1", FIGURE_WAS_MS_CM, 0.5);
    say(f, "A1", FIGURE_EC_MS_CM, 0.3);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.msg, "a bump cannot weaken A1: 0.30 mS/cm after it, 0.50 mS/cm "
                                    "before; say so if you are sure");
    f->told[0].figure[FIGURE_EC_MS_CM] = 1.1;
    assert_int_equal(ack(f), 0);
    /* 8 L from 0.5 to the task's 1.1, and 4 mL/L give 2.0 mS/cm: 8 * 4 * 0.6 / 2.0 = 9.6 mL */
    assert_true(fabs(f->out.entry[1].amount[0].amount - 9.6) < 0.11);
}

static void a_change_by_hand_leaves_the_reservoir_alone(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_DRAINED, ENTRY_REFILLED};

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    f->task.by_hand = true;
    say(f, "", FIGURE_EC_MS_CM, 1.1);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, sizeof kinds / sizeof *kinds);
    assert_int_equal(f->out.entry[2].n_amounts, 2); /* 7.5 L: 7.5 * 4 * 1.05 / 2.0 = 15.75 mL */
    assert_true(fabs(f->out.entry[2].amount[0].amount - 15.8) < 0.1);
    assert_true(f->out.entry[2].figure[FIGURE_VOLUME_L] == 8);
}

static void a_change_without_its_figures_names_what_is_missing(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say(f, "", FIGURE_EC_MS_CM, 1.15);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.field, "ph");
    assert_string_equal(f->err.msg, "task 41 (change) needs ph=… for the mix");
    assert_null(f->out.entry);
}

static void a_mix_far_from_its_strength_wants_a_sure_word(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "", FIGURE_EC_MS_CM, 2.4);
    assert_int_equal(ack(f), ERR_UNSURE);
    assert_string_equal(f->err.msg, "the mix was to be 1.10 mS/cm, and 2.40 mS/cm is far from it; "
                                    "say so if you are sure");
    f->d.sure = true;
    assert_int_equal(ack(f), 0);
}

static void no_one_refills_above_the_float_line_sure_or_not(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    say_mix(f);
    say(f, "A1", FIGURE_VOLUME_L, 9);
    f->d.sure = true;
    assert_int_equal(ack(f), ERR_REFUSED);
    assert_string_equal(f->err.msg, "9.0 L in A1 would drown its air roots: it must not rise above "
                                    "8.0 L, the float line");
    assert_null(f->out.entry);
}

static void no_one_tops_up_above_the_float_line_by_hand(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_ADDED_L, 1);
    f->d.sure = true;
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_TOPPED_UP, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_non_null(strstr(f->err.msg, "drown its air roots"));
}

static void a_drawdown_is_not_topped_up_once_it_has_air_roots(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(20, 9)), FIGURE_EC_MS_CM, 0.7));
    say(f, "A1", FIGURE_ADDED_L, 0.5);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_TOPPED_UP, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_non_null(strstr(f->err.msg, "the level it has now"));
}

static void a_refill_without_a_drain_is_refused(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_EC_MS_CM, 1.1);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_REFILLED, &f->d, &f->out, &f->err),
                     ERR_REFUSED);
    assert_string_equal(f->err.msg, "A1 was not drained since its last filling; tell that it was "
                                    "drained first");
}

static void a_reading_task_takes_the_figures_of_each_and_leaves_the_rest_open(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_READING, ENTRY_READING};

    on_float(f, "A1");
    on_float(f, "A2");
    on_float(f, "A3");
    a_task(f, TASK_READ, 3);
    say(f, "A1", FIGURE_EC_MS_CM, 1.2);
    say(f, "A3", FIGURE_PH, 6.0);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3);
    assert_string_equal(f->out.entry[1].subject, "A1");
    assert_string_equal(f->out.entry[2].subject, "A3");
}

static void a_reading_at_large_of_many_is_asked_back(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_READ, 2);
    say(f, "", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), ERR_MISSING);
    assert_string_equal(f->err.msg,
                        "task 41 (read) is about 2 things: say whose figures these are");
}

static void a_figure_of_a_stranger_is_refused(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_READ, 1);
    say(f, "L1", FIGURE_EC_MS_CM, 1.2);
    assert_int_equal(ack(f), ERR_UNKNOWN);
    assert_string_equal(f->err.msg, "task 41 (read) is not about 'L1'");
}

static void a_start_is_told_with_the_doses_of_its_recipe(void **ctx)
{
    struct fixture *f = *ctx;
    const struct entry *e;

    a_task(f, TASK_START, 1);
    say(f, "", FIGURE_EC_MS_CM, 0.7);
    assert_int_equal(ack(f), 0);
    e = &f->out.entry[1];
    assert_string_equal(e->what, "vine");
    assert_true(e->figure[FIGURE_VOLUME_L] == 18);
    /* 18 L from 0.05 to the 1.10 of the task; 4 mL/L give 2.0: 18 * 4 * 1.05 / 2.0 = 37.8 mL, and
     * the syringe shows 0.2 mL */
    assert_true(fabs(e->amount[0].amount - 37.8) < 1e-9);
}

static void what_cannot_be_is_refused_and_what_is_strange_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    say(f, "A1", FIGURE_PH, 15);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_RANGE);
    say(f, "A1", FIGURE_PH, 9.4);
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err),
                     ERR_UNSURE);
    assert_string_equal(f->err.field, "ph");
    f->d.sure = true;
    assert_int_equal(deed_record(&f->room, &f->s, ENTRY_READING, &f->d, &f->out, &f->err), 0);
}

static void a_harvest_of_what_grows_is_told_with_its_cleaning(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_ACKNOWLEDGED, ENTRY_HARVESTED, ENTRY_CLEANED};

    on_float(f, "A1");
    a_task(f, TASK_HARVEST, 1);
    say(f, "", FIGURE_YIELD_G, 900);
    assert_int_equal(ack(f), 0);
    assert_kinds(f, kinds, 3);
    assert_string_equal(f->out.entry[1].what, "final");
}

static void putting_off_beyond_the_window_needs_a_reason(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20555, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20555);
    assert_string_equal(f->out.entry[0].what, "change");
    entries_deinit(&f->out);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20558, &f->d, &f->out, &f->err),
                     ERR_MISSING);
    assert_string_equal(f->err.field, "why");
    f->d.note = "the pump is away";
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20558, &f->d, &f->out, &f->err), 0);
    entries_deinit(&f->out);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20552, &f->d, &f->out, &f->err),
                     ERR_RANGE);
}

static void dropping_needs_a_reason_and_rests_the_job(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), ERR_MISSING);
    f->d.note = "harvested early";
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20513 + 40 + 7); /* a solution's shortest life */
}

static void a_void_is_not_voided_and_nothing_is_voided_twice(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 0));

    e.seq = 9;
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), ERR_MISSING);
    f->d.note = "wrong container";
    assert_int_equal(deed_void(&e, true, &f->d, &f->out, &f->err), ERR_REFUSED);
    assert_string_equal(f->err.msg, "entry 9 was voided already");
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].voids, 9);
    e.kind = ENTRY_VOIDED;
    entries_deinit(&f->out);
    assert_int_equal(deed_void(&e, false, &f->d, &f->out, &f->err), ERR_REFUSED);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_change_tells_the_mix_each_drain_and_refill_and_the_rinse),
        TEST(a_change_in_parts_needs_its_figures_once_and_rinses_at_the_end),
        TEST(what_a_mix_leaves_for_a_stronger_one_is_not_rinsed_away),
        TEST(what_was_drained_is_told_with_its_strength),
        TEST(what_stands_drained_was_of_no_strength),
        TEST(a_bump_is_reckoned_from_what_it_was),
        TEST(a_change_by_hand_leaves_the_reservoir_alone),
        TEST(a_change_without_its_figures_names_what_is_missing),
        TEST(a_mix_far_from_its_strength_wants_a_sure_word),
        TEST(no_one_refills_above_the_float_line_sure_or_not),
        TEST(no_one_tops_up_above_the_float_line_by_hand),
        TEST(a_drawdown_is_not_topped_up_once_it_has_air_roots),
        TEST(a_refill_without_a_drain_is_refused),
        TEST(a_reading_task_takes_the_figures_of_each_and_leaves_the_rest_open),
        TEST(a_reading_at_large_of_many_is_asked_back),
        TEST(a_figure_of_a_stranger_is_refused),
        TEST(a_start_is_told_with_the_doses_of_its_recipe),
        TEST(what_cannot_be_is_refused_and_what_is_strange_is_asked_about),
        TEST(a_harvest_of_what_grows_is_told_with_its_cleaning),
        TEST(putting_off_beyond_the_window_needs_a_reason),
        TEST(dropping_needs_a_reason_and_rests_the_job),
        TEST(a_void_is_not_voided_and_nothing_is_voided_twice),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
