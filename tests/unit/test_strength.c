/* How strong a solution is to be, and when it serves no longer: food apart from the water's own
 * salts, and each nutrient apart from the rest. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/strength.h"
#include "tests/unit/a_working_room.h"

#define TAP_MS_CM 0.5

/* Bottles that say what is in them, and a plant that takes more of nitrogen than they bring for
 * the rest: mg in a mL, and mg/L that go with 1 mS/cm. */
static int set_up_labels(void **ctx)
{
    struct fixture *f;
    int rc = set_up(ctx);

    f = *ctx;
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 40;
    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_CA] = 40;
    f->room.product[SULFATE_PART].contents.mg[NUTRIENT_K] = 100;
    f->room.crop[VINE].takes.mg[NUTRIENT_NO3_N] = 120;
    f->room.crop[VINE].takes.mg[NUTRIENT_K] = 100;
    f->room.crop[VINE].takes.mg[NUTRIENT_CA] = 30;
    for (int k = 0; k < 2; k++) {
        struct span *feed = f->room.crop[VINE].stage[k].feed;

        feed[FEED_N] = feed[FEED_K] = feed[FEED_CA] = (struct span){70, 100};
    }
    return rc;
}

/* A solution as it was made at `day`, of the recipe's bottles: 8 L on float. */
static void made(struct fixture *f, int day, double ec_ms_cm)
{
    struct entry e = told_at(ENTRY_REFILLED, "A1", "leaf", at(day, 9));
    double share = (ec_ms_cm - f->room.source.ec_ms_cm) / 2.0;

    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(day, 8)));
    e = with_amount(with(e, FIGURE_EC_MS_CM, ec_ms_cm), "calcium-part", 7.5 * 4 * share);
    tell(f, with_amount(e, "sulfate-part", 7.5 * 2 * share));
}

static double mg_l(const struct fixture *f, enum nutrient n, int64_t t_s)
{
    return forecast_feed(&f->room, &f->s, A1, t_s).mg[n];
}

static void a_target_counts_above_the_water_where_it_was_published_so(void **ctx)
{
    struct fixture *f = *ctx;
    struct crop *crop = &f->room.crop[VINE];

    assert_float_equal(strength_target_ms_cm(&f->room, crop, &crop->stage[0]), 1.0, 1e-12);
    crop->above_water = true;
    assert_float_equal(strength_target_ms_cm(&f->room, crop, &crop->stage[0]), 1.05, 1e-12);
    f->room.source.ec_ms_cm = TAP_MS_CM;
    assert_float_equal(strength_target_ms_cm(&f->room, crop, &crop->stage[0]), 1.5, 1e-12);
    crop->above_water = false; /* in total, of which three quarters are food at the least */
    assert_float_equal(strength_target_ms_cm(&f->room, crop, &crop->stage[0]), 0.75 + 0.5, 1e-12);
    f->room.source.ec_ms_cm = 0.25;
    assert_float_equal(strength_target_ms_cm(&f->room, crop, &crop->stage[0]), 1.0, 1e-12);
}

/* By what each takes: nitrogen goes faster than potassium, calcium is left. */
static void each_nutrient_falls_by_what_is_taken_of_it(void **ctx)
{
    struct fixture *f = *ctx;
    double use_l;
    double fell;

    on_float(f, "A1", 60);
    made(f, 70, 1.5);
    fell = mg_l(f, NUTRIENT_CA, at(70, 9)) - mg_l(f, NUTRIENT_CA, at(71, 9));
    use_l = curve_use_l(&f->s.container[A1].curve, 1, 70, 71);
    assert_float_equal(fell, 30 * 1.8 * f->s.container[A1].appetite * use_l / 8, 0.02 * fell);
    assert_float_equal(mg_l(f, NUTRIENT_NO3_N, at(70, 9)) - mg_l(f, NUTRIENT_NO3_N, at(71, 9)),
                       4 * fell, 1e-6);
    assert_true(mg_l(f, NUTRIENT_NO3_N, at(80, 9)) >= 0);
}

/* A reading above what was expected says that less was taken: of each in its share, and nothing is
 * lost where nothing was left by the forecast. */
static void a_reading_gives_back_what_was_not_taken(void **ctx)
{
    struct fixture *f = *ctx;
    double ca;
    double n;
    double ec;

    on_float(f, "A1", 60);
    made(f, 70, 1.5);
    ca = mg_l(f, NUTRIENT_CA, at(78, 9));
    n = mg_l(f, NUTRIENT_NO3_N, at(78, 9));
    ec = forecast_container(&f->room, &f->s, A1, at(78, 9)).body.ec_ms_cm;
    assert_true(n < 1);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(78, 9)), FIGURE_EC_MS_CM, ec + 0.1));
    assert_float_equal(f->s.container[A1].feed.mg[NUTRIENT_CA], ca + 3, 1e-6);
    assert_float_equal(f->s.container[A1].feed.mg[NUTRIENT_NO3_N], n + 12, 1e-6);
}

