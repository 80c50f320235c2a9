/* How much of each product makes a strength. */

#include "daemon/core/state/dosing.h"
#include "tests/unit/a_story.h"

static void assert_amount(const struct amount *a, const char *product, double amount)
{
    assert_string_equal(a->product, product);
    assert_true(fabs(a->amount - amount) <= 1e-12 * fmax(1, amount));
}

/* The recipe's full dose, 4 and 2 mL/L, adds 2.0 mS/cm. */
static void the_full_dose_makes_the_full_strength(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 50, 2.0, out), 2);
    assert_amount(&out[0], "calcium-part", 200);
    assert_amount(&out[1], "sulfate-part", 100);
}

static void a_part_of_the_strength_takes_that_part_of_every_product(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 50, 0.7, out), 2);
    assert_amount(&out[0], "calcium-part", 70);
    assert_amount(&out[1], "sulfate-part", 35);
}

static void products_come_in_the_order_of_addition(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    f->room.recipe[FRUIT].dose[0] = (struct dose){SALT, 0.5};
    f->room.recipe[FRUIT].dose[1] = (struct dose){CALCIUM_PART, 3};
    assert_int_equal(dosing_amounts(&f->room, &f->s, FRUIT, 10, 2.0, out), 2);
    assert_amount(&out[0], "salt", 5);
    assert_amount(&out[1], "calcium-part", 30);
}

static void water_that_is_strong_enough_takes_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    for (int gain = 0; gain > -3; gain--) {
        assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 50, gain, out), 2);
        assert_amount(&out[0], "calcium-part", 0);
        assert_amount(&out[1], "sulfate-part", 0);
    }
}

/* Whoever keeps two recipes' doses in one array finds the second as it was. */
static void nothing_is_written_behind_the_last_dose(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount amount[ROOM_DOSES_MAX] = {
        [2] = {"left alone", 7}
    };
    struct portion portion[ROOM_DOSES_MAX] = {
        [2] = {.product = 7, .off_frac = 9}
    };

    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 50, 2.0, amount), 2);
    assert_amount(&amount[2], "left alone", 7);
    assert_int_equal(dosing_portions(&f->room, &f->s, LEAF_FEED,
                                     &(struct dosing_rise){50, f->room.source.ec_ms_cm, 2.0},
                                     portion),
                     2);
    assert_true(portion[2].product == 7 && portion[2].off_frac == 9);
    assert_int_equal(dosing_as_amounts(&f->room, LEAF_FEED, portion, 2, amount), 2);
    assert_amount(&amount[2], "left alone", 7);
    assert_true(dosing_off_frac(portion, 2) < 9); /* nor read */
}

static void every_dose_of_a_long_recipe_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct recipe *r = &f->room.recipe[LEAF_FEED];
    struct amount out[ROOM_DOSES_MAX];
    struct portion portion[ROOM_DOSES_MAX];

    for (r->n_doses = 0; r->n_doses < ROOM_DOSES_MAX; r->n_doses++) {
        r->dose[r->n_doses] = (struct dose){SULFATE_PART, 1};
    }
    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 8, 1.0, out), 12);
    assert_amount(&out[11], "sulfate-part", 4);
    assert_int_equal(dosing_portions(&f->room, &f->s, LEAF_FEED,
                                     &(struct dosing_rise){8, f->room.source.ec_ms_cm, 1.0},
                                     portion),
                     12);
    assert_true(fabs(portion[11].product - 4) <= 1e-9);
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_K] = 10;
    assert_true(fabs(dosing_feed(&f->room, &f->s, LEAF_FEED, 1.0).mg[NUTRIENT_K] - 60) <= 1e-9);
    assert_true(fabs(dosing_brings(&f->room, out, 12).mg[NUTRIENT_K] - 12 * 40) <= 1e-9);
}

/* Full Hoagland & Arnon 1 in 4 mL/L of the one bottle; the other holds nothing that conducts. Full
 * 2.158, half 1.1364 and a fifth 0.4797 mS/cm, by a reference program (tests/data/phreeqc.json). */
static void label_hoagland(struct fixture *f)
{
    double *mg = f->room.product[CALCIUM_PART].contents.mg;

    mg[NUTRIENT_NO3_N] = 15 * 14.007 / 4;
    mg[NUTRIENT_P] = 30.974 / 4;
    mg[NUTRIENT_K] = 6 * 39.098 / 4;
    mg[NUTRIENT_CA] = 5 * 40.078 / 4;
    mg[NUTRIENT_MG] = 2 * 24.305 / 4;
    mg[NUTRIENT_S] = 2 * 32.06 / 4;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_FE] = 1;
    f->room.source.ec_ms_cm = 0;
}

