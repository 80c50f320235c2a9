/* What a container holds of each nutrient: nothing appears, and nothing is lost. */
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

/* Bottles whose labels say what is in them. */
static int set_up_labels(void **ctx)
{
    struct fixture *f;
    int rc = set_up(ctx);

    f = *ctx;
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 50;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_P] = 20;
    f->room.product[PH_DOWN].contents.mg[NUTRIENT_P] = 100;
    return rc;
}

static void start_fed(struct fixture *f)
{
    tell(f, with_amount(with_amount(with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)),
                                         FIGURE_EC_MS_CM, 1.05),
                                    "calcium-part", 36),
                        "sulfate-part", 18));
}

static double n_mg_l(const struct fixture *f)
{
    return f->s.container[A1].feed.mg[NUTRIENT_NO3_N];
}

static double p_mg_l(const struct fixture *f)
{
    return f->s.container[A1].feed.mg[NUTRIENT_P];
}

/* Both reckon with the same figures: they agree to the last digits. */
static void assert_same_mg_l(double a, double b)
{
    assert_near(a, b, 1e-9 * fmax(1, fabs(b)));
}

static void a_dose_brings_what_its_label_says(void **ctx)
{
    struct fixture *f = *ctx;

    start_fed(f);
    assert_same_mg_l(n_mg_l(f), 36 * 50 / 18.0);
    assert_same_mg_l(p_mg_l(f), 18 * 20 / 18.0);
}

static void it_follows_the_strength_as_the_plant_drinks(void **ctx)
{
    struct fixture *f = *ctx;
    double before;
    double food;
    double food_then;

    start_fed(f);
    before = n_mg_l(f);
    food = f->s.container[A1].body.ec_ms_cm - f->s.container[A1].body.water_ms_cm;
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(20, 9)), FIGURE_EC_MS_CM, 0.525));
    food_then = 0.525 - f->s.container[A1].body.water_ms_cm;
    assert_same_mg_l(n_mg_l(f),
                     before * food_then / food); /* so much of the food, so much of each */
}

/* 20 mg/L of calcium and 30 of sodium come with the source: as it is let in, and with all that is
 * topped up; sodium gathers. */
static void what_the_source_brings_is_in_all_that_is_made_of_it(void **ctx)
{
    struct fixture *f = *ctx;
    double use_l;
    double na;

    f->room.source.brings.mg[NUTRIENT_CA] = 20;
    f->room.source.brings.mg[NUTRIENT_NA] = 30;
    fills(f, 0, 80);
    assert_same_mg_l(f->s.reservoir.feed.mg[NUTRIENT_CA], 20);
    start_fed(f);
    assert_same_mg_l(f->s.container[A1].feed.mg[NUTRIENT_CA], 20);
    assert_same_mg_l(n_mg_l(f), 36 * 50 / 18.0);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.4));
    na = f->s.container[A1].feed.mg[NUTRIENT_NA];
    use_l = curve_use_l(&f->s.container[A1].curve, 1, 38 + 1.0 / 24, 40 + 1.0 / 24);
    /* All that comes with the water less a seventh of what is there. */
    assert_near(forecast_feed(&f->room, &f->s, A1, at(40, 10)).mg[NUTRIENT_NA],
                na + (30 - 0.15 * na) * use_l / 8, 0.02 * na);
}

static void the_acid_counts(void **ctx)
{
    struct fixture *f = *ctx;
    double before;

    start_fed(f);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(0, 10)), FIGURE_PH, 6.8));
    before = p_mg_l(f);
    tell(f, with_amount(with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(0, 10)), FIGURE_PH, 5.8),
                        "ph-down", 3));
    assert_same_mg_l(p_mg_l(f), before + 3 * 100 / f->s.container[A1].body.volume_l);
}

static void a_change_mixes_the_rest_with_the_new(void **ctx)
{
    struct fixture *f = *ctx;
    double rest_n;

    start_fed(f);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 9)));
    tell(f,
         with_amount(with_amount(with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(38, 9)),
                                           FIGURE_VOLUME_L, 20),
                                      FIGURE_EC_MS_CM, 1.5),
                                 "calcium-part", 60),
                     "sulfate-part", 30));
    tell(f, with(told_at(ENTRY_DRAINED, "A1", "", at(38, 10)), FIGURE_VOLUME_L, 0.5));
    rest_n = n_mg_l(f);
    tell(f, with(with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_VOLUME_L, 8),
                 FIGURE_EC_MS_CM, 1.45));
    assert_same_mg_l(n_mg_l(f), (0.5 * rest_n + 7.5 * (60 * 50 / 20.0)) / 8);
}

