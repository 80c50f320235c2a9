/* Levels off a ruler. */
#include "daemon/core/room/ruler.h"
#include "tests/cmocka_all.h"

#include <math.h>

static const struct subject the_container = {SUBJECT_CONTAINER, 0};
static const struct subject the_reservoir = {SUBJECT_RESERVOIR, 0};

/* Litres up to a height of a bucket that is 26 cm wide at its floor and 30 cm at 30.8 cm: the
 * frustum of a cone, pi h (R^2 + R r + r^2) / 3 (any book of solid geometry). */
static double bucket_l(double height_m)
{
    double low = 1.3; /* dm, so that dm^3 are litres */
    double h = 10 * height_m;
    double at = low + 0.2 * h / 3.08;

    return acos(-1) * h * (at * at + at * low + low * low) / 3;
}

static double bucket_height_m(double volume_l)
{
    double lo = 0;
    double hi = 0.4;

    for (int i = 0; i < 60; i++) {
        double mid = (lo + hi) / 2;

        *(bucket_l(mid) < volume_l ? &lo : &hi) = mid;
    }
    return lo;
}

static void one_height_is_a_vessel_of_straight_walls(void **state)
{
    struct container tub = {.start_volume_l = 18, .float_volume_l = 8, .start_height_m = 0.36};
    struct room room = {.container = &tub, .n_containers = 1};
    struct ruler r;

    (void)state;
    assert_true(ruler_of(&room, the_container, &r));
    assert_true(fabs(ruler_volume_l(&r, 0.10) - 5) < 1e-9); /* half a litre a cm */
    assert_true(fabs(ruler_height_m(&r, 8) - 0.16) < 1e-9);
}

static void two_marks_serve_a_bucket_that_is_wider_at_the_top(void **state)
{
    struct container bucket = {.start_volume_l = 19, .float_volume_l = 8};
    struct room room = {.container = &bucket, .n_containers = 1};
    struct ruler r;

    (void)state;
    bucket.start_height_m = bucket_height_m(19);
    bucket.float_height_m = bucket_height_m(8);
    assert_true(ruler_of(&room, the_container, &r));
    for (int mm = 0; bucket.float_height_m + mm / 1000.0 <= bucket.start_height_m; mm++) {
        double m = bucket.float_height_m + mm / 1000.0;

        assert_true(fabs(ruler_volume_l(&r, m) - bucket_l(m)) < 0.21);
    }
}

static void the_ruler_of_a_reservoir_may_stand_on_a_shelf(void **state)
{
    struct room room = {0};
    struct ruler r;

    (void)state;
    room.reservoir.capacity_l = 90;
    room.reservoir.remainder_l = 10;
    room.reservoir.full_height_m = 0.90;
    room.reservoir.outlet_height_m = 0.50;
    assert_true(ruler_of(&room, the_reservoir, &r));
    assert_true(fabs(ruler_volume_l(&r, 0.60) - 30) < 1e-9); /* 80 L in 40 cm */
    assert_true(ruler_volume_l(&r, 0.44) < 0);               /* below its floor */
}

static void without_a_height_there_is_no_scale(void **state)
{
    struct container tub = {.start_volume_l = 18, .float_volume_l = 8};
    struct room room = {.container = &tub, .n_containers = 1};
    struct ruler r;

    (void)state;
    assert_false(ruler_of(&room, the_container, &r));
    assert_false(ruler_of(&room, the_reservoir, &r));
    assert_false(ruler_of(&room, (struct subject){SUBJECT_NONE, 0}, &r));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_height_is_a_vessel_of_straight_walls),
        cmocka_unit_test(two_marks_serve_a_bucket_that_is_wider_at_the_top),
        cmocka_unit_test(the_ruler_of_a_reservoir_may_stand_on_a_shelf),
        cmocka_unit_test(without_a_height_there_is_no_scale),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
