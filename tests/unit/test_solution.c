/* Strengths: pouring, drinking, topping up. */
#include "tests/cmocka_all.h"

#include "daemon/core/model/solution.h"

#include <math.h>

static void assert_near(double got, double want)
{
    if (!(fabs(got - want) <= 1e-12 * fmax(1, fabs(want)))) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

static void pouring_adds_volumes_and_averages_strengths_by_volume(void **state)
{
    struct liquid l =
        solution_mix((struct liquid){.volume_l = 10, .ec_ms_cm = 2}, (struct liquid){30, 1, 0});

    (void)state;
    assert_near(l.volume_l, 40);
    assert_near(l.ec_ms_cm, 1.25);
}

static void pouring_nothing_changes_nothing(void **state)
{
    struct liquid l = solution_mix((struct liquid){10, 2, 0}, (struct liquid){0, 9, 0});
    struct liquid dry = solution_mix((struct liquid){0, 2, 0}, (struct liquid){0, 9, 0});

    (void)state;
    assert_near(l.volume_l, 10);
    assert_near(l.ec_ms_cm, 2);
    assert_true(dry.volume_l == 0 && dry.ec_ms_cm == 2);
}

static void the_dose_is_what_the_water_lacks(void **state)
{
    (void)state;
    assert_near(solution_dose(1.8, 0.2, 0.8), 2);
    assert_near(solution_dose(1.8, 1.8, 0.8), 0);
    assert_near(solution_dose(1.0, 1.8, 0.8), 0); /* nothing takes salt out */
}

static void a_mix_makes_up_for_what_stayed_in_the_container(void **state)
{
    double mix = solution_mix_for_rest(1.2, 8, 0.4, 2);
    struct liquid filled = solution_mix((struct liquid){2, 0.4, 0}, (struct liquid){6, mix, 0});

    (void)state;
    assert_near(mix, 8.8 / 6);
    assert_near(filled.volume_l, 8);
    assert_near(filled.ec_ms_cm, 1.2);
    assert_near(solution_mix_for_rest(1.2, 8, 3, 0), 1.2);
    assert_near(solution_mix_for_rest(0.5, 8, 3, 4), 0); /* even plain water leaves it stronger */
}

static struct liquid pure(double volume_l, double food_ms_cm)
{
    return (struct liquid){volume_l, food_ms_cm, 0};
}

static struct liquid tap(double ec_ms_cm)
{
    return (struct liquid){0, ec_ms_cm, ec_ms_cm};
}

static void drawn_down_the_strength_goes_the_way_of_the_uptake(void **state)
{
    struct liquid body = pure(18, 1.0);

    (void)state;
    assert_near(solution_drawn(body, 9, 1.0).ec_ms_cm, 1.0);
    assert_near(solution_drawn(body, 9, 0.8).ec_ms_cm, 1.2);
    assert_near(solution_drawn(body, 9, 1.2).ec_ms_cm, 0.8);
    assert_near(solution_drawn(body, 9, 1.2).volume_l, 9);
    assert_near(solution_drawn(body, 0, 1.2).ec_ms_cm, 1.0);
}

/* Below what is scarce it takes in proportion, so something is always left, and less with use. */
static void a_plant_cannot_take_more_than_there_is(void **state)
{
    double weak = solution_drawn(pure(18, 0.5), 12, 2).ec_ms_cm;
    double weaker = solution_topped(pure(8, 0.5), 20, 2, tap(0)).ec_ms_cm;

    (void)state;
    assert_true(weak > 0 && weak < 0.15);
    assert_true(weaker > 0 && weaker < 0.01);
    assert_true(solution_topped(pure(8, 0.5), 30, 2, tap(0)).ec_ms_cm < weaker);
}

static void what_is_drawn_dry_keeps_its_strength(void **state)
{
    (void)state;
    assert_near(solution_drawn(pure(18, 1.4), 18, 1).ec_ms_cm, 1.4);
    assert_near(solution_drawn(pure(18, 1.4), 18, 1).volume_l, 0);
    assert_near(solution_drawn(pure(18, 1.4), 30, 1).ec_ms_cm, 1.4);
    assert_near(solution_drawn(pure(18, 1.4), 30, 1).volume_l, 0);
    assert_near(solution_topped(pure(0, 1.4), 1, 1, tap(0)).ec_ms_cm, 1.4);
}

static void topped_with_plain_water_the_strength_falls_by_what_was_taken(void **state)
{
    (void)state;
    assert_near(solution_topped(pure(8, 1.2), 4, 1.0, tap(0)).ec_ms_cm, 0.7);
    assert_near(solution_topped(pure(8, 1.2), 4, 1.0, tap(0)).volume_l, 8);
}

/* As long as there is plenty a meter sees what comes less what goes, whatever it is made of. */
static void a_meter_sees_what_comes_less_what_is_taken(void **state)
{
    struct liquid body = {8, 1.6, 0.4};

    (void)state;
    assert_near(solution_topped(body, 4, 1.0, tap(0.2)).ec_ms_cm, 1.2);
    assert_near(solution_topped(body, 8, 0.9, pure(0, 0.5)).ec_ms_cm, 1.2);
    assert_near(solution_drawn(body, 4, 1.2).ec_ms_cm, (1.6 * 8 - 1.2 * 4) / 4);
}

/* On tap water: in the same use the food falls by more than the meter shows, for what the water
 * brings gathers, though the plant takes a part of it. */
static void what_the_water_brings_gathers_and_is_no_food(void **state)
{
    struct liquid body = {8, 1.6, 0.5};
    struct liquid later = solution_topped(body, 8, 1.0, tap(0.5));

    (void)state;
    assert_near(later.ec_ms_cm, 1.1);
    assert_true(later.water_ms_cm > 0.5 + 0.2 && later.water_ms_cm < 1.0);
    assert_near(solution_food_ms_cm(later), 1.1 - later.water_ms_cm);
    assert_true(solution_food_ms_cm(later) < 0.4);
}

static void a_meter_speaks_of_the_food_and_not_of_the_water(void **state)
{
    struct liquid body = {8, 1.6, 0.5};

    (void)state;
    solution_shows(&body, 1.3);
    assert_near(body.water_ms_cm, 0.5);
    assert_near(solution_food_ms_cm(body), 0.8);
    solution_shows(&body, 0.3); /* less than the water was thought to have: then it has less */
    assert_near(body.water_ms_cm, 0.3);
    assert_near(solution_food_ms_cm(body), 0);
}

static void a_solution_is_spent_when_the_use_that_was_told_is_over(void **state)
{
    struct liquid body = pure(8, 1.2);
    struct liquid hard = {8, 1.6, 0.5};
    double use_l = solution_use_until(body, 0.6, 1.0, tap(0));
    double hard_l = solution_use_until(hard, 0.6, 1.0, tap(0.5));

    (void)state;
    assert_float_equal(use_l, 4.8, 1e-9);
    assert_float_equal(solution_food_ms_cm(solution_topped(hard, hard_l, 1.0, tap(0.5))), 0.6,
                       1e-9);
    assert_near(solution_use_until(body, 1.2, 1.0, tap(0)), 0);
    assert_near(solution_use_until(body, 1.5, 1.0, tap(0)), 0);
}

static void a_strength_that_does_not_fall_is_never_spent(void **state)
{
    (void)state;
    assert_true(isinf(solution_use_until(pure(8, 1.2), 0.6, 0.5, pure(0, 0.5))));
    assert_true(isinf(solution_use_until(pure(8, 1.2), 0.6, 0.5, pure(0, 0.9))));
    assert_true(isinf(solution_use_until(pure(8, 1.2), -0.1, 1.0, tap(0))));
}

static void strength_rises_in_steps_and_falls_at_once(void **state)
{
    (void)state;
    assert_near(solution_next_strength(1.8, 0.7, 0.4), 1.1);
    assert_near(solution_next_strength(1.0, 0.7, 0.4), 1.0);
    assert_near(solution_next_strength(0.7, 1.8, 0.4), 0.7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pouring_adds_volumes_and_averages_strengths_by_volume),
        cmocka_unit_test(pouring_nothing_changes_nothing),
        cmocka_unit_test(the_dose_is_what_the_water_lacks),
        cmocka_unit_test(a_mix_makes_up_for_what_stayed_in_the_container),
        cmocka_unit_test(drawn_down_the_strength_goes_the_way_of_the_uptake),
        cmocka_unit_test(a_plant_cannot_take_more_than_there_is),
        cmocka_unit_test(what_is_drawn_dry_keeps_its_strength),
        cmocka_unit_test(topped_with_plain_water_the_strength_falls_by_what_was_taken),
        cmocka_unit_test(a_meter_sees_what_comes_less_what_is_taken),
        cmocka_unit_test(what_the_water_brings_gathers_and_is_no_food),
        cmocka_unit_test(a_meter_speaks_of_the_food_and_not_of_the_water),
        cmocka_unit_test(a_solution_is_spent_when_the_use_that_was_told_is_over),
        cmocka_unit_test(a_strength_that_does_not_fall_is_never_spent),
        cmocka_unit_test(strength_rises_in_steps_and_falls_at_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