/* Mass is conserved through any sequence of dosing, topping up, draining and refilling: what went
 * in less what was poured away is what is there. Plants stand still here: nothing is drunk. */
static void mass_is_conserved_through_any_sequence(void **ctx)
{
    struct fixture *f = *ctx;
    unsigned seed = 20261125;
    double n_mg;
    double ec_l;

    f->room.crop[VINE].use.most_l_day = 1e-12;
    start_fed(f);
    n_mg = 36 * 50;
    ec_l = 18 * 1.05;
    for (int i = 1; i <= 300; i++) {
        const struct liquid *body = &f->s.container[A1].body;
        double part = 0.1 + 0.8 * (rand_r(&seed) % 1000) / 1000.0;

        switch (rand_r(&seed) % 3) {
        case 0: /* bump: 1 mL of calcium-part brings 50 mg, and the EC it was measured to bring */
            ec_l += 0.2 * body->volume_l;
            n_mg += 5 * 50;
            tell(f, with_amount(with(told_at(ENTRY_BUMPED, "A1", "leaf", at(1, 0) + i * 60),
                                     FIGURE_EC_MS_CM, ec_l / body->volume_l),
                                "calcium-part", 5));
            break;
        case 1: /* topped up with water of 0.05 mS/cm */
            ec_l += 0.5 * 0.05;
            tell(f,
                 with(told_at(ENTRY_TOPPED_UP, "A1", "", at(1, 0) + i * 60), FIGURE_ADDED_L, 0.5));
            break;
        default: /* drained to a part: that part stays */
            n_mg *= part;
            ec_l *= part;
            tell(f, with(told_at(ENTRY_DRAINED, "A1", "", at(1, 0) + i * 60), FIGURE_VOLUME_L,
                         part * body->volume_l));
            break;
        }
        assert_true(fabs(n_mg_l(f) * body->volume_l - n_mg) < 1e-6 * fmax(1, n_mg));
        assert_true(fabs(body->ec_ms_cm * body->volume_l - ec_l) < 1e-6 * fmax(1, ec_l));
    }
}

/* A mix that was measured teaches what the dose adds; a worksheet by it then lands on its
 * target. */
static void measured_mixes_teach_the_recipe(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];
    double truth = 1.7; /* the bottle says 2.0 */

    for (int i = 0; i < 12; i++) {
        double share = 0.4 + 0.04 * i;

        tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(i, 8)));
        tell(f, with_amount(
                    with_amount(with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(i, 9)),
                                          FIGURE_VOLUME_L, 50),
                                     FIGURE_EC_MS_CM, 0.05 + truth * share),
                                "calcium-part", 50 * 4 * share),
                    "sulfate-part", 50 * 2 * share));
    }
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 12);
    assert_true(fabs(f->s.recipe[LEAF_FEED].gain.value - truth) < 0.02);
    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 10, truth, out), 2);
    assert_true(fabs(out[0].amount - 40) < 0.5);
}

static void a_mix_of_other_proportions_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f,
         with_amount(with_amount(with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(0, 9)),
                                           FIGURE_VOLUME_L, 50),
                                      FIGURE_EC_MS_CM, 1.0),
                                 "calcium-part", 100),
                     "sulfate-part", 10));
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 0);
    assert_true(f->s.recipe[LEAF_FEED].gain.value == 2.0);
}

#define LABELLED(name) cmocka_unit_test_setup_teardown(name, set_up_labels, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        LABELLED(a_dose_brings_what_its_label_says),
        LABELLED(it_follows_the_strength_as_the_plant_drinks),
        LABELLED(what_the_source_brings_is_in_all_that_is_made_of_it),
        LABELLED(the_acid_counts),
        LABELLED(a_change_mixes_the_rest_with_the_new),
        LABELLED(mass_is_conserved_through_any_sequence),
        LABELLED(measured_mixes_teach_the_recipe),
        LABELLED(a_mix_of_other_proportions_teaches_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
