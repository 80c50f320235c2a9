/* What each entry about the reservoir does to it, and what care, stock and calibration leave
 * behind. */
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

static struct reservoir_state *tank(struct fixture *f)
{
    return &f->s.reservoir;
}

static struct entry fill_at(int day)
{
    return told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, 9));
}

static struct entry mix_at(int day, double volume_l, double ec)
{
    return with(
        with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(day, 9)), FIGURE_VOLUME_L, volume_l),
        FIGURE_EC_MS_CM, ec);
}

static void a_fill_up_to_a_mark_is_known_to_the_mark(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, with(with(with(fill_at(1), FIGURE_VOLUME_L, 80), FIGURE_PH, 7), FIGURE_TEMP_C, 18));
    assert_near(tank(f)->body.volume_l, 80, 0);
    assert_near(tank(f)->body.ec_ms_cm, 0.05, 1e-12); /* the source's */
    assert_int_equal(tank(f)->fills, 1);
    assert_int_equal(tank(f)->filled_s, at(1, 9));
    assert_int_equal(tank(f)->at_s, at(1, 9));
    assert_int_equal(tank(f)->seen_s, at(1, 9));
    assert_near(tank(f)->seen_l, 80, 0);
    assert_near(tank(f)->ph.value, 7, 0);
    assert_near(tank(f)->temp.value, 18, 0);
    assert_int_equal(tank(f)->ec.at_s, 0);
    assert_int_equal(tank(f)->readings, 0); /* the plain water is as it came */
}

static void so_many_litres_add_to_what_was_seen(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.source.ec_ms_cm = 0.25;
    tell(f, with(fill_at(1), FIGURE_ADDED_L, 30)); /* into an empty one: 30 L and no mark */
    assert_near(tank(f)->body.volume_l, 30, 0);
    assert_near(tank(f)->seen_l, 30, 0);
    assert_int_equal(tank(f)->seen_s, at(1, 9));
    f->room.source.ec_ms_cm = 0.05;
    tell(f, with(fill_at(2), FIGURE_ADDED_L, 20));
    assert_near(tank(f)->body.volume_l, 50, 0);
    assert_near(tank(f)->body.ec_ms_cm, (30 * 0.25 + 20 * 0.05) / 50, 1e-12);
    assert_near(tank(f)->let_in_l, 20, 0);
    assert_int_equal(tank(f)->seen_s, at(1, 9)); /* it was not looked at */
    tell(f, with(with(fill_at(3), FIGURE_ADDED_L, 10), FIGURE_EC_MS_CM, 0.12));
    assert_near(tank(f)->body.ec_ms_cm, 0.12, 0);
    assert_near(tank(f)->ec.value, 0.12, 0);
    assert_near(tank(f)->let_in_l, 30, 0);
    reads(f, "reservoir", 4, FIGURE_VOLUME_L, 59);
    assert_near(tank(f)->let_in_l, 0, 0);
    assert_near(tank(f)->seen_l, 59, 0);
    assert_near(tank(f)->lost_l_day, 1.0 / 3, 1e-9); /* 60 L were let in, 59 are left, in 3 days */
}

/* Filled up from what the forecast left: what was poured in is the difference. */
static void a_fill_thins_the_products_that_were_in_it(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 1, 40);
    tank(f)->feed.mg[NUTRIENT_K] = 10;
    fills(f, 1, 80);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 5, 1e-9);
    fills(f, 1, 60); /* a mark below: something was let out, nothing was thinned */
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 5, 1e-9);
    assert_near(tank(f)->body.volume_l, 60, 0);
}

