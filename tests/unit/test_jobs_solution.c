/* What a container's solution wants: changes, bumps and its pH. Containers drink
 * after the invented vine of a_room.h. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_working_room.h"

static void a_change_falls_within_the_life_of_a_solution(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    j = job_of(f, at(30, 10), TASK_CHANGE, "A1");
    assert_int_equal(j->earliest, day(37)); /* 7 to 14 days */
    assert_int_equal(j->due, day(44)); /* no sooner than it must: what is drained is poured away */
    assert_int_equal(j->latest, day(44));
    assert_true(j->volume_l == 7.5); /* 8 L less the half litre that stays */
}

static void the_strength_rises_by_the_largest_step_at_most(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(31, 9))); /* wants 1.8 */
    assert_true(fabs(job_of(f, at(31, 10), TASK_CHANGE, "A1")->ec_ms_cm - 1.1) <
                1e-12); /* 0.7 + 0.4 */
}

static void burnt_tips_hold_the_strength(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(31, 9)));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(32, 9)));
    assert_true(job_of(f, at(32, 10), TASK_CHANGE, "A1")->ec_ms_cm == 0.7);
}

static void brown_roots_want_their_solution_by_tomorrow(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    start(f, "A1", 0);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "brown-roots", at(20, 9)));
    j = job_of(f, at(20, 10), TASK_CHANGE, "A1"); /* not before the float line */
    assert_true(!j || j->due > day(21));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 9)));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "brown-roots", at(32, 9)));
    j = job_of(f, at(32, 10), TASK_CHANGE, "A1");
    assert_window(j, day(32), day(33), day(33));
    assert_string_equal(j->loss, "the rot spreads to all roots");
    assert_string_equal(j->why, "its roots were seen brown: a new solution, in a scrubbed "
                                "container");
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_EC_MS_CM, 0.2));
    assert_null(job_of(f, at(32, 10), TASK_BUMP, "A1")); /* it would be poured away tomorrow */
    refill(f, "A1", 33, 1.1);
    assert_int_equal(job_of(f, at(33, 10), TASK_CHANGE, "A1")->due, day(47));
}

static void what_was_drained_wants_its_solution_today(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(33, 9)));
    j = job_of(f, at(33, 10), TASK_CHANGE, "A1");
    assert_int_equal(j->due, day(33));
    assert_string_equal(j->why, "it was drained and waits for its new solution");
}

static void nothing_is_changed_just_before_the_harvest(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(102, 9)), FIGURE_EC_MS_CM, 1.8));
    assert_int_equal(job_of(f, at(103, 7), TASK_CHANGE, "A1")->due, day(116));
    /* A day later it would be for three days only: less than half of the seven that
     * one lasts at least. */
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(103, 9)), FIGURE_EC_MS_CM, 1.8));
    assert_null(job_of(f, at(111, 7), TASK_CHANGE, "A1"));
    assert_int_equal(job_of(f, at(111, 7), TASK_HARVEST, "A1")->due, day(120));
}

static void a_spent_solution_is_bumped_when_the_change_is_far(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *bump;

    on_float(f, "A1", 60); /* a thirsty plant: about 2 L a day from 8 L */
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.1));
    /* Spent at 0.66, a day later: 0.44 * 8 L / ((1.8 - 0.05) * 1.97 L a day). Bumps
     * carry it on to the end of its life. */
    bump = job_of(f, at(70, 10), TASK_BUMP, "A1");
    assert_non_null(bump);
    assert_int_equal(bump->earliest, day(71));
    assert_int_equal(bump->latest, day(73));
    /* A step above 1.1, of which the source's 0.05 is no food; by then a little has gathered. */
    assert_float_equal(bump->food_ms_cm, 1.5 - 0.05, 0.01);
    assert_true(bump->ec_ms_cm > bump->food_ms_cm + 0.05 &&
                bump->ec_ms_cm < bump->food_ms_cm + 0.10);
    assert_int_equal(job_of(f, at(70, 10), TASK_CHANGE, "A1")->due, day(84));
}

