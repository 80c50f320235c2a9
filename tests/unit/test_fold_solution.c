/* What draining, refilling, bumping and topping up do to what a container holds, and what ends a
 * planting. */
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

static struct container_state *a1(struct fixture *f)
{
    return &f->s.container[A1];
}

/* Of an EC meter: 0.02 mS/cm and 2 % of what it shows (reading_error.h), squared. */
static double ec_var(double ec)
{
    return (0.02 + 0.02 * ec) * (0.02 + 0.02 * ec);
}

static void draining_leaves_the_remainder_or_what_was_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DRAINED, "A1", "", at(38, 9));

    on_float(f, "A1");
    tell(f, e);
    assert_near(a1(f)->body.volume_l, 0.5, 0);
    assert_true(a1(f)->drained);
    assert_int_equal(a1(f)->level_s, 0); /* nothing follows from how full it was */
    assert_int_equal(a1(f)->at_s, at(38, 9));
    begin_again(f);
    on_float(f, "A1");
    tell(f, with(with(e, FIGURE_VOLUME_L, 2), FIGURE_WAS_MS_CM, 0.33));
    assert_near(a1(f)->body.volume_l, 2, 0);
    assert_near(a1(f)->body.ec_ms_cm, 0.33, 0);
    assert_near(a1(f)->ec_var, ec_var(0.33), 1e-12);
}

static void a_refill_begins_a_solution(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10));

    on_float(f, "A1");
    a1(f)->bumps = 2;
    a1(f)->step_mood = 1;
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    e = with(with(e, FIGURE_EC_MS_CM, 1.4), FIGURE_PH, 5.8);
    tell(f, with_amount(with(e, FIGURE_VOLUME_L, 7.5), "calcium-part", 20));
    assert_near(a1(f)->body.volume_l, 7.5, 0);
    assert_near(a1(f)->body.ec_ms_cm, 1.4, 0);
    assert_near(a1(f)->strength_ms_cm, 1.4, 0.01); /* as fresh: less what was left had gathered */
    assert_int_equal(a1(f)->solution, 2);
    assert_int_equal(a1(f)->changed_s, at(38, 10));
    assert_int_equal(a1(f)->bumps, 0);
    assert_int_equal(a1(f)->step_mood, 0);
    assert_false(a1(f)->drained);
    assert_near(a1(f)->ec_var, ec_var(1.4), 1e-12);
    assert_near(a1(f)->ec.value, 1.4, 0);
    assert_int_equal(a1(f)->readings, 2);
    assert_near(a1(f)->drift.from_ph, 5.8, 0);
    assert_near(f->s.product[CALCIUM_PART].left, 4980, 0);
}

/* A refill whose pH was not told has nobody's pH, unless it came of a mix whose pH is known. */
static void a_refill_of_unknown_ph_teaches_nothing_of_its_drift(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10));

    on_float(f, "A1");
    reads(f, "A1", 35, FIGURE_PH, 6);
    tell(f, with(e, FIGURE_EC_MS_CM, 1.4));
    assert_int_equal(a1(f)->drift.from_s, 0);
}

/* 10 L of a mix: 7.5 L go into the tub over the half litre that stayed in it, and no more than
 * there is is missing afterwards. */
static void a_refill_is_poured_out_of_the_mix(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(38, 8));
    struct entry e = with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.1);

    on_float(f, "A1");
    tell(f, with(with(mix, FIGURE_VOLUME_L, 10), FIGURE_EC_MS_CM, 1.1));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, e);
    assert_near(f->s.reservoir.body.volume_l, 2.5, 1e-9);
    assert_int_equal(f->s.reservoir.at_s, at(38, 10));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 11)));
    tell(f, e);
    assert_near(f->s.reservoir.body.volume_l, 0, 0);
    tell(f, e); /* into a full tub nothing goes */
    assert_near(f->s.reservoir.body.volume_l, 0, 0);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(38, 12)));
    fills(f, 38, 80);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 13)));
    tell(f, e); /* by hand: the reservoir's plain water is not what was poured */
    assert_near(f->s.reservoir.body.volume_l, 80, 0);
}

/* Half a litre of the old stays in the tub, and 7.5 L come over it: of the old one part in 16 is
 * left, and of what the mix brings 15. A jug brings what was told, and here nothing was. */
static void what_stayed_in_the_tub_feeds_on_in_the_next_solution(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(38, 8));
    struct entry e = with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.1);

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    a1(f)->feed.mg[NUTRIENT_K] = 160;
    tell(f, e);
    assert_near(a1(f)->feed.mg[NUTRIENT_K], 10, 1e-9);
    begin_again(f);
    on_float(f, "A1");
    tell(f, with(with(mix, FIGURE_VOLUME_L, 10), FIGURE_EC_MS_CM, 1.1));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    a1(f)->feed.mg[NUTRIENT_K] = 160;
    f->s.reservoir.feed.mg[NUTRIENT_K] = 32;
    tell(f, e);
    assert_near(a1(f)->feed.mg[NUTRIENT_K], 10 + 30, 1e-9);
}

