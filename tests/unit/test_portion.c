/* Amounts that a person can measure. */
#include "daemon/core/room/portion.h"
#include "tests/cmocka_all.h"

#include <math.h>

static const struct measures kit = {.syringe_ml = 20,
                                    .syringe_step_ml = 0.2,
                                    .cylinder_ml = 250,
                                    .cylinder_step_ml = 2,
                                    .scale_step_g = 0.1};

static void assert_near(double a, double b)
{
    assert_true(fabs(a - b) < 1e-9);
}

static void a_little_goes_by_syringe_and_more_by_cylinder(void **state)
{
    struct portion little = portion_of(&kit, false, 14.63);
    struct portion more = portion_of(&kit, false, 63.1);

    (void)state;
    assert_int_equal(little.tool, TOOL_SYRINGE);
    assert_near(little.amount, 14.6);
    assert_int_equal(little.thin, 1);
    assert_int_equal(more.tool, TOOL_CYLINDER);
    assert_near(more.amount, 64);
    assert_near(more.off_frac, 64 / 63.1 - 1);
}

static void what_is_too_little_is_thinned(void **state)
{
    struct portion p = portion_of(&kit, false, 0.73);

    (void)state;
    assert_int_equal(p.thin, 10);
    assert_near(p.amount, 7.4); /* 7.3 of one part in ten */
    assert_near(p.product, 0.74);
}

static void what_is_too_light_is_dissolved(void **state)
{
    struct portion p = portion_of(&kit, true, 0.023);

    (void)state;
    assert_int_equal(p.tool, TOOL_SCALE);
    assert_int_equal(p.thin, 100);
    assert_near(p.amount, 2.3);
}

/* From a drop to a bucket: what is rounded never moves a dose by more than 2 %. */
static void rounding_never_moves_a_dose_by_more_than_two_percent(void **state)
{
    (void)state;
    for (int i = 0; i < 930; i++) {
        double wanted = 0.06 * pow(1.0137, i); /* up to 19 L */

        assert_true(fabs(portion_of(&kit, false, wanted).off_frac) <= PORTION_OFF_MAX);
        assert_true(fabs(portion_of(&kit, true, wanted).off_frac) <= PORTION_OFF_MAX);
    }
}

static void nothing_is_nothing(void **state)
{
    struct portion p = portion_of(&kit, false, 0);

    (void)state;
    assert_true(p.amount == 0 && p.product == 0 && p.off_frac == 0 && p.thin == 1);
}

/* Filled twice the syringe holds 40 mL; up to five times, where the cylinder would be too coarse.
 */
static void a_syringe_is_filled_twice_or_five_times_where_the_cylinder_is_coarse(void **state)
{
    static const struct measures coarse = {.syringe_ml = 20,
                                           .syringe_step_ml = 0.2,
                                           .cylinder_ml = 1000,
                                           .cylinder_step_ml = 20,
                                           .scale_step_g = 0.1};

    (void)state;
    assert_int_equal(portion_of(&kit, false, 40).tool, TOOL_SYRINGE);
    assert_int_equal(portion_of(&kit, false, 40.4).tool, TOOL_CYLINDER);
    assert_int_equal(portion_of(&coarse, false, 90).tool, TOOL_SYRINGE); /* 80 or 100 by cylinder */
    assert_int_equal(portion_of(&coarse, false, 60).tool, TOOL_CYLINDER); /* it has a line there */
    assert_int_equal(portion_of(&coarse, false, 100).tool, TOOL_CYLINDER);
    assert_int_equal(portion_of(&coarse, false, 110).tool,
                     TOOL_CYLINDER); /* five times are enough */
}

/* 5.1 mL would be 5.0 or 5.2 by the syringe, within 2 %; 4.9 mL is 4.8, just beyond. */
static void what_is_within_two_percent_is_not_thinned(void **state)
{
    struct portion p = portion_of(&kit, false, 5.1);

    (void)state;
    assert_int_equal(p.thin, 1);
    p = portion_of(&kit, false, 4.9);
    assert_int_equal(p.thin, 10);
    assert_near(p.product, 4.9);
    assert_int_equal(p.tool, TOOL_SYRINGE); /* 49 mL: 48 or 50 by the cylinder, so three times */
    p = portion_of(&kit, true, 0.0001);     /* no thinner than one in a hundred */
    assert_int_equal(p.thin, PORTION_THIN_MAX);
    assert_near(p.product, 0);
    assert_near(p.off_frac, -1);
}

static void every_tool_has_its_word(void **state)
{
    (void)state;
    assert_string_equal(tool_words[TOOL_SYRINGE], "syringe");
    assert_string_equal(tool_words[TOOL_CYLINDER], "cylinder");
    assert_string_equal(tool_words[TOOL_SCALE], "scale");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_syringe_is_filled_twice_or_five_times_where_the_cylinder_is_coarse),
        cmocka_unit_test(what_is_within_two_percent_is_not_thinned),
        cmocka_unit_test(every_tool_has_its_word),
        cmocka_unit_test(a_little_goes_by_syringe_and_more_by_cylinder),
        cmocka_unit_test(what_is_too_little_is_thinned),
        cmocka_unit_test(what_is_too_light_is_dissolved),
        cmocka_unit_test(rounding_never_moves_a_dose_by_more_than_two_percent),
        cmocka_unit_test(nothing_is_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