/* How much a dose is for nobody knows while a level is in question. */
static void a_bump_waits_for_the_look_at_a_level(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    fill(f, 60, 90);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.1));
    assert_non_null(job_of(f, at(70, 10), TASK_BUMP, "A1"));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(71, 8)), FIGURE_VOLUME_L, 9.5));
    assert_non_null(job_of(f, at(71, 9), TASK_LOOK, "A1"));
    assert_null(job_of(f, at(71, 9), TASK_BUMP, "A1"));
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(71, 9)));
    assert_non_null(job_of(f, at(71, 10), TASK_BUMP, "A1"));
}

/* 1.5 is spent at 0.9: 0.6 * 8 L / (1.75 * 1.97 L a day) are 1.4 days. A step brings
 * it to the target of 1.8, and since it falls from there it is made stronger by 1.4 tolerances. */
static void a_full_strength_is_bumped_above_it(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *bump;

    on_float(f, "A1", 60);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.5));
    bump = job_of(f, at(70, 10), TASK_BUMP, "A1");
    assert_int_equal(bump->earliest, day(71));
    assert_float_equal(bump->food_ms_cm, (1.8 - 0.05) * (1 + 1.4 * f->room.tolerance_pct / 100),
                       1e-9);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(70, 11)));
    assert_float_equal(job_of(f, at(70, 12), TASK_BUMP, "A1")->food_ms_cm, 1.5 - 0.05, 0.01);
}

/* 2.2 is worth a bump at 1.28: 0.92 * 8 L / (1.75 * 1.97 L a day) are 2.1 days. */
static void what_would_be_spent_on_days_off_is_bumped_before_them(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 2.2));
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(72));
    nobody_works(f, 72, 75);
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(71));
    nobody_works(f, 71, 75); /* the day after it was made there is nothing to bump yet */
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(76));
}

static void days_off_bring_nothing_back_on_the_day_on_which_it_was_done(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    nobody_works(f, 73, 76);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.1));
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "fruit", at(72, 9)), FIGURE_EC_MS_CM, 1.5));
    assert_int_equal(job_of(f, at(72, 10), TASK_BUMP, "A1")->earliest, day(77));
}

static void a_ph_out_of_its_band_is_set_right_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 7.1));
    j = job_of(f, at(32, 10), TASK_PH, "A1");
    assert_int_equal(j->due, day(32));
    assert_string_equal(j->why, "pH was 7.1, and stage young wants 5.5 to 6.5");
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(32, 11)), FIGURE_PH, 5.9));
    assert_null(job_of(f, at(32, 12), TASK_PH, "A1"));
}

static void a_change_says_how_long_the_solution_serves(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    f->room.crop[VINE].stage[0].recipe_at = FRUIT;
    j = job_of(f, at(31, 10), TASK_CHANGE, "A1");
    assert_string_equal(j->why, "14 days on float with this solution, as long as one serves at "
                                "stage young; it wants 1.00 mS/cm");
    assert_string_equal(j->loss, "the plant starves on water");
    assert_int_equal(j->recipe, FRUIT);
    assert_int_equal(j->done_on, day(0));
    assert_true(j->minutes == 6); /* longer than 7.5 L take at 4 L a minute … */
    f->room.reservoir.flow_l_min = 0.5;
    assert_true(job_of(f, at(31, 10), TASK_CHANGE, "A1")->minutes == 15); /* … and shorter */
}

/* Before the float line is reached nothing dilutes what it was started with. */
static void a_plant_not_yet_on_float_is_changed_by_when_it_will_be(void **ctx)
{
    struct fixture *f = *ctx;
    int float_day;

    start(f, "A1", 0);
    float_day = day_number(forecast_float_s(&f->room, &f->s, A1));
    assert_int_equal(job_of(f, at(float_day - 10, 7), TASK_CHANGE, "A1")->earliest,
                     day(float_day + 7));
    assert_null(job_of(f, at(float_day, 7), TASK_CHANGE, "A2")); /* which grows nothing */
}

/* Half of the least life of seven days, and what is begun counts: four days before
 * the harvest of day 120 a change is worth it, three days before it is not. */
