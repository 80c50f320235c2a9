/* A weak solution in the reservoir instead of plain water: what it holds, and what it does for the
 * containers that it tops up. */
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

#define FEED_MS_CM 0.6

/* 4 mL/L of calcium-part, 50 mg of K in a mL, and 2 mL/L of sulfate-part give 2.0 mS/cm;
 * the source 0.05. */
static int set_up_feed(void **ctx)
{
    struct fixture *f;
    int rc = set_up(ctx);

    f = *ctx;
    f->room.reservoir.feed_ms_cm = FEED_MS_CM;
    f->room.reservoir.feed_at = LEAF_FEED;
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_K] = 50;
    return rc;
}

static const struct reservoir_state *tank(const struct fixture *f)
{
    return &f->s.reservoir;
}

/* 0.55 mS/cm of food in 80 L: 1.1 and 0.55 mL/L. */
static struct entry fill(int day, double volume_l)
{
    struct entry e = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, 9));

    return with(e, FIGURE_VOLUME_L, volume_l);
}

static void a_fill_makes_the_feed_by_what_was_told_of_it(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, with_amount(with_amount(fill(1, 80), "calcium-part", 88), "sulfate-part", 44));
    assert_near(tank(f)->body.ec_ms_cm, FEED_MS_CM, 1e-9);
    assert_near(tank(f)->body.water_ms_cm, 0.05, 1e-12);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 88 * 50 / 80.0, 1e-9);
    assert_false(tank(f)->holds_mix);
    assert_near(f->s.product[CALCIUM_PART].left, 5000 - 88, 1e-9);
}

static void a_fill_without_a_word_of_nutrients_is_taken_to_be_by_the_sheet(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, fill(1, 80));
    assert_near(tank(f)->body.ec_ms_cm, FEED_MS_CM, 1e-12);
    f->room.reservoir.feed_ms_cm = 0; /* plain water where none is kept */
    begin_again(f);
    tell(f, fill(1, 80));
    assert_near(tank(f)->body.ec_ms_cm, 0.05, 1e-12);
}

/* A meter knows better than a dose, of the food and of each nutrient in it. */
static void its_strength_as_it_was_measured_is_believed(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with_amount(with_amount(fill(1, 80), "calcium-part", 88), "sulfate-part", 44);

    tell(f, with(e, FIGURE_EC_MS_CM, 0.05 + 0.66));
    assert_near(tank(f)->body.ec_ms_cm, 0.71, 1e-12);
    assert_near(tank(f)->body.water_ms_cm, 0.05, 1e-12);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 1.2 * 88 * 50 / 80.0, 1e-9);
    reads(f, "reservoir", 2, FIGURE_EC_MS_CM, 0.05 + 0.33);
    assert_near(tank(f)->body.water_ms_cm, 0.05, 1e-12);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 0.6 * 88 * 50 / 80.0, 1e-9);
}

static void a_fill_of_half_wants_half_the_dose(void **ctx)
{
    struct fixture *f = *ctx;
    struct liquid held = {40, FEED_MS_CM, 0.05};
    struct dosing_rise rise = dosing_fill_rise(&f->room, held, 40);

    assert_near(rise.volume_l, 80, 1e-12);
    assert_near(rise.from_ms_cm, (FEED_MS_CM + 0.05) / 2, 1e-12);
    assert_near(rise.gain_ms_cm, 0.55 / 2, 1e-12);
    held.ec_ms_cm = 2; /* stronger than it should be: nothing goes in */
    assert_near(dosing_fill_rise(&f->room, held, 40).gain_ms_cm, 0, 0);
}

/* What tops it up brings 0.55 of food with each litre, and its potassium. */
static void a_container_on_float_is_fed(void **ctx)
{
    struct fixture *f = *ctx;
    double food;
    double plain;
    double k;

    tell(f, with_amount(with_amount(fill(1, 80), "calcium-part", 88), "sulfate-part", 44));
    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(31, 10)));
    tell(f,
         with_amount(with(told_at(ENTRY_REFILLED, "A1", "leaf", at(31, 11)), FIGURE_EC_MS_CM, 1.4),
                     "calcium-part", 21));
    food = solution_food_ms_cm(forecast_container(&f->room, &f->s, A1, at(33, 11)).body);
    f->s.container[A1].at_s = at(31, 11);
    k = forecast_feed(&f->room, &f->s, A1, at(33, 11)).mg[NUTRIENT_K];
    f->s.reservoir.body.ec_ms_cm = 0.05;
    f->s.reservoir.feed = (struct nutrients){0};
    plain = solution_food_ms_cm(forecast_container(&f->room, &f->s, A1, at(33, 11)).body);
    assert_near(food - plain,
                0.55 * curve_use_l(&f->s.container[A1].curve, 1, 31 + 2.0 / 24, 33 + 2.0 / 24) / 8,
                1e-6);
    assert_true(k > forecast_feed(&f->room, &f->s, A1, at(33, 11)).mg[NUTRIENT_K]);
}

/* What is expected of it is the feed: neither that nor plain water is an alarm, more is. */
static void salt_in_it_is_what_goes_beyond_the_feed(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, fill(1, 80));
    reads(f, "reservoir", 2, FIGURE_EC_MS_CM, 0.62);
    assert_true(tank(f)->alarms.of[ALARM_SALT].since_s == 0);
    reads(f, "reservoir", 3, FIGURE_EC_MS_CM, 0.9);
    assert_true(tank(f)->alarms.of[ALARM_SALT].since_s != 0);
    assert_near(tank(f)->alarms.of[ALARM_SALT].expected, FEED_MS_CM, 0);
}

/* A mix that is made of it and of source water starts from both. */
static void a_mix_starts_from_the_feed_that_is_in_it(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, fill(1, 40));
    assert_near(dosing_mix_base_ec(&f->room, &f->s, FRUIT, 80), (FEED_MS_CM + 0.05) / 2, 1e-9);
    assert_near(dosing_mix_base_ec(&f->room, &f->s, FRUIT, 40), FEED_MS_CM, 1e-9);
}

#define FED(name) cmocka_unit_test_setup_teardown(name, set_up_feed, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FED(a_fill_makes_the_feed_by_what_was_told_of_it),
        FED(a_fill_without_a_word_of_nutrients_is_taken_to_be_by_the_sheet),
        FED(its_strength_as_it_was_measured_is_believed),
        FED(a_fill_of_half_wants_half_the_dose),
        FED(a_container_on_float_is_fed),
        FED(salt_in_it_is_what_goes_beyond_the_feed),
        FED(a_mix_starts_from_the_feed_that_is_in_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
