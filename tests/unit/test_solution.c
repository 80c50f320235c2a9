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
        solution_mix((struct liquid){.volume_l = 10, .ec_ms_cm = 2}, (struct liquid){30, 1});

    (void)state;
    assert_near(l.volume_l, 40);
    assert_near(l.ec_ms_cm, 1.25);
}

static void pouring_nothing_changes_nothing(void **state)
{
    struct liquid l = solution_mix((struct liquid){10, 2}, (struct liquid){0, 9});
    struct liquid dry = solution_mix((struct liquid){0, 2}, (struct liquid){0, 9});

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
    struct liquid filled = solution_mix((struct liquid){2, 0.4}, (struct liquid){6, mix});

    (void)state;
    assert_near(mix, 8.8 / 6);
    assert_near(filled.volume_l, 8);
    assert_near(filled.ec_ms_cm, 1.2);
    assert_near(solution_mix_for_rest(1.2, 8, 3, 0), 1.2);
    assert_near(solution_mix_for_rest(0.5, 8, 3, 4), 0); /* even plain water leaves it stronger */
}

static void drawn_down_the_strength_goes_the_way_of_the_uptake(void **state)
{
    struct liquid body = {18, 1.0};

    (void)state;
    assert_near(solution_ec_drawn(body, 9, 1.0), 1.0);
    assert_near(solution_ec_drawn(body, 9, 0.8), 1.2);
    assert_near(solution_ec_drawn(body, 9, 1.2), 0.8);
    assert_near(solution_ec_drawn(body, 0, 1.2), 1.0);
}

static void a_plant_cannot_take_more_than_there_is(void **state)
{
    (void)state;
    assert_true(solution_ec_drawn((struct liquid){18, 0.5}, 12, 2) == 0);
    assert_true(solution_ec_topped((struct liquid){8, 0.5}, 20, 2, 0.05) == 0);
}

static void what_is_drawn_dry_keeps_its_strength(void **state)
{
    (void)state;
    assert_near(solution_ec_drawn((struct liquid){18, 1.4}, 18, 1), 1.4);
    assert_near(solution_ec_drawn((struct liquid){18, 1.4}, 30, 1), 1.4);
    assert_near(solution_ec_topped((struct liquid){0, 1.4}, 1, 1, 0), 1.4);
}

static void topped_with_plain_water_the_strength_falls_by_what_was_taken(void **state)
{
    (void)state;
    assert_near(solution_ec_topped((struct liquid){8, 1.2}, 4, 1.0, 0), 0.7);
    assert_near(solution_ec_topped((struct liquid){8, 1.2}, 4, 1.0, 0.2), 0.8);
}

static void topped_with_strong_water_the_salt_gathers(void **state)
{
    (void)state;
    assert_near(solution_ec_topped((struct liquid){8, 1.2}, 8, 0.5, 0.9), 1.6);
}

static void a_solution_is_spent_when_the_use_that_was_told_is_over(void **state)
{
    struct liquid body = {8, 1.2};
    double use_l = solution_use_until(body, 0.6, 1.0, 0.2);

    (void)state;
    assert_near(use_l, 6);
    assert_near(solution_ec_topped(body, use_l, 1.0, 0.2), 0.6);
    assert_near(solution_use_until(body, 1.2, 1.0, 0.2), 0);
    assert_near(solution_use_until(body, 1.5, 1.0, 0.2), 0);
}

static void a_strength_that_does_not_fall_is_never_spent(void **state)
{
    struct liquid body = {8, 1.2};

    (void)state;
    assert_true(isinf(solution_use_until(body, 0.6, 0.5, 0.5)));
    assert_true(isinf(solution_use_until(body, 0.6, 0.5, 0.9)));
    assert_true(isinf(solution_use_until(body, -0.1, 1.0, 0)));
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
        cmocka_unit_test(topped_with_strong_water_the_salt_gathers),
        cmocka_unit_test(a_solution_is_spent_when_the_use_that_was_told_is_over),
        cmocka_unit_test(a_strength_that_does_not_fall_is_never_spent),
        cmocka_unit_test(strength_rises_in_steps_and_falls_at_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
