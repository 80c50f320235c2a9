/* How much of what, without a task. */
#include "daemon/base/err.h"
#include "daemon/core/tell/mix_answer.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct mix_question q;
    struct mix_answer a;
    struct err err;
};

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    f->q = (struct mix_question){.recipe = -1,
                                 .crop = -1,
                                 .volume_l = NAN,
                                 .ec_ms_cm = NAN,
                                 .from_ms_cm = NAN,
                                 .water_ms_cm = NAN,
                                 .hard_ms_cm = NAN};
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

static int ask(struct fixture *f)
{
    return mix_answer_reckon(&f->room, &f->s, &f->q, &f->a, &f->err);
}

static void assert_near(double a, double b)
{
    assert_true(fabs(a - b) < 1e-9);
}

/* 4 and 2 mL/L add 2.0 mS/cm; the water has 0.05. */
static void a_recipe_a_volume_and_a_strength_make_doses(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = GROW;
    f->q.volume_l = 30;
    f->q.ec_ms_cm = 1.05;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_DOSE);
    assert_int_equal(f->a.n_portions, 2);
    assert_near(f->a.portion[0].product, 60);
    assert_near(f->a.portion[1].product, 30);
    assert_near(f->a.water_l, 30);
    assert_near(f->a.result.ec_ms_cm, 1.05);
}

static void a_weak_solution_is_told_what_to_add(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = GROW;
    f->q.volume_l = 10;
    f->q.from_ms_cm = 0.8;
    f->q.ec_ms_cm = 1.2;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_ADD);
    assert_near(f->a.portion[0].product, 8); /* 10 L, 0.4 of the 2.0 that 4 mL/L add */
    assert_near(f->a.portion[1].product, 4);
}

/* 0.45 over 1.00 - 0.05: water that has something in it thins a little less than pure. */
static void a_strong_one_is_told_how_much_water(void **ctx)
{
    struct fixture *f = *ctx;
    struct liquid thinned;

    f->q.volume_l = 20;
    f->q.from_ms_cm = 1.45;
    f->q.ec_ms_cm = 1.0;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_DILUTE);
    thinned = solution_mix((struct liquid){20, 1.45}, (struct liquid){f->a.water_l, 0.05});
    assert_near(thinned.ec_ms_cm, 1.0);
    assert_near(thinned.volume_l, f->a.result.volume_l);
}

static void bodies_poured_together_share_what_they_hold(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.n_poured = 2;
    f->q.poured[0] = (struct liquid){10, 1.2};
    f->q.poured[1] = (struct liquid){20, 0.3};
    assert_int_equal(ask(f), 0);
    assert_near(f->a.result.volume_l, 30);
    assert_near(f->a.result.ec_ms_cm, 0.6);
}

static void two_waters_blend_to_what_lies_between(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.volume_l = 30;
    f->q.ec_ms_cm = 0.25;
    f->q.hard_ms_cm = 0.65;
    assert_int_equal(ask(f), 0);
    assert_near(f->a.hard_l, 10);
    assert_near(f->a.water_l, 20);
    f->q.ec_ms_cm = 0.7;
    assert_int_equal(ask(f), ERR_REFUSED);
    assert_string_equal(f->err.msg,
                        "waters of 0.65 mS/cm and 0.05 mS/cm blend to what lies between");
}

static void water_that_is_too_hard_is_told_what_would_serve(void **ctx)
{
    struct fixture *f = *ctx;
    double blended;

    f->q.recipe = GROW;
    f->q.volume_l = 30;
    f->q.ec_ms_cm = 0.8;
    f->q.water_ms_cm = 1.0;
    assert_int_equal(ask(f), ERR_REFUSED);
    assert_string_equal(
        f->err.msg,
        "the water reads 1.00 mS/cm by itself, and 0.80 mS/cm is wanted: no dose makes that; "
        "blend 12.0 L of it with 18.0 L of low-EC water, which reads about 0.40 mS/cm");
    blended = solution_mix((struct liquid){12, 1.0}, (struct liquid){18, 0}).ec_ms_cm;
    assert_near(blended, 0.4);
}

static void half_a_question_is_told_what_is_missing(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = GROW;
    f->q.ec_ms_cm = 1.0;
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.msg, "say how much: volume=…");
    f->q.recipe = -1;
    f->q.volume_l = 10;
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.field, "recipe");
    f->q.volume_l = 0;
    assert_int_equal(ask(f), ERR_RANGE);
}

/* The products say what is in them: so does the mix. 2 mL/L of 48 mg in a mL. */
static void it_tells_what_the_plant_gets(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.product[GROW_B].contents.mg[NUTRIENT_NO3_N] = 48;
    f->q.recipe = GROW;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_FULL);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 96);
    f->q.volume_l = 5;
    f->q.ec_ms_cm = 1.05; /* half of it */
    assert_int_equal(ask(f), 0);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 48);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_recipe_a_volume_and_a_strength_make_doses),
        TEST(a_weak_solution_is_told_what_to_add),
        TEST(a_strong_one_is_told_how_much_water),
        TEST(bodies_poured_together_share_what_they_hold),
        TEST(two_waters_blend_to_what_lies_between),
        TEST(water_that_is_too_hard_is_told_what_would_serve),
        TEST(half_a_question_is_told_what_is_missing),
        TEST(it_tells_what_the_plant_gets),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