static void what_is_short_first_is_named(void **ctx)
{
    struct fixture *f = *ctx;
    const struct stage *stage = &f->room.crop[VINE].stage[1];
    enum feed lacks;
    int64_t short_s;

    on_float(f, "A1", 60);
    made(f, 70, 1.5);
    short_s = strength_short_s(&f->room, &f->s, A1, stage, at(70, 9), at(84, 9), &lacks);
    assert_int_equal(lacks, FEED_N);
    assert_true(short_s > at(70, 9) && short_s < at(74, 9));
    /* Six tenths of the 0.6 that count as spent, of the 70 that were published: a fresh one of 1.5
     * holds 116. */
    assert_float_equal(mg_l(f, NUTRIENT_NO3_N, short_s), 0.6 * 0.6 * 70, 2);
    assert_int_equal(strength_short_s(&f->room, &f->s, A1, stage, at(70, 9), at(70, 10), &lacks),
                     FORECAST_NEVER);
    f->s.container[A1].feed = (struct nutrients){0}; /* nobody knows what was in the bottles */
    assert_int_equal(strength_short_s(&f->room, &f->s, A1, stage, at(70, 9), at(84, 9), &lacks),
                     FORECAST_NEVER);
}

static void a_bump_is_asked_for_by_what_is_short(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    for (int k = 0; k < 2; k++) {
        f->room.crop[VINE].stage[k].spent_frac = 0.1; /* by strength alone it would last */
        f->room.crop[VINE].stage[k].bump_frac = 0.1;
    }
    f->room.crop[VINE].takes.mg[NUTRIENT_NO3_N] = 200;
    on_float(f, "A1", 60);
    made(f, 70, 1.8);
    j = job_of(f, at(70, 10), TASK_BUMP, "A1");
    assert_non_null(j);
    assert_non_null(strstr(j->why, "N comes down to about "));
    assert_non_null(strstr(j->why, ", and stage fruiting was fed 70; "));
}

/* Where all else is still there a bump would add next to nothing: fresh solution is wanted, before
 * the life of this one is over, and with others if that is a few days off. */
static void what_a_bump_does_not_mend_makes_a_change_due(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.crop[VINE].takes.mg[NUTRIENT_NO3_N] = 600;
    on_float(f, "A1", 60);
    made(f, 70, 1.8);
    j = job_of(f, at(70, 10), TASK_CHANGE, "A1");
    assert_true(j->due <= day(72));
    assert_true(j->latest == j->due + 2);
    assert_non_null(
        strstr(j->why, "N runs short while the rest gathers, so a bump would not mend it; "));
}

/* A start without nitrogen that is drunk down: until the float line no change may come, and a bump
 * does not raise the level. */
static void what_is_short_in_drawdown_is_bumped_and_not_changed(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_STARTED, "A1", "vine", at(0, 9));
    const struct job *change;
    int64_t float_s;

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_NO3_N] = 10;
    e = with_amount(with(e, FIGURE_EC_MS_CM, 0.7), "calcium-part", 18 * 4 * 0.65 / 2);
    tell(f, with_amount(e, "sulfate-part", 18 * 2 * 0.65 / 2));
    float_s = forecast_float_s(&f->room, &f->s, A1);
    assert_true(float_s > at(20, 9));
    assert_true(job_of(f, at(10, 7), TASK_BUMP, "A1")->due < day(day_number(float_s)) - 3);
    change = job_of(f, at(10, 7), TASK_CHANGE, "A1");
    assert_true(!change || change->earliest >= day(day_number(float_s)));
}

/* 0.5 mS/cm come with each 8 L that are drunk, and of 1.8 three tenths are 0.54. */
static void salts_that_gather_from_the_water_make_a_change_due(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.source.ec_ms_cm = TAP_MS_CM;
    on_float(f, "A1", 60);
    made(f, 70, 1.8);
    j = job_of(f, at(70, 10), TASK_CHANGE, "A1");
    assert_int_equal(j->due, day(77)); /* no sooner than a solution lasts */
    assert_non_null(
        strstr(j->why, "salts of the water have gathered, more than 30 % of its strength; "));
    f->room.ballast_pct = 100;
    assert_int_equal(job_of(f, at(70, 10), TASK_CHANGE, "A1")->due, day(84));
}