static void the_last_change_serves_for_half_its_life_at_least(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    refill(f, "A1", 102, 1.8);
    assert_window(job_of(f, at(103, 7), TASK_CHANGE, "A1"), day(109), day(116), day(116));
    refill(f, "A1", 103, 1.8);
    assert_null(job_of(f, at(104, 7), TASK_CHANGE, "A1"));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(118, 9))); /* it cannot stand dry all the same */
    assert_window(job_of(f, at(118, 10), TASK_CHANGE, "A1"), day(118), day(118), day(118));
}

static void an_empty_tub_wants_no_bump_and_no_ph(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    refill(f, "A1", 70, 1.1);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(71, 9)), FIGURE_PH, 7.1));
    assert_non_null(job_of(f, at(71, 10), TASK_BUMP, "A1"));
    assert_non_null(job_of(f, at(71, 10), TASK_PH, "A1"));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(71, 11)));
    assert_null(job_of(f, at(71, 12), TASK_BUMP, "A1"));
    assert_null(job_of(f, at(71, 12), TASK_PH, "A1"));
}

/* Worth its while at 0.7 of the food that the next solution is to have, as likely as not; spent at
 * 0.6 of what this one was made to, or of the target where that is less. The source brings 0.05. */
static void a_bump_is_due_where_it_is_worth_its_while_and_waits_until_it_is_spent(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int due;
    int spent;

    on_float(f, "A1", 20);
    refill(f, "A1", 28, 1.3); /* the stage wants 1.0 */
    sure_of_all(f);
    due = day_number(predict_food_below_s(&f->room, &f->s, A1, 0.7 * 0.95, 0.5, at(28, 9)));
    spent = day_number(predict_food_below_s(&f->room, &f->s, A1, 0.6 * 0.95, 0.5, at(28, 9)));
    assert_true(due > 29 && spent >= due);
    j = job_of(f, at(28, 10), TASK_BUMP, "A1");
    assert_true(j->earliest > day(28) && j->earliest <= day(due));
    assert_int_equal(j->due, day(due));
    assert_int_equal(j->latest, day(spent + 2));
    assert_true(j->early_per_day > 0 && j->late_per_day > 0);
    assert_true(j->minutes == 3);
    assert_int_equal(j->recipe, LEAF_FEED);
    assert_int_equal(j->done_on, day(28));
    assert_float_equal(j->volume_l, 8, 1e-9); /* on float it stands at the line */
}

/* Made to less than the target by a step: it may be raised, and is, on the next visit. */
static void a_solution_that_may_be_raised_a_step_is_due_sooner(void **ctx)
{
    struct fixture *f = *ctx;
    int due;

    on_float(f, "A2", 10);
    refill(f, "A2", 29, 0.6); /* 1.0 is a step away */
    sure_of_all(f);
    due = day_number(predict_food_below_s(&f->room, &f->s, A2, 0.7 * 0.95, 0.5, at(29, 9)));
    assert_int_equal(due, 29); /* 0.55 of food are less than that already */
    assert_int_equal(job_of(f, at(29, 10), TASK_BUMP, "A2")->due, day(30)); /* not twice a day */
}

/* A thirsty plant in a small tub spends it in hours. It is not walked to twice a day;
 * and where it is not likely spent by the day after, it is let be for one more. */
static void bumps_come_a_day_apart_at_least(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    refill(f, "A1", 70, 0.3); /* spent at 0.15 */
    assert_true(day_number(predict_food_below_s(&f->room, &f->s, A1, 0.15, 0.5, at(70, 9))) == 70);
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->earliest, day(71));
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "fruit", at(71, 9)), FIGURE_EC_MS_CM, 1.4));
    assert_int_equal(job_of(f, at(71, 10), TASK_BUMP, "A1")->earliest, day(72));
    assert_int_equal(job_of(f, at(71, 10), TASK_BUMP, "A1")->done_on, day(71));
}

