/* How much of what, without a task. */
#include "daemon/base/err.h"
#include "daemon/core/tell/mix_answer.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_mix_question.h"

#include <stdlib.h>

static void assert_near(double a, double b)
{
    assert_true(fabs(a - b) < 1e-9);
}

/* 4 and 2 mL/L add 2.0 mS/cm; the water has 0.05. */
static void a_recipe_a_volume_and_a_strength_make_doses(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
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

    f->q.recipe = LEAF_FEED;
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
    thinned = solution_mix((struct liquid){20, 1.45, 0}, (struct liquid){f->a.water_l, 0.05, 0});
    assert_near(thinned.ec_ms_cm, 1.0);
    assert_near(thinned.volume_l, f->a.result.volume_l);
}

static void bodies_poured_together_share_what_they_hold(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.n_poured = 2;
    f->q.poured[0] = (struct liquid){10, 1.2, 0};
    f->q.poured[1] = (struct liquid){20, 0.3, 0};
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

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 30;
    f->q.ec_ms_cm = 0.8;
    f->q.water_ms_cm = 1.0;
    assert_int_equal(ask(f), ERR_REFUSED);
    assert_string_equal(
        f->err.msg,
        "the water reads 1.00 mS/cm by itself, and 0.80 mS/cm is wanted: no dose makes that; "
        "blend 12.0 L of it with 18.0 L of low-EC water, which reads about 0.40 mS/cm");
    blended = solution_mix((struct liquid){12, 1.0, 0}, (struct liquid){18, 0, 0}).ec_ms_cm;
    assert_near(blended, 0.4);
}

static void half_a_question_is_told_what_is_missing(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
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

    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NO3_N] = 48;
    f->q.recipe = LEAF_FEED;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_FULL);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 96);
    f->q.volume_l = 5;
    f->q.ec_ms_cm = 1.05; /* half of it */
    assert_int_equal(ask(f), 0);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 48);
}

static void nothing_else_is_asked_of_a_full_dose(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_FULL);
    assert_int_equal(f->a.n_portions, 2);
    assert_near(f->a.portion[0].amount, 4); /* per litre, as the label says */
    assert_near(f->a.portion[0].product, 4);
    assert_near(f->a.portion[1].product, 2);
    assert_int_equal(f->a.portion[0].thin, 1);
    assert_near(f->a.result.volume_l, 1);
    assert_near(f->a.result.ec_ms_cm, 2.05); /* 2.0 on the source's 0.05 */
    f->q.water_ms_cm = 0.3;
    assert_int_equal(ask(f), 0);
    assert_near(f->a.result.ec_ms_cm, 2.3);
}

static void water_of_the_strength_that_is_wanted_takes_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 30;
    f->q.ec_ms_cm = 0.05;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_DOSE);
    assert_near(f->a.portion[0].product, 0);
    f->q.ec_ms_cm = 0.049;
    assert_int_equal(ask(f), ERR_REFUSED);
    assert_string_equal(f->err.field, "ec");
}

static void a_solution_that_is_right_is_told_to_add_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.from_ms_cm = 1.2;
    f->q.ec_ms_cm = 1.2;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_ADD);
    assert_near(f->a.portion[0].product, 0);
    f->q.recipe = -1;
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.field, "recipe");
    assert_string_equal(f->err.msg, "say with which recipe it is to be made stronger");
}

static void water_that_is_no_weaker_thins_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.volume_l = 20;
    f->q.from_ms_cm = 1.45;
    f->q.ec_ms_cm = 1.0;
    f->q.water_ms_cm = 1.0;
    assert_int_equal(ask(f), ERR_REFUSED);
    assert_string_equal(f->err.field, "water");
    assert_string_equal(f->err.msg, "the plain water is no weaker than 1.00 mS/cm: it cannot thin "
                                    "the solution to that; use low-EC water");
    f->q.water_ms_cm = 0.5; /* half way: as much again, less what is over: 20 * 0.45 / 0.5 */
    assert_int_equal(ask(f), 0);
    assert_near(f->a.water_l, 18);
    assert_near(f->a.result.volume_l, 38);
    assert_near(f->a.result.ec_ms_cm, 1.0);
}