/* A meter shows 0.5 more than there is to eat: spent comes by the food. */
static void a_bump_on_tap_water_goes_by_the_food(void **ctx)
{
    struct fixture *f = *ctx;
    struct forecast then;
    const struct job *j;

    f->room.source.ec_ms_cm = TAP_MS_CM;
    on_float(f, "A1", 60);
    made(f, 70, 1.8);
    j = job_of(f, at(70, 10), TASK_BUMP, "A1");
    then = forecast_container(&f->room, &f->s, A1, at(70, 7) + (j->due - day(70)) * 86400LL);
    assert_true(then.body.ec_ms_cm > 0.6 * 1.8); /* by the sum it would last */
    assert_float_equal(j->ec_ms_cm, j->food_ms_cm + then.body.water_ms_cm, 1e-9);
    assert_true(j->food_ms_cm > 1.3 - 0.05);
}

/* 8 L of 1.8 are down to six tenths after 8 * 0.72 / 1.8 = 3.2 L; the vine drinks 2 L a day. */
static void a_solution_lasts_a_grown_plant_by_its_litres(void **ctx)
{
    struct fixture *f = *ctx;
    struct crop *crop = &f->room.crop[VINE];

    f->room.source.ec_ms_cm = 0;
    assert_float_equal(strength_lasts_day(&f->room, &f->s, crop, 8), 1.6, 1e-9);
    assert_float_equal(strength_lasts_day(&f->room, &f->s, crop, 16), 3.2, 1e-9);
    f->room.source.ec_ms_cm = TAP_MS_CM; /* weaker food, of which the water takes its share */
    assert_true(strength_lasts_day(&f->room, &f->s, crop, 8) < 1.6);
    crop->stage[1].uptake_ms_cm = 1e-9;
    f->room.source.ec_ms_cm = 0;
    assert_true(isinf(strength_lasts_day(&f->room, &f->s, crop, 8)));
}

/* 144 mg/L of nitrogen, of which 25 are to stay, at 720 with a litre (dosing.h: a part of a dose
 * adds a bit more than its part, so there is a bit less). */
static void the_nutrient_that_is_short_first_says_how_long(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.source.ec_ms_cm = 0;
    assert_float_equal(strength_lasts_day(&f->room, &f->s, &f->room.crop[VINE], 8),
                       fmin(1.6, 8 * (144 - 0.36 * 70) / (120 * 1.8) / 2), 0.01);
    f->room.crop[VINE].takes.mg[NUTRIENT_NO3_N] = 400;
    assert_float_equal(strength_lasts_day(&f->room, &f->s, &f->room.crop[VINE], 8),
                       8 * (144 - 0.36 * 70) / (400 * 1.8) / 2, 0.01);
}

/* What was just made and measured is as sure as the meter, of each nutrient in its share of 1
 * mS/cm; later, as the strength and the proportions are. */
static void what_is_left_of_a_nutrient_is_as_sure_as_what_went(void **ctx)
{
    struct fixture *f = *ctx;
    double sd[FEED_COUNT];
    double meter = 0.02 + 0.02 * 1.5; /* reading_error.h */
    struct gauss ec;

    on_float(f, "A1", 60);
    made(f, 70, 1.5);
    predict_feed_sd_mg_l(&f->room, &f->s, A1, at(70, 9), sd);
    assert_float_equal(sd[FEED_N], 120 * meter, 0.01 * 120 * meter);
    assert_float_equal(sd[FEED_CA], 30 * meter, 0.01 * 30 * meter);
    assert_float_equal(sd[FEED_MG], 0, 0); /* its crop says nothing of it */
    predict_feed_sd_mg_l(&f->room, &f->s, A1, at(71, 9), sd);
    ec = predict_ec(&f->room, &f->s, A1, at(71, 9));
    assert_true(sd[FEED_N] > 120 * sqrt(ec.var));
    assert_float_equal(sd[FEED_N] / sd[FEED_CA], 4, 1e-9);
}

#define LABELLED(name) cmocka_unit_test_setup_teardown(name, set_up_labels, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_target_counts_above_the_water_where_it_was_published_so),
        LABELLED(each_nutrient_falls_by_what_is_taken_of_it),
        LABELLED(a_reading_gives_back_what_was_not_taken),
        LABELLED(what_is_short_first_is_named),
        LABELLED(a_bump_is_asked_for_by_what_is_short),
        LABELLED(what_a_bump_does_not_mend_makes_a_change_due),
        LABELLED(what_is_short_in_drawdown_is_bumped_and_not_changed),
        TEST(salts_that_gather_from_the_water_make_a_change_due),
        TEST(a_bump_on_tap_water_goes_by_the_food),
        TEST(a_solution_lasts_a_grown_plant_by_its_litres),
        LABELLED(what_is_left_of_a_nutrient_is_as_sure_as_what_went),
        LABELLED(the_nutrient_that_is_short_first_says_how_long),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