/* Two days before the harvest it is let be; three days before it is not. */
static void nothing_is_bumped_just_before_the_harvest(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 60);
    refill(f, "A1", 117, 1.1); /* spent a day later */
    j = job_of(f, at(117, 10), TASK_BUMP, "A1");
    assert_int_equal(j->due, day(118));
    assert_non_null(strstr(j->why, "; no change comes before the harvest"));
    assert_string_equal(j->loss, "growth slows until the harvest");
    refill(f, "A1", 118, 1.1);
    assert_null(job_of(f, at(118, 10), TASK_BUMP, "A1"));
}

/* A plant that drinks and takes up no salt leaves the solution as strong as it was, or stronger. */
static void what_is_never_spent_is_never_bumped(void **ctx)
{
    struct fixture *f = *ctx;

    for (size_t k = 0; k < f->room.crop[VINE].n_stages; k++) {
        f->room.crop[VINE].stage[k].uptake_ms_cm = 0;
        f->room.crop[VINE].stage[k].life_min_day = f->room.crop[VINE].stage[k].life_max_day = 90;
    }
    on_float(f, "A1", 60);
    refill(f, "A1", 70, 1.1);
    assert_null(job_of(f, at(70, 10), TASK_BUMP, "A1"));
    assert_null(job_of(f, at(100, 10), TASK_BUMP, "A1"));
}

static void a_bump_says_what_is_left_and_what_is_wanted(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    char why[200];

    on_float(f, "A1", 60);
    refill(f, "A1", 70, 1.1);
    j = job_of(f, at(70, 10), TASK_BUMP, "A1");
    (void)snprintf(
        why, sizeof why,
        "EC comes down to %.2f mS/cm by Mon 11 May, and stage fruiting wants 1.80 mS/cm; the "
        "change comes later",
        forecast_container(&f->room, &f->s, A1, at(71, 7)).body.ec_ms_cm);
    assert_string_equal(j->why, why); /* as it will be on the morning of the bump */
    assert_string_equal(j->loss, "growth slows until the change");
}

/* 5.5 to 6.5 is the band (a_room.h): its edges belong to it, and a tenth beyond is the meter's
 * doubt. */
static void a_ph_at_the_edge_of_its_band_is_good(void **ctx)
{
    static const struct {
        double ph;
        bool wanted;
    } read[] = {
        {5.5, false},
        {6.5, false},
        {5.4, false},
        {5.3, true },
        {6.7, true },
        {6.0, false}
    };
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    for (size_t i = 0; i < sizeof read / sizeof *read; i++) {
        tell(f, with(told_at(ENTRY_READING, "A1", "", at(32 + (int)i, 9)), FIGURE_PH, read[i].ph));
        f->s.drift.mean = f->s.container[A1].drift.own.mean = 0;
        j = job_of(f, at(32 + (int)i, 10), TASK_PH, "A1");
        assert_int_equal(j != NULL, read[i].wanted);
        if (j) {
            /* mildly so: the next walk serves */
            assert_window(j, day(32 + (int)i), day(32 + (int)i), day(35 + (int)i));
            assert_true(j->minutes == 3);
            assert_float_equal(j->volume_l, 8, 1e-9);
            assert_string_equal(j->loss,
                                "outside of its band the plant cannot take up what is there");
        }
    }
}

/* The pH of A1 drifts by so much in a day. */
static void drifts(struct fixture *f, int64_t now_s, double ph_day)
{
    struct forecast now = forecast_container(&f->room, &f->s, A1, now_s);

    f->s.drift.mean = ph_day / forecast_turns_day(&now);
    f->s.container[A1].drift.own.mean = 0;
}

/* A quarter of a unit a day: 6.4 is 6.5 within half a day, and nobody comes back so soon. Where it
 * is set to it stands at 5.8, and there is nothing to set; far out it does not wait. */