static void a_mix_takes_the_place_of_the_water(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = mix_at(3, 40, 1.25);

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_K] = 40;
    fills(f, 1, 40);
    tank(f)->feed.mg[NUTRIENT_K] = 10;
    reads(f, "reservoir", 2, FIGURE_PH, 7);
    reads(f, "reservoir", 2, FIGURE_TEMP_C, 18);
    mix.task = 7;
    tell(f, with_amount(mix, "calcium-part", 30));
    assert_near(tank(f)->body.volume_l, 40, 0);
    assert_near(tank(f)->body.ec_ms_cm, 1.25, 0);
    assert_true(tank(f)->holds_mix);
    assert_int_equal(tank(f)->recipe, LEAF_FEED);
    assert_int_equal(tank(f)->mix_task, 7);
    assert_int_equal(tank(f)->seen_s, 0);
    assert_int_equal(tank(f)->at_s, at(3, 9));
    assert_int_equal(tank(f)->ph.at_s, 0); /* the water's is not the mix's */
    assert_int_equal(tank(f)->temp.at_s, 0);
    assert_near(tank(f)->ec.value, 1.25, 0);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 10 + 30 * 40 / 40.0, 1e-9);
    assert_near(f->s.product[CALCIUM_PART].left, 4970, 0);
    tell(f, with(with(mix_at(4, 40, 1.25), FIGURE_PH, 5.9), FIGURE_TEMP_C, 20));
    assert_near(tank(f)->ph.value, 5.9, 0);
    assert_near(tank(f)->temp.value, 20, 0);
    mix = mix_at(5, 40, 1);
    name_it(mix.what, sizeof mix.what, "tea"); /* of a recipe that the room file no longer has */
    tell(f, mix);
    assert_int_equal(tank(f)->recipe, -1);
}

/* 60 L drawn off to 20 before it was mixed, or 20 L filled up to 40: what products were in it. */
static void what_is_left_of_the_last_mix_counts(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 1, 60);
    tank(f)->feed.mg[NUTRIENT_K] = 10;
    tell(f, mix_at(1, 20, 1.25));
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 10, 1e-9);
    assert_near(tank(f)->cans.volume_l, 40, 1e-9); /* what was drawn off is kept … */
    assert_near(tank(f)->cans.feed.mg[NUTRIENT_K], 10, 1e-9);
    tell(f, mix_at(1, 40, 1.25));
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 10, 1e-9); /* … and let in first */
    assert_near(tank(f)->cans.volume_l, 20, 1e-9);
    tell(f, mix_at(1, 80, 1.25));
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 7.5, 1e-9); /* the last 20 L from the source */
    assert_near(tank(f)->cans.volume_l, 0, 1e-9);
}

/* 2 meq/L at pH 7.6 take 1.52 mmol of acid in a litre to 5.8 (test_worksheet_ph.c has it by hand),
 * so fresh water takes 46 mL of a molar one in 30 L, and what had that once next to none. */
static void fill_with_acid(struct fixture *f, int d, double total_l, double acid_ml)
{
    struct entry e = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(d, 9));

    tell(f,
         with_amount(with(with(e, FIGURE_VOLUME_L, total_l), FIGURE_PH, 5.8), "ph-down", acid_ml));
}

/* The same, told an hour after the fill, by itself. */
static void fill_and_then_acid(struct fixture *f, int d, double total_l, double acid_ml)
{
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(d, 10));

    fills(f, d, total_l);
    tell(f, with_amount(with(e, FIGURE_PH, 5.8), "ph-down", acid_ml));
}

static void the_acid_of_a_fill_tells_whether_the_cans_were_used(void **ctx)
{
    static const struct {
        void (*told)(struct fixture *f, int d, double total_l, double acid_ml);
        double acid_ml, cans_l, k_mg_l;
    } fill[] = {
        {fill_with_acid,     46, 0,  0 }, /* all of it was fresh: the cans were empty */
        {fill_with_acid,     1,  10, 10}, /* 30 L of the cans */
        {fill_and_then_acid, 46, 0,  0 },
        {fill_and_then_acid, 1,  10, 10},
    };

    for (size_t i = 0; i < sizeof fill / sizeof *fill; i++) {
        struct fixture *f = *ctx;
        double strength;

        report_water(&f->room, 2, 7.6);
        label_bottle(&f->room, PH_DOWN, REAGENT_NITRIC, 0.001);
        begin_again(f);
        fill_with_acid(f, 1, 60, 91);
        strength = f->s.product[PH_DOWN].strength.value;
        tell(f, mix_at(2, 20, 1.25));
        tank(f)->cans.feed.mg[NUTRIENT_K] = 10;
        tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 8)));
        fill[i].told(f, 3, 30, fill[i].acid_ml);
        assert_near(tank(f)->cans.volume_l, fill[i].cans_l, 0.5);
        assert_near(tank(f)->feed.mg[NUTRIENT_K], fill[i].k_mg_l, 0.5);
        assert_near(f->s.product[PH_DOWN].strength.value, strength, 0); /* it may be the cans' */
    }
}

