/* What befalls a room: a plant that dies, buckets that change places, water and bottles that are
 * lost, a meter that is replaced. Containers of 18 L at the start line, 8 L on float. */
#include "daemon/core/model/learning.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/trust.h"
#include "tests/unit/a_story.h"

/* It changes nothing but the counts of entries. */
static void is_skipped(struct fixture *f, struct entry e)
{
    int64_t before = f->s.n_skipped;

    tell(f, e);
    assert_int_equal(f->s.n_skipped, before + 1);
}

static void a_plant_that_died_leaves_its_container_to_be_cleaned(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DIED, "A1", "", at(40, 9)));
    assert_int_equal(f->s.container[A1].crop, -1);
    assert_int_equal(f->s.container[A1].condition, CONDITION_IDLE);
    assert_true(f->s.container[A1].needs_cleaning);
    is_skipped(f, told_at(ENTRY_DIED, "A1", "", at(41, 9)));
}

/* What was read of one, its stage and its water go along; and a task that was done for the one is
 * not taken for done for the other. */
static void those_that_change_places_take_their_history_along(void **ctx)
{
    struct fixture *f = *ctx;
    struct container_state was;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(33, 9)));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(34, 9)), FIGURE_PH, 6.3));
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(35, 9)), FIGURE_EC_MS_CM, 0.6));
    was = f->s.container[A1];
    tell(f, told_at(ENTRY_MOVED, "A1", "A2", at(36, 9)));
    assert_int_equal(f->s.container[A2].condition, CONDITION_ON_FLOAT);
    assert_int_equal(f->s.container[A2].stage, was.stage);
    assert_true(f->s.container[A2].ph.value == 6.3);
    assert_int_equal(f->s.container[A2].started_s, at(0, 9));
    assert_float_equal(f->s.container[A2].body.volume_l, 8, 1e-9);
    assert_int_equal(f->s.container[A1].condition, CONDITION_DRAWDOWN);
    assert_int_equal(f->s.container[A1].started_s, at(35, 9));
    assert_true(f->s.container[A1].body.volume_l > 17);
    assert_true(f->s.container[A1].planting > was.planting);
    assert_true(f->s.container[A2].planting > was.planting);
    /* to where nothing grows */
    tell(f, told_at(ENTRY_MOVED, "A2", "A3", at(37, 9)));
    assert_int_equal(f->s.container[A2].crop, -1);
    assert_int_equal(f->s.container[A3].started_s, at(0, 9));
    is_skipped(f, told_at(ENTRY_MOVED, "A3", "nowhere", at(38, 9)));
    /* where it stood, and until when; a new plant has stood nowhere */
    assert_int_equal(f->s.container[A3].n_homes, 2);
    assert_int_equal(f->s.container[A3].home[0].container, A1);
    assert_int_equal(f->s.container[A3].home[1].container, A2);
    assert_int_equal(f->s.container[A3].home[1].until_s, at(37, 9));
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(39, 9)), FIGURE_EC_MS_CM, 0.6));
    assert_int_equal(f->s.container[A2].n_homes, 0);
}

/* Of thirst nothing is learned from it: the curve stays as it was believed. */
static void water_that_ran_out_is_no_thirst(void **ctx)
{
    struct fixture *f = *ctx;
    struct curve before;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    before = f->s.container[A1].curve;
    tell(f, with(told_at(ENTRY_EMPTIED, "A1", "", at(5, 9)), FIGURE_VOLUME_L, 12));
    assert_float_equal(f->s.container[A1].body.volume_l, 12, 1e-9);
    assert_memory_equal(&f->s.container[A1].curve, &before, sizeof before);
    assert_int_equal(f->s.container[A1].alarms.opened, 0);
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(6, 9)), FIGURE_VOLUME_L, 90));
    tell(f, with(told_at(ENTRY_EMPTIED, "reservoir", "", at(7, 9)), FIGURE_VOLUME_L, 20));
    assert_float_equal(forecast_reservoir(&f->room, &f->s, at(7, 9)).volume_l, 20, 0.1);
    assert_int_equal(f->s.reservoir.alarms.opened, 0);
}

static void a_product_is_lost_and_counted(void **ctx)
{
    struct fixture *f = *ctx;
    double left = f->s.product[CALCIUM_PART].left;

    tell(f, with(told_at(ENTRY_SPILLED, "calcium-part", "", at(1, 9)), FIGURE_AMOUNT, 300));
    assert_float_equal(f->s.product[CALCIUM_PART].left, left - 300, 1e-9);
    tell(f, with(told_at(ENTRY_STOCK_COUNTED, "calcium-part", "", at(2, 9)), FIGURE_AMOUNT, 1234));
    assert_float_equal(f->s.product[CALCIUM_PART].left, 1234, 1e-9);
}

/* Made twice as strong, it would be dosed for what the bottles before it were. */
static void a_bottle_of_another_strength_is_learned_anew(void **ctx)
{
    struct fixture *f = *ctx;
    struct learned told = f->s.recipe[LEAF_FEED].gain;

    for (int day = 1; day <= 4;
         day++) { /* 40 and 20 mL in 20 L are half the dose: 1.0 by the file */
        struct entry mix = with(
            with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(day, 9)), FIGURE_VOLUME_L, 20),
            FIGURE_EC_MS_CM, 1.25);

        mix = with(mix, FIGURE_WAS_MS_CM, 1.25);
        tell(f, with_amount(with_amount(mix, "calcium-part", 40), "sulfate-part", 20));
        tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(day, 12)));
    }
    assert_true(f->s.recipe[LEAF_FEED].gain.value > told.value * 1.05);
    tell(f,
         with(told_at(ENTRY_STOCK_RECEIVED, "calcium-part", "same", at(6, 9)), FIGURE_AMOUNT, 9));
    assert_true(f->s.recipe[LEAF_FEED].gain.value > told.value * 1.05);
    tell(f,
         with(told_at(ENTRY_STOCK_RECEIVED, "calcium-part", "other", at(7, 9)), FIGURE_AMOUNT, 9));
    assert_true(f->s.recipe[LEAF_FEED].gain.value == told.value);
}

/* The old one's readings keep their standing. */
static void another_meter_begins_uncalibrated(void **ctx)
{
    struct fixture *f = *ctx;
    char why[TRUST_WHY_MAX];

    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(1, 9)), FIGURE_SLOPE_PCT, 98));
    tell(f, told_at(ENTRY_METER_NEW, "ph-pen", "", at(3, 9)));
    assert_int_equal(trust_of_meter(&f->room, &f->s, 0, at(2, 9), why), TRUST_GOOD);
    assert_int_equal(trust_of_meter(&f->room, &f->s, 0, at(4, 9), why), TRUST_UNCALIBRATED);
    assert_string_equal(why, "ph-pen was not calibrated yet");
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(5, 9)), FIGURE_SLOPE_PCT, 98));
    assert_int_equal(trust_of_meter(&f->room, &f->s, 0, at(6, 9), why), TRUST_GOOD);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_plant_that_died_leaves_its_container_to_be_cleaned),
        TEST(those_that_change_places_take_their_history_along),
        TEST(water_that_ran_out_is_no_thirst),
        TEST(a_product_is_lost_and_counted),
        TEST(a_bottle_of_another_strength_is_learned_anew),
        TEST(another_meter_begins_uncalibrated),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
