/* From which water a dose starts, how exact it can be measured out, and which acid is reached
 * for. */
#include "daemon/core/state/dosing.h"
#include "tests/unit/a_story.h"

static void tells_mix(struct fixture *f, double volume_l, double ec)
{
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(3, 9)), FIGURE_VOLUME_L,
                      volume_l),
                 FIGURE_EC_MS_CM, ec));
}

static void a_mix_starts_from_the_water_that_is_there(void **ctx)
{
    struct fixture *f = *ctx;

    assert_near(dosing_base_ec(&f->room, &f->s), 0.05, 0); /* the source's while nothing was told */
    fills(f, 1, 60);
    reads(f, "reservoir", 2, FIGURE_EC_MS_CM, 0.11);
    assert_near(dosing_base_ec(&f->room, &f->s), 0.11, 0);
    assert_near(dosing_mix_base_ec(&f->room, &f->s, LEAF_FEED, 40), 0.11, 0);
    tells_mix(f, 10, 1.0); /* then the next water is the source's again */
    assert_near(dosing_base_ec(&f->room, &f->s), 0.05, 0);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(4, 9)));
    f->s.reservoir.body.ec_ms_cm = 0.3; /* nothing is in it */
    assert_near(dosing_base_ec(&f->room, &f->s), 0.05, 0);
}

/* 10 L of 1.0 left of that recipe and 30 L of water of 0.05. */
static void what_is_left_of_a_mix_of_the_recipe_counts(void **ctx)
{
    struct fixture *f = *ctx;

    tells_mix(f, 10, 1.0);
    assert_near(dosing_mix_base_ec(&f->room, &f->s, LEAF_FEED, 40), (10 * 1.0 + 30 * 0.05) / 40,
                1e-12);
    assert_near(dosing_mix_base_ec(&f->room, &f->s, FRUIT, 40), 0.05, 0); /* poured away first */
    assert_near(dosing_mix_base_ec(&f->room, &f->s, LEAF_FEED, 10), 0.05, 0);
    assert_near(dosing_mix_base_ec(&f->room, &f->s, LEAF_FEED, 8), 0.05, 0);
}

/* 0.4 of the dose of 4 and 2 mL/L in 9 L is 14.4 and 7.2 mL: a syringe of 20 mL shows 0.2. */
static void portions_are_what_the_measures_can_show(void **ctx)
{
    struct fixture *f = *ctx;
    struct portion out[ROOM_DOSES_MAX];
    struct amount amounts[ROOM_DOSES_MAX];
    struct dosing_rise rise = {9, 0.05, 0.8};
    struct portion rough[3] = {{.off_frac = 0.01}, {.off_frac = -0.04}, {.off_frac = 0.03}};

    assert_int_equal(dosing_portions(&f->room, &f->s, LEAF_FEED, &rise, out), 2);
    assert_near(out[0].product, 14.4, 1e-9);
    assert_near(out[1].product, 7.2, 1e-9);
    assert_near(dosing_off_frac(out, 2), 0, 1e-9);
    assert_int_equal(dosing_as_amounts(&f->room, LEAF_FEED, out, 2, amounts), 2);
    assert_string_equal(amounts[0].product, "calcium-part");
    assert_near(amounts[0].amount, out[0].product, 0);
    assert_string_equal(amounts[1].product, "sulfate-part");
    assert_near(amounts[1].amount, out[1].product, 0);
    assert_near(dosing_off_frac(rough, 3), 0.04, 0); /* the worst of them, to either side */
    f->room.recipe[LEAF_FEED].dose[1] = (struct dose){SALT, 0.2}; /* 0.72 g on scales of 0.1 g */
    assert_int_equal(dosing_portions(&f->room, &f->s, LEAF_FEED, &rise, out), 2);
    assert_int_equal(out[1].tool, TOOL_SCALE); /* ten times as much, dissolved, a tenth of it */
    assert_near(out[1].amount, 7.2, 1e-9);
}

static void a_strength_brings_its_nutrients(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount told[3] = {
        {"calcium-part", 10 },
        {"sulfate-part", 4  },
        {"tea",          100}
    };
    struct nutrients feed;
    struct nutrients mg;

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_K] = 50;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_K] = 5;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_P] = 20;
    feed = dosing_feed(&f->room, &f->s, LEAF_FEED, 0.5); /* a quarter: 1 and 0.5 mL/L */
    assert_near(feed.mg[NUTRIENT_K], 52.5, 1e-9);
    assert_near(feed.mg[NUTRIENT_P], 10, 1e-9);
    mg = dosing_brings(&f->room, told, 3);
    assert_near(mg.mg[NUTRIENT_K], 520, 1e-9);
    assert_near(mg.mg[NUTRIENT_P], 80, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_mix_starts_from_the_water_that_is_there),
        TEST(what_is_left_of_a_mix_of_the_recipe_counts),
        TEST(portions_are_what_the_measures_can_show),
        TEST(a_strength_brings_its_nutrients),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
