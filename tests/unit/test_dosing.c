/* How much of each product makes a strength. */

#include "daemon/core/state/dosing.h"
#include "tests/unit/a_told_room.h"

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

    assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 50, 2.0, out), 2);
    assert_amount(&out[0], "grow-a", 200);
    assert_amount(&out[1], "grow-b", 100);
}

static void a_part_of_the_strength_takes_that_part_of_every_product(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 50, 0.7, out), 2);
    assert_amount(&out[0], "grow-a", 70);
    assert_amount(&out[1], "grow-b", 35);
}

static void products_come_in_the_order_of_addition(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    f->room.recipe[FRUIT].dose[0] = (struct dose){SALT, 0.5};
    f->room.recipe[FRUIT].dose[1] = (struct dose){GROW_A, 3};
    assert_int_equal(dosing_amounts(&f->room, &f->s, FRUIT, 10, 2.0, out), 2);
    assert_amount(&out[0], "salt", 5);
    assert_amount(&out[1], "grow-a", 30);
}

static void water_that_is_strong_enough_takes_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct amount out[ROOM_DOSES_MAX];

    for (int gain = 0; gain > -3; gain--) {
        assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 50, gain, out), 2);
        assert_amount(&out[0], "grow-a", 0);
        assert_amount(&out[1], "grow-b", 0);
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

    assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 50, 2.0, amount), 2);
    assert_amount(&amount[2], "left alone", 7);
    assert_int_equal(dosing_portions(&f->room, &f->s, GROW, 50, 2.0, portion), 2);
    assert_true(portion[2].product == 7 && portion[2].off_frac == 9);
    assert_int_equal(dosing_as_amounts(&f->room, GROW, portion, 2, amount), 2);
    assert_amount(&amount[2], "left alone", 7);
    assert_true(dosing_off_frac(portion, 2) < 9); /* nor read */
}

static void every_dose_of_a_long_recipe_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct recipe *r = &f->room.recipe[GROW];
    struct amount out[ROOM_DOSES_MAX];
    struct portion portion[ROOM_DOSES_MAX];

    for (r->n_doses = 0; r->n_doses < ROOM_DOSES_MAX; r->n_doses++) {
        r->dose[r->n_doses] = (struct dose){GROW_B, 1};
    }
    assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 8, 1.0, out), 12);
    assert_amount(&out[11], "grow-b", 4);
    assert_int_equal(dosing_portions(&f->room, &f->s, GROW, 8, 1.0, portion), 12);
    assert_true(fabs(portion[11].product - 4) <= 1e-9);
    f->room.product[GROW_B].contents.mg[NUTRIENT_K] = 10;
    assert_true(fabs(dosing_feed(&f->room, &f->s, GROW, 1.0).mg[NUTRIENT_K] - 60) <= 1e-9);
    assert_true(fabs(dosing_brings(&f->room, out, 12).mg[NUTRIENT_K] - 12 * 40) <= 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_full_dose_makes_the_full_strength),
        TEST(a_part_of_the_strength_takes_that_part_of_every_product),
        TEST(products_come_in_the_order_of_addition),
        TEST(water_that_is_strong_enough_takes_nothing),
        TEST(nothing_is_written_behind_the_last_dose),
        TEST(every_dose_of_a_long_recipe_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
