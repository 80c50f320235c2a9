/* What the fold makes of what was told. Numbers follow from the invented room of a_room.h. */

#include "daemon/base/text.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/state.h"
#include "tests/unit/a_told_room.h"

static void start_at(struct fixture *f, const char *name, const char *crop, int64_t t_s)
{
    tell(f, with(told_at(ENTRY_STARTED, name, crop, t_s), FIGURE_EC_MS_CM, 0.7));
}

static void a_start_fills_to_the_start_line_with_the_weak_solution(void **ctx)
{
    struct fixture *f = *ctx;
    const struct container_state *a1 = &f->s.container[A1];

    start_at(f, "A1", "vine", at(0, 9));
    assert_int_equal(a1->condition, CONDITION_DRAWDOWN);
    assert_int_equal(a1->crop, VINE);
    assert_int_equal(a1->planting, 1);
    assert_int_equal(a1->solution, 1);
    assert_true(a1->body.volume_l == 18);
    assert_true(a1->body.ec_ms_cm == 0.7);
    assert_true(a1->strength_ms_cm == 0.7);
}

static void a_look_that_finds_the_float_working_puts_the_level_on_its_line(void **ctx)
{
    struct fixture *f = *ctx;

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(20, 9)));
    assert_int_equal(f->s.container[A1].condition, CONDITION_ON_FLOAT);
    assert_true(f->s.container[A1].body.volume_l == 8);
    assert_int_equal(f->s.container[A1].float_s, at(20, 9));
    assert_int_equal(forecast_float_s(&f->room, &f->s, A1), at(20, 9));
}

static void a_look_that_finds_no_float_yet_puts_the_forecast_off(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s;

    start_at(f, "A1", "vine", at(0, 9));
    float_s = forecast_float_s(&f->room, &f->s, A1);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", float_s + DAY_S));
    assert_int_equal(f->s.container[A1].condition, CONDITION_DRAWDOWN);
    assert_true(forecast_float_s(&f->room, &f->s, A1) > float_s + 2 * DAY_S);
}

static void a_level_above_the_line_before_the_float_was_seen_is_drawdown_again(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t late_s;

    start_at(f, "A1", "vine", at(0, 9));
    late_s = forecast_float_s(&f->room, &f->s, A1) + DAY_S;
    assert_int_equal(forecast_container(&f->room, &f->s, A1, late_s).condition, CONDITION_ON_FLOAT);
    tell(f, with(told_at(ENTRY_READING, "A1", "", late_s), FIGURE_VOLUME_L, 11));
    assert_int_equal(f->s.container[A1].condition, CONDITION_DRAWDOWN);
    assert_true(f->s.container[A1].body.volume_l == 11);
}

static void a_reading_keeps_what_was_measured_and_when(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(3, 9)), FIGURE_EC_MS_CM, 0.8);

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, with(e, FIGURE_PH, 6.1));
    assert_true(f->s.container[A1].ec.value == 0.8);
    assert_int_equal(f->s.container[A1].ec.at_s, at(3, 9));
    assert_true(f->s.container[A1].ph.value == 6.1);
    assert_true(f->s.container[A1].body.ec_ms_cm == 0.8);
}

static void a_change_begins_a_new_solution_on_the_float_line(void **ctx)
{
    struct fixture *f = *ctx;
    const struct container_state *a1 = &f->s.container[A1];

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(28, 9)));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    assert_true(a1->drained);
    assert_true(a1->body.volume_l == 0.5);
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.1));
    assert_false(a1->drained);
    assert_int_equal(a1->solution, 2);
    assert_true(a1->body.volume_l == 8);
    /* But for what had gathered in the half litre that stayed. */
    assert_float_equal(a1->strength_ms_cm, 1.1, 0.01);
    assert_int_equal(a1->changed_s, at(38, 10));
}

static void a_mix_takes_its_products_from_the_stock_and_gives_its_litres_to_the_refills(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(38, 9));

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(28, 9)));
    mix = with(with(mix, FIGURE_VOLUME_L, 40), FIGURE_EC_MS_CM, 1.1);
    mix.amount[0] = (struct amount){.product = "calcium-part", .amount = 84};
    mix.n_amounts = 1;
    tell(f, mix);
    assert_true(f->s.reservoir.holds_mix);
    assert_int_equal(f->s.reservoir.recipe, LEAF_FEED);
    assert_true(f->s.product[CALCIUM_PART].left == 4916);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.1));
    assert_true(fabs(f->s.reservoir.body.volume_l - 32.5) < 1e-9); /* 40 - (8 - 0.5) */
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(38, 11)));
    assert_false(f->s.reservoir.holds_mix);
    assert_true(f->s.reservoir.body.volume_l == 0);
}

static void a_refill_starts_with_the_ph_of_the_mix_unless_its_own_was_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(38, 9));
    struct entry refill = told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10));

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(28, 9)));
    mix = with(with(mix, FIGURE_VOLUME_L, 40), FIGURE_EC_MS_CM, 1.1);
    tell(f, with(mix, FIGURE_PH, 5.7));
    tell(f, with(refill, FIGURE_EC_MS_CM, 1.1));
    assert_true(f->s.container[A1].drift.from_ph > 5.7 - 1e-9);
    assert_int_equal(f->s.container[A1].drift.from_s, at(38, 10));
    tell(f, with(with(refill, FIGURE_EC_MS_CM, 1.1), FIGURE_PH, 5.9));
    assert_true(f->s.container[A1].drift.from_ph == 5.9);
    mix.happened_s = at(38, 11); /* its pH was not told */
    tell(f, mix);
    refill.happened_s = at(38, 12);
    tell(f, with(refill, FIGURE_EC_MS_CM, 1.1));
    assert_true(f->s.container[A1].drift.from_s == 0);
}