/* What the plant gets stands beside a correction too: of the whole strength, not of what is added.
 */
static void a_correction_tells_the_feed_of_the_whole(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NO3_N] = 48;
    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.from_ms_cm = 0.8;
    f->q.ec_ms_cm = 1.05; /* half of 2.0 on 0.05: 1 mL/L of 48 mg */
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_ADD);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 48);
    f->q.from_ms_cm = 1.6;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_DILUTE);
    assert_near(f->a.feed.mg[NUTRIENT_NO3_N], 48);
    f->q.ec_ms_cm = 0.06;
    f->q.water_ms_cm = 0.05;
    assert_int_equal(ask(f), 0);
    assert_true(f->a.feed.mg[NUTRIENT_NO3_N] >= 0);
}

static void the_strength_is_estimated_where_the_products_say_what_they_hold(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.ec_ms_cm = 1.05;
    assert_int_equal(ask(f), 0);
    assert_true(isnan(f->a.estimate_ms_cm));
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_NO3_N] = 48;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_CA] = 69;
    assert_int_equal(ask(f), 0);
    /* 48 mg/L of N and 69 of Ca are 3.4 mmol/L of charge each way: about 0.4 mS/cm on the water's
     * 0.05 by the limiting molar conductivities (71.4 and 59.5 S cm2/mol, CRC Handbook, from
     * memory), less some for what ions do to each other. */
    assert_true(f->a.estimate_ms_cm > 0.05 + 0.36 && f->a.estimate_ms_cm < 0.05 + 0.46);
    assert_true(f->a.estimate_off > 0 && f->a.estimate_off < 0.3);
}

static void rounding_to_what_a_syringe_shows_is_owned_up_to(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 1.03;
    f->q.ec_ms_cm = 1.05; /* 2.06 and 1.03 mL, and the syringe shows 0.2 mL */
    assert_int_equal(ask(f), 0);
    assert_true(f->a.off_frac > 0 && f->a.off_frac <= PORTION_OFF_MAX);
}

static void assert_out_of_range(struct fixture *f, double *figure, double v, const char *message)
{
    double was = *figure;

    *figure = v;
    assert_int_equal(ask(f), ERR_RANGE);
    assert_string_equal(f->err.msg, message);
    assert_int_equal(strncmp(f->err.field, message, strlen(f->err.field)), 0);
    *figure = was;
}

/* What an entry could not tell is not asked either: EC up to 20 mS/cm, 100 m3. */
static void what_cannot_be_is_not_reckoned_with(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.recipe = LEAF_FEED;
    f->q.volume_l = 10;
    f->q.ec_ms_cm = 1;
    f->q.from_ms_cm = 0.5;
    assert_out_of_range(f, &f->q.volume_l, 0, "volume lies between 0.0 L and 100000 L");
    assert_out_of_range(f, &f->q.volume_l, 100001, "volume lies between 0.0 L and 100000 L");
    assert_out_of_range(f, &f->q.volume_l, INFINITY, "volume lies between 0.0 L and 100000 L");
    assert_out_of_range(f, &f->q.ec_ms_cm, 20.01, "ec lies between 0.00 mS/cm and 20.00 mS/cm");
    assert_out_of_range(f, &f->q.from_ms_cm, -0.01, "from lies between 0.00 mS/cm and 20.00 mS/cm");
    assert_out_of_range(f, &f->q.water_ms_cm, 20.01,
                        "water lies between 0.00 mS/cm and 20.00 mS/cm");
    assert_out_of_range(f, &f->q.hard_ms_cm, -1, "hard lies between 0.00 mS/cm and 20.00 mS/cm");
    f->q.ec_ms_cm = 20;
    f->q.volume_l = 1e5;
    assert_int_equal(ask(f), 0);
    f->q.n_poured = 2;
    f->q.poured[0] = (struct liquid){10, 0, 0};
    f->q.poured[1] = (struct liquid){10, 20, 0};
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_POUR);
    assert_out_of_range(f, &f->q.poured[1].volume_l, 0, "pour lies between 0.0 L and 100000 L");
    assert_out_of_range(f, &f->q.poured[1].ec_ms_cm, 20.01,
                        "pour lies between 0.00 mS/cm and 20.00 mS/cm");
    assert_out_of_range(f, &f->q.poured[0].volume_l, -1, "pour lies between 0.0 L and 100000 L");
}