static void a_ph_that_leaves_its_band_soon_is_set_and_one_far_out_is_urgent(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 6.4));
    f->s.drift.mean = f->s.container[A1].drift.own.mean = 0;
    assert_null(job_of(f, at(32, 10), TASK_PH, "A1"));
    drifts(f, at(32, 10), 0.25);
    assert_non_null(strstr(job_of(f, at(32, 10), TASK_PH, "A1")->why,
                           "pH was 6.4, and drifts out of what stage young wants, 5.5 to 6.5"));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_PH, 5.9));
    drifts(f, at(33, 10), 0.25);
    assert_null(job_of(f, at(33, 10), TASK_PH, "A1"));
    /* 0.6 of a unit: it is read when it is expected there, and not after a week */
    assert_int_equal(job_of(f, at(33, 10), TASK_READ, "A1")->due, day(35));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(34, 9)), FIGURE_PH, 7.2));
    assert_int_equal(job_of(f, at(34, 10), TASK_PH, "A1")->latest, day(35));
}

static void a_ph_of_a_solution_that_is_gone_says_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 7.1));
    refill(f, "A1", 33, 1.0);
    assert_null(job_of(f, at(33, 10), TASK_PH, "A1"));
    tell(f, with(told_at(ENTRY_READING, "A2", "", at(33, 9)), FIGURE_PH, 7.1));
    assert_null(job_of(f, at(33, 10), TASK_PH, "A2")); /* which grows nothing */
}

/* What a mix was measured at when it was poured is what the tub holds. */
static void a_ph_of_the_new_solution_itself_counts(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_REFILLED, "A1", "leaf", at(33, 9));

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(33, 8)));
    tell(f, with(with(mix, FIGURE_EC_MS_CM, 1.0), FIGURE_PH, 7.1));
    assert_non_null(job_of(f, at(33, 10), TASK_PH, "A1"));
}

/* What roots bear in a day was done: the rest is tomorrow's. */
static void a_ph_that_was_set_today_is_not_asked_for_again_today(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 7.6));
    assert_non_null(job_of(f, at(32, 10), TASK_PH, "A1"));
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(32, 11)), FIGURE_PH, 7.1));
    assert_null(job_of(f, at(32, 12), TASK_PH, "A1"));
    j = job_of(f, at(32, 12), TASK_READ, "A1"); /* measured first: over night it moves */
    assert_non_null(j);
    assert_int_equal(j->due, day(33));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_PH, 7.3));
    assert_non_null(job_of(f, at(33, 10), TASK_PH, "A1"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_ph_that_was_set_today_is_not_asked_for_again_today),
        TEST(a_change_falls_within_the_life_of_a_solution),
        TEST(the_strength_rises_by_the_largest_step_at_most),
        TEST(burnt_tips_hold_the_strength),
        TEST(brown_roots_want_their_solution_by_tomorrow),
        TEST(what_was_drained_wants_its_solution_today),
        TEST(nothing_is_changed_just_before_the_harvest),
        TEST(a_spent_solution_is_bumped_when_the_change_is_far),
        TEST(a_bump_waits_for_the_look_at_a_level),
        TEST(a_full_strength_is_bumped_above_it),
        TEST(what_would_be_spent_on_days_off_is_bumped_before_them),
        TEST(days_off_bring_nothing_back_on_the_day_on_which_it_was_done),
        TEST(a_ph_out_of_its_band_is_set_right_at_once),
        TEST(a_change_says_how_long_the_solution_serves),
        TEST(a_plant_not_yet_on_float_is_changed_by_when_it_will_be),
        TEST(the_last_change_serves_for_half_its_life_at_least),
        TEST(an_empty_tub_wants_no_bump_and_no_ph),
        TEST(a_bump_is_due_where_it_is_worth_its_while_and_waits_until_it_is_spent),
        TEST(a_solution_that_may_be_raised_a_step_is_due_sooner),
        TEST(bumps_come_a_day_apart_at_least),
        TEST(nothing_is_bumped_just_before_the_harvest),
        TEST(what_is_never_spent_is_never_bumped),
        TEST(a_bump_says_what_is_left_and_what_is_wanted),
        TEST(a_ph_at_the_edge_of_its_band_is_good),
        TEST(a_ph_that_leaves_its_band_soon_is_set_and_one_far_out_is_urgent),
        TEST(a_ph_of_a_solution_that_is_gone_says_nothing),
        TEST(a_ph_of_the_new_solution_itself_counts),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