static void a_container_on_float_draws_what_it_drinks_from_the_reservoir(void **ctx)
{
    struct fixture *f = *ctx;
    double drunk_l;
    struct liquid body;

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 9)));
    drunk_l = curve_use_l(&f->s.container[A1].curve, 1, 30, 40);
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(30, 9)), FIGURE_VOLUME_L, 90));
    body = forecast_reservoir(&f->room, &f->s, at(40, 9));
    assert_true(drunk_l > 1);
    assert_true(fabs(body.volume_l - (90 - drunk_l)) < 1e-9);
    assert_true(forecast_container(&f->room, &f->s, A1, at(40, 9)).body.volume_l == 8);
}

static void a_harvest_ends_the_planting_and_asks_for_cleaning(void **ctx)
{
    struct fixture *f = *ctx;

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "part", at(80, 9)));
    assert_int_equal(f->s.container[A1].crop, VINE);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    assert_int_equal(f->s.container[A1].crop, -1);
    assert_true(f->s.container[A1].needs_cleaning);
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(120, 10)));
    assert_false(f->s.container[A1].needs_cleaning);
    start_at(f, "A1", "vine", at(121, 9));
    assert_int_equal(f->s.container[A1].planting, 2);
}

static void burnt_tips_are_remembered_until_the_next_change(void **ctx)
{
    struct fixture *f = *ctx;

    start_at(f, "A1", "vine", at(0, 9));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(30, 9)));
    assert_int_equal(f->s.container[A1].step_mood, -1);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.1));
    assert_int_equal(f->s.container[A1].step_mood, 0);
}

static void
an_entry_about_something_the_room_no_longer_has_is_counted_and_changes_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct state before;
    struct text why = {0};

    start_at(f, "A1", "vine", at(0, 9));
    state_copy(&before, &f->s);
    tell(f, with(told_at(ENTRY_READING, "Z9", "", at(0, 9)), FIGURE_PH, 6));
    assert_int_equal(f->s.n_skipped, 1);
    f->s.n_skipped--;
    f->s.n_entries--;
    assert_true(state_equal(&before, &f->s, &why));
    text_deinit(&why);
    state_deinit(&before);
}

static void two_states_that_differ_say_where(void **ctx)
{
    struct fixture *f = *ctx;
    struct state before;
    struct text why = {0};

    start_at(f, "A1", "vine", at(0, 9));
    state_copy(&before, &f->s);
    f->s.container[A1].body.volume_l = 17;
    assert_false(state_equal(&before, &f->s, &why));
    assert_string_equal(text_str(&why), "container[0].body.volume_l: 18 and 17");
    text_deinit(&why);
    state_deinit(&before);
}

static void looking_at_a_state_never_changes_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct state before;

    start_at(f, "A1", "vine", at(0, 9));
    start_at(f, "L1", "leaf", at(0, 9));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 9)), FIGURE_VOLUME_L, 90));
    state_copy(&before, &f->s);
    for (int day = 0; day < 200; day++) {
        (void)forecast_container(&f->room, &f->s, A1, at(day, 9));
        (void)forecast_reservoir(&f->room, &f->s, at(day, 9));
        (void)forecast_reservoir_at_s(&f->room, &f->s, 25, at(day, 9));
    }
    assert_true(state_equal(&before, &f->s, NULL));
    state_deinit(&before);
}

static void what_is_put_off_twice_is_held_once_until_the_later_word(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DEFERRED, "A1", "change", at(30, 9));

    e.cycle = 1;
    e.until_day = 20545;
    tell(f, e);
    e.until_day = 20547;
    tell(f, e);
    assert_int_equal(f->s.n_holds, 1);
    assert_int_equal(f->s.hold[0].until_day, 20547);
    assert_false(f->s.hold[0].dropped);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_start_fills_to_the_start_line_with_the_weak_solution),
        TEST(a_look_that_finds_the_float_working_puts_the_level_on_its_line),
        TEST(a_look_that_finds_no_float_yet_puts_the_forecast_off),
        TEST(a_level_above_the_line_before_the_float_was_seen_is_drawdown_again),
        TEST(a_reading_keeps_what_was_measured_and_when),
        TEST(a_change_begins_a_new_solution_on_the_float_line),
        TEST(a_mix_takes_its_products_from_the_stock_and_gives_its_litres_to_the_refills),
        TEST(a_refill_starts_with_the_ph_of_the_mix_unless_its_own_was_told),
        TEST(a_container_on_float_draws_what_it_drinks_from_the_reservoir),
        TEST(a_harvest_ends_the_planting_and_asks_for_cleaning),
        TEST(burnt_tips_are_remembered_until_the_next_change),
        TEST(an_entry_about_something_the_room_no_longer_has_is_counted_and_changes_nothing),
        TEST(two_states_that_differ_say_where),
        TEST(looking_at_a_state_never_changes_it),
        TEST(what_is_put_off_twice_is_held_once_until_the_later_word),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