static void each_half_of_a_question_names_the_other(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.volume_l = 10;
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.field, "ec");
    assert_string_equal(f->err.msg, "say which strength is wanted: ec=…");
    f->q.ec_ms_cm = 1;
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.msg, "say with which recipe, as in 'tarn mix leaf'");
    f->q.volume_l = NAN;
    f->q.ec_ms_cm = NAN;
    f->q.from_ms_cm = 1;
    f->q.recipe =
        LEAF_FEED; /* with a solution that is there it is no full dose that is asked for */
    assert_int_equal(ask(f), ERR_MISSING);
    assert_string_equal(f->err.field, "volume");
}

static void both_ends_of_a_blend_are_blends(void **ctx)
{
    struct fixture *f = *ctx;

    f->q.volume_l = 30;
    f->q.hard_ms_cm = 0.65;
    f->q.ec_ms_cm = 0.65;
    assert_int_equal(ask(f), 0);
    assert_int_equal(f->a.kind, MIX_ANSWER_BLEND);
    assert_near(f->a.hard_l, 30);
    assert_near(f->a.water_l, 0);
    assert_near(f->a.result.volume_l, 30);
    assert_near(f->a.result.ec_ms_cm, 0.65);
}

/* The feed that is published for a crop is shown by its stage: the one of this recipe that is
 * nearest in strength. The crop is at 1.0 with leaf, then at 1.8 with fruit. */
static void the_stage_of_a_mix_is_the_nearest_of_its_recipe(void **ctx)
{
    struct fixture *f = *ctx;
    struct crop *c = &f->room.crop[VINE];

    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.0), 0);
    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.8),
                     0); /* the strength of a stage of another one */
    assert_int_equal(mix_answer_stage(c, FRUIT, 1.0), 1);
    assert_int_equal(mix_answer_stage(c, 7, 1.0), 1); /* of none: the last */
    c->stage[2] = c->stage[0];
    c->stage[2].ec_ms_cm = 1.4;
    c->n_stages = 3;
    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.15), 0);
    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.25), 2);
    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.7), 2);
    c->stage[2].ec_ms_cm = 1.0;
    assert_int_equal(mix_answer_stage(c, LEAF_FEED, 1.2), 0); /* of equals the first */
}

static void every_answer_has_its_word(void **ctx)
{
    static const char *const words[] = {"full", "dose", "add", "dilute", "pour", "blend"};

    (void)ctx;
    for (int k = 0; k <= MIX_ANSWER_BLEND; k++) {
        assert_string_equal(mix_answer_words[k], words[k]);
    }
    assert_null(mix_answer_words[MIX_ANSWER_BLEND + 1]);
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
        TEST(nothing_else_is_asked_of_a_full_dose),
        TEST(water_of_the_strength_that_is_wanted_takes_nothing),
        TEST(a_solution_that_is_right_is_told_to_add_nothing),
        TEST(water_that_is_no_weaker_thins_nothing),
        TEST(a_correction_tells_the_feed_of_the_whole),
        TEST(the_strength_is_estimated_where_the_products_say_what_they_hold),
        TEST(rounding_to_what_a_syringe_shows_is_owned_up_to),
        TEST(what_cannot_be_is_not_reckoned_with),
        TEST(each_half_of_a_question_names_the_other),
        TEST(both_ends_of_a_blend_are_blends),
        TEST(the_stage_of_a_mix_is_the_nearest_of_its_recipe),
        TEST(every_answer_has_its_word),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
