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

static void every_dose_of_a_long_recipe_is_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct recipe *r = &f->room.recipe[GROW];
    struct amount out[ROOM_DOSES_MAX];

    for (r->n_doses = 0; r->n_doses < ROOM_DOSES_MAX; r->n_doses++) {
        r->dose[r->n_doses] = (struct dose){GROW_B, 1};
    }
    assert_int_equal(dosing_amounts(&f->room, &f->s, GROW, 8, 1.0, out), 12);
    assert_amount(&out[11], "grow-b", 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_full_dose_makes_the_full_strength),
        TEST(a_part_of_the_strength_takes_that_part_of_every_product),
        TEST(products_come_in_the_order_of_addition),
        TEST(water_that_is_strong_enough_takes_nothing),
        TEST(every_dose_of_a_long_recipe_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