static void a_bump_raises_the_strength_of_what_is_there(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_BUMPED, "A1", "leaf", at(35, 9));

    on_float(f, "A1");
    reads(f, "A1", 34, FIGURE_PH, 6);
    a1(f)->step_mood = 1;
    e = with(with(e, FIGURE_WAS_MS_CM, 0.5), FIGURE_EC_MS_CM, 0.9);
    tell(f, with_amount(e, "calcium-part", 8));
    assert_near(a1(f)->body.ec_ms_cm, 0.9, 0);
    assert_near(a1(f)->body.volume_l, 8, 0);
    /* As fresh: what gathered from the water since the start is no part of it. */
    assert_near(a1(f)->strength_ms_cm, 0.9 - (a1(f)->body.water_ms_cm - 0.05), 1e-12);
    assert_true(a1(f)->body.water_ms_cm > 0.05);
    assert_int_equal(a1(f)->bumps, 1);
    assert_int_equal(a1(f)->solution, 1);
    assert_int_equal(a1(f)->bumped_s, at(35, 9));
    assert_int_equal(a1(f)->step_mood, 0);
    assert_near(a1(f)->ec_var, ec_var(0.9), 1e-12);
    assert_near(a1(f)->ec.value, 0.9, 0);
    assert_int_equal(a1(f)->drift.from_s, 0); /* concentrate moved the pH, and nobody measured it */
    assert_near(f->s.product[CALCIUM_PART].left, 4992, 0);
}

/* 18 L of 0.7, and 2 L of water of 0.05, or of what was told. */
static void topping_up_by_hand_thins_what_is_there(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with(told_at(ENTRY_TOPPED_UP, "A1", "", at(0, 9)), FIGURE_ADDED_L, 2);

    start(f, "A1");
    tell(f, e);
    assert_near(a1(f)->body.volume_l, 20, 0);
    assert_near(a1(f)->body.ec_ms_cm, (18 * 0.7 + 2 * 0.05) / 20, 1e-12);
    assert_near(a1(f)->level_l, 20, 0); /* so that a level can be compared with it */
    tell(f, with(e, FIGURE_EC_MS_CM, 1.0));
    assert_near(a1(f)->body.ec_ms_cm, (18 * 0.7 + 2 * 0.05 + 2 * 1.0) / 22, 1e-12);
    assert_near(a1(f)->strength_ms_cm, 0.7, 0);
}

static void a_stage_that_was_seen_is_never_left_again(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(30, 9)));
    assert_int_equal(a1(f)->stage, 1);
    assert_int_equal(a1(f)->at_s, at(30, 9)); /* it drank as a young plant until then */
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "young", at(31, 9)));
    assert_int_equal(a1(f)->stage, 1);
}

static void what_leaves_show_asks_for_less_or_more(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "wilting", at(29, 9)));
    assert_int_equal(a1(f)->step_mood, 0);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "pale-growth", at(30, 9)));
    assert_int_equal(a1(f)->step_mood, 1);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "pests", at(31, 9)));
    assert_int_equal(a1(f)->step_mood, 1);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(32, 9)));
    assert_int_equal(a1(f)->step_mood, -1);
    tell(f, told_at(ENTRY_OBSERVATION, "reservoir", "algae", at(33, 9)));
    assert_int_equal(f->s.n_skipped, 0);
}

static void a_part_harvest_leaves_the_plant(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "part", at(80, 9)));
    assert_int_equal(a1(f)->harvested_s, 0);
    assert_false(a1(f)->needs_cleaning);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    assert_int_equal(a1(f)->condition, CONDITION_IDLE);
    assert_int_equal(a1(f)->harvested_s, at(120, 9));
    assert_int_equal(a1(f)->at_s, at(120, 9)); /* what it drew, it drew until then */
    assert_near(a1(f)->drawn_l, forecast_drawn_l(&f->room, &f->s, at(150, 9)), 0);
    assert_true(a1(f)->drawn_l > 50);
}

static void cleaning_empties_an_idle_tub_and_no_other(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(40, 10)));
    assert_false(a1(f)->drained);
    assert_int_equal(a1(f)->cleaned_s, at(40, 10));
    assert_near(a1(f)->body.volume_l, 0.5, 0);
    assert_int_equal(a1(f)->at_s, at(40, 9));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(90, 9)));
    a1(f)->feed.mg[NUTRIENT_K] = 5;
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(91, 9)));
    assert_false(a1(f)->needs_cleaning);
    assert_near(a1(f)->body.volume_l, 0, 0);
    assert_near(a1(f)->body.ec_ms_cm, 0, 0);
    assert_near(a1(f)->feed.mg[NUTRIENT_K], 0, 0);
    assert_int_equal(a1(f)->at_s, at(91, 9));
    assert_int_equal(a1(f)->cleaned_s, at(91, 9));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(draining_leaves_the_remainder_or_what_was_told),
        TEST(a_refill_begins_a_solution),
        TEST(a_refill_of_unknown_ph_teaches_nothing_of_its_drift),
        TEST(a_refill_is_poured_out_of_the_mix),
        TEST(what_stayed_in_the_tub_feeds_on_in_the_next_solution),
        TEST(a_bump_raises_the_strength_of_what_is_there),
        TEST(topping_up_by_hand_thins_what_is_there),
        TEST(a_stage_that_was_seen_is_never_left_again),
        TEST(what_leaves_show_asks_for_less_or_more),
        TEST(a_part_harvest_leaves_the_plant),
        TEST(cleaning_empties_an_idle_tub_and_no_other),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