/* mL of calcium-part in 10 L. */
static double dosed(const struct fixture *f, double gain_ms_cm)
{
    struct amount out[ROOM_DOSES_MAX];

    assert_int_equal(dosing_amounts(&f->room, &f->s, LEAF_FEED, 10, gain_ms_cm, out), 2);
    return out[0].amount;
}

static void assert_within(double got, double want, double frac)
{
    if (!(fabs(got - want) <= frac * want)) {
        fail_msg("%.8g is not %.8g", got, want);
    }
}

static void a_weak_solution_takes_less_than_its_part(void **ctx)
{
    struct fixture *f = *ctx;

    label_hoagland(f);
    assert_within(dosed(f, 2.0), 40, 1e-9); /* the learned figure stays that of the full dose */
    assert_within(dosed(f, 2.0 * 1.1364 / 2.158), 20, 0.01);
    assert_within(dosed(f, 2.0 * 0.4797 / 2.158), 8, 0.01);
    f->room.source.ec_ms_cm = 0.3; /* that is what its figure was learned in */
    assert_within(dosed(f, 2.0), 40, 1e-9);
}

static double portioned(const struct fixture *f, double from, double gain)
{
    struct dosing_rise rise = {1000, from, gain}; /* no rounding matters then */
    struct portion out[ROOM_DOSES_MAX];

    assert_int_equal(dosing_portions(&f->room, &f->s, LEAF_FEED, &rise, out), 2);
    return out[0].product;
}

static void a_strong_solution_takes_more_to_rise_as_much(void **ctx)
{
    struct fixture *f = *ctx;

    label_hoagland(f);
    assert_true(portioned(f, 2.0, 0.3) > 1.1 * portioned(f, 0, 0.3));
    assert_within(portioned(f, 0, 0.7) + portioned(f, 0.7, 0.9), portioned(f, 0, 1.6), 2e-3);
}

static void where_one_bottle_says_nothing_a_part_takes_its_part(void **ctx)
{
    struct fixture *f = *ctx;

    label_hoagland(f);
    f->room.product[SULFATE_PART].contents = (struct nutrients){0};
    assert_within(dosed(f, 0.5), 10, 1e-12);
    assert_within(portioned(f, 1.5, 0.5), 1000, 1e-12);
    assert_within(dosing_gain_frac(&f->room, &f->s, LEAF_FEED, 1.5, 0.25), 0.25, 1e-12);
}

/* A label without its nitrate: nobody knows what conducts. */
static void where_a_label_leaves_much_out_a_part_takes_its_part(void **ctx)
{
    struct fixture *f = *ctx;

    label_hoagland(f);
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 0;
    assert_within(dosed(f, 0.5), 10, 1e-12);
}

/* Weak mixes only, each of which reads what the program says of a bottle 10 % weaker than told. */
static void weak_mixes_teach_what_the_full_dose_adds(void **ctx)
{
    struct fixture *f = *ctx;
    static const double part[] = {0.2, 0.5};
    static const double reads[] = {0.4797, 1.1364};

    label_hoagland(f);
    for (int i = 0; i < 16; i++) {
        int k = i % 2;

        tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(i, 8)));
        tell(f, with_amount(
                    with_amount(with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(i, 9)),
                                          FIGURE_VOLUME_L, 50),
                                     FIGURE_EC_MS_CM, 1.8 * reads[k] / 2.158),
                                "calcium-part", 50 * 4 * part[k]),
                    "sulfate-part", 50 * 2 * part[k]));
    }
    assert_within(f->s.recipe[LEAF_FEED].gain.value, 1.8, 0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_weak_solution_takes_less_than_its_part),
        TEST(a_strong_solution_takes_more_to_rise_as_much),
        TEST(where_one_bottle_says_nothing_a_part_takes_its_part),
        TEST(where_a_label_leaves_much_out_a_part_takes_its_part),
        TEST(weak_mixes_teach_what_the_full_dose_adds),
        TEST(the_full_dose_makes_the_full_strength),
        TEST(a_part_of_the_strength_takes_that_part_of_every_product),
        TEST(products_come_in_the_order_of_addition),
        TEST(water_that_is_strong_enough_takes_nothing),
        TEST(nothing_is_written_behind_the_last_dose),
        TEST(every_dose_of_a_long_recipe_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