/* A dose that took half as much again as it should have, where every litre was known. */
static void acid_told_after_a_fresh_fill_teaches_what_the_bottle_does(void **ctx)
{
    struct fixture *f = *ctx;

    report_water(&f->room, 2, 7.6);
    label_bottle(&f->room, PH_DOWN, REAGENT_NITRIC, 0.001);
    begin_again(f);
    fill_and_then_acid(f, 1, 30, 1.5 * 45.6);
    assert_in_range(f->s.product[PH_DOWN].strength.value * 100, 110, 150);
}

/* A second mix onto what is left of the first begins with its strength: 10 L of 1.0 and 10 L of
 * water of 0.05, to 1.525: the rise that teaches is that over 0.525. */
static void a_mix_onto_the_rest_of_one_teaches_what_it_added(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, mix_at(1, 10, 1.0));
    tell(f, with_amount(with_amount(mix_at(1, 20, 1.525), "calcium-part", 40), "sulfate-part",
                        20)); /* half a dose */
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 1);
    assert_near(f->s.recipe[LEAF_FEED].gain.value, 2.0, 1e-9);
}

static void rinsing_leaves_plain_emptiness(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 1, 40);
    tell(f, with(mix_at(2, 40, 1.25), FIGURE_PH, 5.9));
    tank(f)->feed.mg[NUTRIENT_K] = 10;
    tank(f)->seen_s = 5;
    tank(f)->alarms.of[ALARM_SALT].since_s = 5;
    tank(f)->alarms.of[ALARM_LEAK].since_s = 5;
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 9)));
    assert_near(tank(f)->body.volume_l, 0, 0);
    assert_near(tank(f)->body.ec_ms_cm, 0.05, 0);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 0, 0);
    assert_int_equal(tank(f)->rinsed_s, at(3, 9));
    assert_int_equal(tank(f)->at_s, at(3, 9));
    assert_int_equal(tank(f)->seen_s, 0);
    assert_false(tank(f)->holds_mix);
    assert_int_equal(tank(f)->recipe, -1);
    assert_true(tank(f)->ph.at_s == 0 && tank(f)->ec.at_s == 0);
    assert_int_equal(tank(f)->alarms.of[ALARM_SALT].since_s, 0);
    assert_int_equal(tank(f)->alarms.of[ALARM_LEAK].since_s,
                     5); /* a leak it may have all the same */
}

static void a_reading_of_the_reservoir_is_believed(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 1, 40);
    reads(f, "reservoir", 2, FIGURE_VOLUME_L, 39);
    assert_near(tank(f)->body.volume_l, 39, 0);
    assert_int_equal(tank(f)->readings, 0);
    reads(f, "reservoir", 3, FIGURE_EC_MS_CM, 0.1);
    assert_near(tank(f)->body.ec_ms_cm, 0.1, 0);
    assert_near(tank(f)->body.water_ms_cm, 0.1, 0); /* of plain water all is the water's */
    assert_int_equal(tank(f)->readings, 1);
    reads(f, "reservoir", 4, FIGURE_PH, 6.9);
    assert_int_equal(tank(f)->readings, 2);
    reads(f, "reservoir", 4, FIGURE_TEMP_C, 17);
    assert_int_equal(tank(f)->readings, 2);
    assert_near(tank(f)->ph.value, 6.9, 0);
    assert_near(tank(f)->temp.value, 17, 0);
    assert_int_equal(tank(f)->at_s, at(4, 9));
    tell(f, mix_at(5, 30, 1.2));
    tank(f)->feed.mg[NUTRIENT_K] = 10;
    tank(f)->body.water_ms_cm = 0.2;
    reads(f, "reservoir", 5, FIGURE_EC_MS_CM, 2.2);
    assert_near(tank(f)->feed.mg[NUTRIENT_K], 20, 1e-9); /* twice the food, twice of each */
    assert_near(tank(f)->body.water_ms_cm, 0.2, 0);
    reads(f, "reservoir", 5, FIGURE_VOLUME_L, 28); /* of a mix it teaches nothing of thirst */
    assert_near(tank(f)->body.volume_l, 28, 0);
    assert_int_equal(tank(f)->seen_s, 0);
}

/* What it loses until it is read, the containers took: each is counted up to that instant. */
static void a_reading_counts_the_draw_anew_from_there(void **ctx)
{
    struct fixture *f = *ctx;
    double drawn;

    on_float(f, "A1");
    fills(f, 32, 80);
    drawn = forecast_draw_l(&f->room, &f->s, at(32, 9), at(40, 9));
    assert_near(forecast_reservoir(&f->room, &f->s, at(40, 9)).volume_l, 80 - drawn, 1e-9);
    reads(f, "reservoir", 40, FIGURE_VOLUME_L, 70);
    assert_near(forecast_reservoir(&f->room, &f->s, at(40, 9)).volume_l, 70, 1e-9);
    assert_int_equal(f->s.container[A1].at_s, at(40, 9));
    assert_near(f->s.container[A1].drawn_seen_l, f->s.container[A1].drawn_l, 0);
    assert_near(f->s.reservoir.drawn_l, f->s.container[A1].drawn_l, 1e-9);
}

/* 40 L of 3 meq/L at 7.3: what it takes to 5.8 of an acid of 5 mmol/mL stands in test_ph_dose.c. */
/* Neither a look at its pH nor a drop of acid gives back what floats drank before it. */
static void what_was_drawn_is_gone_whatever_is_told_of_the_ph(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry set = with(told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(45, 9)), FIGURE_PH, 6.0);
    double drawn_l;

    on_float(f, "A1");
    fills(f, 35, 60);
    drawn_l = 60 - forecast_reservoir(&f->room, &f->s, at(45, 9)).volume_l;
    assert_true(drawn_l > 5);
    reads(f, "reservoir", 40, FIGURE_PH, 6.5);
    tell(f, with_amount(set, "ph-down", 1));
    assert_near(tank(f)->body.volume_l, 60 - drawn_l, 1e-6);
    reads(f, "reservoir", 45, FIGURE_TEMP_C, 19);
    assert_near(tank(f)->body.volume_l, 60 - drawn_l, 1e-6);
}

static void acid_in_the_reservoir_sets_its_ph_and_teaches(void **ctx)
{
    struct fixture *f = *ctx;
    const struct learned *l;
    struct entry e = told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(2, 10));

    f->room.source.alkalinity_mg_l = 3 * 50.04;
    f->room.source.ph = 7.3;
    f->room.product[PH_DOWN].reagent = REAGENT_NITRIC;
    f->room.product[PH_DOWN].mol_ml = 0.005;
    f->room.product[PH_DOWN].contents.mg[NUTRIENT_P] = 100;
    begin_again(f);
    tell(f,
         with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(2, 9)), FIGURE_VOLUME_L, 40),
              FIGURE_PH, 7.3));
    tell(f, with_amount(with(e, FIGURE_PH, 5.8), "ph-down", 17.6));
    l = &f->s.product[PH_DOWN].strength;
    assert_int_equal(l->n_used, 1);
    assert_near(l->value, 1, 0.06);
    assert_near(tank(f)->ph.value, 5.8, 0);
    assert_int_equal(tank(f)->readings, 1);
    assert_near(tank(f)->feed.mg[NUTRIENT_P], 17.6 * 100 / 40.0, 1e-9);
    assert_near(f->s.product[PH_DOWN].left, 982.4, 0);
    assert_int_equal(tank(f)->buffer.at_s, at(2, 10));
    assert_true(tank(f)->buffer.alkalinity_meq_l < 0.9);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 8)));
    assert_true(isnan(tank(f)->buffer.alkalinity_meq_l)); /* that water is gone */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_fill_up_to_a_mark_is_known_to_the_mark),
        TEST(so_many_litres_add_to_what_was_seen),
        TEST(a_fill_thins_the_products_that_were_in_it),
        TEST(a_mix_takes_the_place_of_the_water),
        TEST(what_is_left_of_the_last_mix_counts),
        TEST(the_acid_of_a_fill_tells_whether_the_cans_were_used),
        TEST(acid_told_after_a_fresh_fill_teaches_what_the_bottle_does),
        TEST(a_mix_onto_the_rest_of_one_teaches_what_it_added),
        TEST(rinsing_leaves_plain_emptiness),
        TEST(a_reading_of_the_reservoir_is_believed),
        TEST(a_reading_counts_the_draw_anew_from_there),
        TEST(what_was_drawn_is_gone_whatever_is_told_of_the_ph),
        TEST(acid_in_the_reservoir_sets_its_ph_and_teaches),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
