/* What each entry about a container does to it: what a grower takes for granted of every figure. */
#include "daemon/base/text.h"
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

static const struct container_state *a1(const struct fixture *f)
{
    return &f->s.container[A1];
}

/* Of an EC meter: 0.02 mS/cm and 2 % of what it shows (reading_error.h), squared. */
static double ec_var(double ec)
{
    return (0.02 + 0.02 * ec) * (0.02 + 0.02 * ec);
}

static void a_start_takes_what_was_told_of_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.85);

    e = with(with(with(e, FIGURE_VOLUME_L, 16), FIGURE_PH, 5.9), FIGURE_TEMP_C, 19);
    tell(f, with_amount(with_amount(e, "calcium-part", 25.6), "sulfate-part",
                        12.8)); /* 0.4 of the dose in 16 L */
    assert_int_equal(a1(f)->condition, CONDITION_DRAWDOWN);
    assert_near(a1(f)->body.volume_l, 16, 0);
    assert_near(a1(f)->body.ec_ms_cm, 0.85, 0);
    assert_near(a1(f)->strength_ms_cm, 0.85, 0);
    assert_near(a1(f)->appetite, 1, 0);
    assert_int_equal(a1(f)->started_s, at(0, 9));
    assert_int_equal(a1(f)->changed_s, at(0, 9));
    assert_int_equal(a1(f)->at_s, at(0, 9));
    assert_int_equal(a1(f)->level_s, at(0, 9)); /* filled: its level is known */
    assert_near(a1(f)->level_l, 16, 0);
    assert_near(a1(f)->ec_var, ec_var(0.85), 1e-12);
    assert_int_equal(a1(f)->readings, 1);
    assert_near(a1(f)->ec.value, 0.85, 0);
    assert_int_equal(a1(f)->ec.meter, 1);
    assert_near(a1(f)->ph.value, 5.9, 0);
    assert_int_equal(a1(f)->ph.meter, 0);
    assert_near(a1(f)->temp.value, 19, 0);
    assert_int_equal(a1(f)->temp.meter, -1);
    assert_near(a1(f)->volume.value, 16, 0);
    assert_near(a1(f)->drift.from_ph, 5.9, 0);
    assert_int_equal(a1(f)->drift.from_s, at(0, 9));
    assert_near(f->s.product[CALCIUM_PART].left, 5000 - 25.6, 1e-9);
    assert_near(f->s.product[SULFATE_PART].left, 5000 - 12.8, 1e-9);
    assert_int_equal(f->s.recipe[LEAF_FEED].gain.n_used, 1); /* 0.8 over 0.05 for 0.4 of a dose */
    assert_near(f->s.recipe[LEAF_FEED].gain.value, 2.0, 1e-9);
    assert_int_equal(f->s.n_skipped, 0);
}

static void a_new_planting_forgets_the_plant_and_keeps_the_tub(void **ctx)
{
    struct fixture *f = *ctx;
    struct container_state *cs = &f->s.container[A1];
    struct entry again = with(told_at(ENTRY_STARTED, "A1", "leaf", at(121, 9)), FIGURE_EC_MS_CM, 1);

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DEFERRED, "A1", "harvest", at(40, 9)));
    tell(f, told_at(ENTRY_DEFERRED, "A2", "start", at(40, 9)));
    tell(f, told_at(ENTRY_DROPPED, "reservoir", "care", at(40, 9)));
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(40, 9)));
    reads(f, "A1", 50, FIGURE_VOLUME_L, 12);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(120, 10)));
    cs->drawn_seen_l = 3;
    cs->alarms.seen = 1;
    assert_int_equal(cs->alarms.opened, 1);
    tell(f, again);
    assert_int_equal(cs->planting, 2);
    assert_int_equal(cs->solution, 1);
    assert_int_equal(cs->crop, LEAF);
    assert_int_equal(cs->stage, 0);
    assert_int_equal(cs->looks, 0);
    assert_true(cs->float_s == 0 && cs->reached_s == 0 && cs->looked_s == 0);
    assert_true(cs->drawn_l > 1); /* over all plantings */
    assert_near(cs->drawn_seen_l, 3, 0);
    assert_int_equal(cs->alarms.opened, 1);
    assert_int_equal(cs->alarms.seen, 1);
    assert_int_equal(cs->harvested_s, at(120, 9));
    assert_int_equal(cs->cleaned_s, at(120, 10));
    /* … but for what all plants of the room have shown. */
    assert_near(cs->curve.half_day,
                f->room.crop[LEAF].use.half_day * exp(f->s.common.mean[ROOM_PACE]), 1e-12);
    assert_int_equal(f->s.n_holds, 2); /* what was put off of the others still is */
    assert_int_equal(f->s.hold[0].subject.at, A2);
    assert_int_equal(f->s.hold[1].subject.kind, SUBJECT_RESERVOIR);
}

/* Counted as skipped, and else the state is as it was. */
static void is_skipped(struct fixture *f, struct entry e)
{
    struct state before;
    struct text why = {0};

    state_copy(&before, &f->s);
    tell(f, e);
    before.n_entries++;
    before.n_skipped++;
    before.latest_s = f->s.latest_s;
    if (!state_equal(&before, &f->s, &why)) {
        fail_msg("%s %s: %s", entry_kinds[e.kind].word, e.subject, text_str(&why));
    }
    text_deinit(&why);
    state_deinit(&before);
}

static void what_has_no_place_in_the_room_changes_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    is_skipped(f, with(told_at(ENTRY_STARTED, "A2", "fern", at(1, 9)), FIGURE_EC_MS_CM, 1));
    is_skipped(f, told_at(ENTRY_FLOAT_SEEN, "A2", "yes", at(1, 9)));
    is_skipped(f, with(told_at(ENTRY_REFILLED, "A2", "leaf", at(1, 9)), FIGURE_EC_MS_CM, 1));
    is_skipped(f, told_at(ENTRY_STAGE_SEEN, "A2", "fruiting", at(1, 9)));
    is_skipped(f, told_at(ENTRY_STAGE_SEEN, "A1", "ripening", at(1, 9)));
    is_skipped(f, told_at(ENTRY_CARED_FOR, "A1", "lamp", at(1, 9)));
    is_skipped(f, told_at(ENTRY_DRAINED, "reservoir", "", at(1, 9)));
    is_skipped(f, told_at(ENTRY_CALIBRATED, "A1", "", at(1, 9)));
    is_skipped(f, told_at(ENTRY_NOTE, "Z9", "", at(1, 9)));
}

static void notes_are_for_people(void **ctx)
{
    struct fixture *f = *ctx;
    struct state before;

    state_copy(&before, &f->s);
    tell(f, told_at(ENTRY_NOTE, "A1", "", at(1, 9)));
    assert_int_equal(f->s.n_skipped, 0);
    assert_int_equal(f->s.n_entries, 1);
    assert_int_equal(f->s.first_s, at(1, 9));
    assert_int_equal(f->s.latest_s, at(1, 9));
    tell(f, told_at(ENTRY_NOTE, "A1", "", at(0, 9)));
    assert_int_equal(f->s.first_s, at(1, 9));
    assert_int_equal(f->s.latest_s, at(1, 9)); /* time never runs back */
    before.n_entries = 2;
    before.first_s = before.latest_s = at(1, 9);
    assert_true(state_equal(&before, &f->s, NULL));
    state_deinit(&before);
}

static void a_reading_counts_by_what_it_has(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_READING, "A1", "", at(3, 9));

    start(f, "A1"); /* its EC is the first reading */
    assert_int_equal(a1(f)->readings, 1);
    reads(f, "A1", 2, FIGURE_PH, 6);
    assert_int_equal(a1(f)->readings, 2);
    reads(f, "A1", 2, FIGURE_EC_MS_CM, 0.7);
    assert_int_equal(a1(f)->readings, 3);
    assert_int_equal(a1(f)->looks, 0);
    reads(f, "A1", 2, FIGURE_VOLUME_L, 17.9);
    reads(f, "A1", 2, FIGURE_TEMP_C, 21);
    assert_int_equal(a1(f)->readings, 3);
    assert_int_equal(a1(f)->looks, 1);
    assert_int_equal(a1(f)->looked_s, at(2, 9));
    assert_near(a1(f)->temp.value, 21, 0);
    tell(f, with(with(e, FIGURE_EC_MS_CM, 0.7), FIGURE_PH, 6));
    assert_int_equal(a1(f)->readings, 4); /* both at once are one */
    assert_near(a1(f)->ec_var, ec_var(0.7), 1e-12);
    name_it(e.what, sizeof e.what, "ph-pen"); /* a pH meter shows no EC: the first EC meter did */
    tell(f, with(e, FIGURE_EC_MS_CM, 0.7));
    assert_int_equal(a1(f)->ec.meter, 1);
}

static void a_ph_that_is_read_teaches_its_drift(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_PH, 5.0);
    assert_near(a1(f)->drift.own.mean, 0, 0); /* from what it was before nobody knows */
    reads(f, "A1", 39, FIGURE_PH, 6.9);
    assert_true(a1(f)->drift.own.mean > 0.05);
    assert_true(f->s.drift.mean > ph_drift_room().mean);
    assert_near(a1(f)->drift.from_ph, 6.9, 0);
}

static void a_reading_of_the_same_instant_that_is_told_later_counts(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    reads(f, "A1", 2, FIGURE_PH, 6.0);
    reads(f, "A1", 2, FIGURE_PH, 6.2);
    assert_near(a1(f)->ph.value, 6.2, 0);
    reads(f, "A1", 1, FIGURE_PH, 5.0); /* folded out of order, which the journal never does */
    assert_near(a1(f)->ph.value, 6.2, 0);
}

static void what_is_known_of_a_strength_is_known_after_a_reading(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    reads(f, "A1", 20, FIGURE_VOLUME_L, 16.5); /* moves the anchor: the EC is a forecast now */
    assert_true(a1(f)->ec_by[EC_BY_APPETITE] != 0);
    reads(f, "A1", 20, FIGURE_EC_MS_CM, 0.66);
    for (int k = 0; k < EC_BY_N; k++) {
        assert_near(a1(f)->ec_by[k], 0, 0);
    }
    assert_near(a1(f)->ec_var, ec_var(0.66), 1e-12);
    assert_near(a1(f)->body.ec_ms_cm, 0.66, 0);
    assert_int_equal(a1(f)->at_s, at(20, 9));
}

/* To 2 % above the line of 8 L a level is taken to be at it. */
static void a_level_at_the_line_is_on_float_and_above_it_is_not(void **ctx)
{
    static const struct {
        double level_l;
        bool on_float;
    } rows[] = {
        {8.15, true },
        {8.17, false},
        {7.9,  true },
        {9,    false}
    };
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        begin_again(f);
        start(f, "A1");
        reads(f, "A1", 32, FIGURE_VOLUME_L, rows[i].level_l);
        assert_int_equal(a1(f)->condition,
                         rows[i].on_float ? CONDITION_ON_FLOAT : CONDITION_DRAWDOWN);
        assert_int_equal(a1(f)->reached_s, rows[i].on_float ? at(32, 9) : 0);
        assert_int_equal(a1(f)->float_s, 0); /* nobody has seen it work */
        assert_near(a1(f)->body.volume_l, rows[i].level_l, 0);
    }
}

/* A bump is dosed for what was read, be it what it may: who read it stood there. */
static void what_was_read_is_what_the_tub_holds(void **ctx)
{
    static const double told_l[] = {19.5, 17, 9.6};
    struct fixture *f = *ctx;

    for (size_t i = 0; i < 3; i++) {
        begin_again(f);
        start(f, "A1");
        reads(f, "A1", 7, FIGURE_VOLUME_L, told_l[i]);
        assert_near(a1(f)->body.volume_l, told_l[i], 0);
        assert_int_equal(a1(f)->looks, 1);
        assert_near(a1(f)->volume.value, told_l[i], 0);
    }
}

static void a_float_seen_working_stays_where_it_is(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry yes = told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 9));

    start(f, "A1");
    tell(f, with(yes, FIGURE_VOLUME_L, 7.9));
    assert_near(a1(f)->body.volume_l, 7.9, 0);
    assert_near(a1(f)->volume.value, 7.9, 0);
    assert_int_equal(a1(f)->float_s, at(33, 9));
    assert_int_equal(a1(f)->looks, 1);
    assert_int_equal(a1(f)->looked_s, at(33, 9));
    yes.happened_s = at(40, 9);
    tell(f, yes);
    assert_int_equal(a1(f)->float_s, at(33, 9)); /* since the first time */
    assert_int_equal(a1(f)->looks, 2);
    assert_near(a1(f)->body.volume_l, 8, 0);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(41, 9)));
    assert_int_equal(a1(f)->condition,
                     CONDITION_ON_FLOAT); /* it is clogged: an alarm, no drawdown */
    assert_int_equal(a1(f)->not_float_s, at(41, 9));
    assert_int_equal(a1(f)->float_s, at(33, 9));
    reads(f, "A1", 42, FIGURE_VOLUME_L, 11); /* nor does a high level undo it: it is no drawdown */
    assert_near(a1(f)->body.volume_l, 11, 0);
    assert_int_equal(a1(f)->looks, 4);
    assert_int_equal(a1(f)->condition, CONDITION_ON_FLOAT);
}

/* The float makes up for what is drunk: how full the tub is shows the float, and no thirst. */
static void a_level_on_float_teaches_nothing_of_thirst(void **ctx)
{
    struct fixture *f = *ctx;
    struct curve believed;

    on_float(f, "A1");
    believed = a1(f)->curve;
    reads(f, "A1", 33, FIGURE_VOLUME_L, 8);
    reads(f, "A1", 34, FIGURE_VOLUME_L, 5);
    reads(f, "A1", 35, FIGURE_VOLUME_L, 9);
    assert_near(a1(f)->curve.most_l_day, believed.most_l_day, 0);
    assert_near(a1(f)->curve.half_day, believed.half_day, 0);
    assert_int_equal(f->s.n_asides, 0);
    assert_near(a1(f)->body.volume_l, 9, 0);
}

/* What the forecast took for reached is believed since then, once the anchor comes by. */
static void a_line_that_was_reached_unseen_is_reached_since_the_forecast(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s;

    start(f, "A1");
    float_s = forecast_float_s(&f->room, &f->s, A1);
    reads(f, "A1", 50, FIGURE_PH, 6);
    assert_int_equal(a1(f)->condition, CONDITION_ON_FLOAT);
    assert_int_equal(a1(f)->reached_s, float_s);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(51, 9)));
    assert_int_equal(a1(f)->reached_s, float_s);
}

/* Looked for in vain: the level is what was read, or what is believed by now, and in any case two
 * days' use over the line, so that it is looked for again in two days. */
static void a_float_not_working_yet_lies_two_days_off_at_least(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry no = told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(38, 9));

    start(f, "A1");
    tell(f, no);
    assert_near(a1(f)->body.volume_l, 18 - curve_use_l(&a1(f)->curve, 1, 0, 38), 1e-9);
    assert_int_equal(a1(f)->reached_s, 0);
    assert_int_equal(a1(f)->not_float_s, at(38, 9));
    begin_again(f);
    start(f, "A1");
    tell(f, with(no, FIGURE_VOLUME_L, 12));
    assert_near(a1(f)->body.volume_l, 12, 0);
    begin_again(f);
    start(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(37, 9))); /* its level was lost */
    tell(f, no);
    assert_near(a1(f)->body.volume_l, 8 + curve_use_l(&a1(f)->curve, 1, 38, 40), 1e-9);
    begin_again(f);
    start(f, "A1");
    tell(f, with(no, FIGURE_VOLUME_L, 8)); /* at the line, and nothing comes in */
    assert_near(a1(f)->body.volume_l, 8 + curve_use_l(&a1(f)->curve, 1, 38, 40), 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_start_takes_what_was_told_of_it),
        TEST(a_new_planting_forgets_the_plant_and_keeps_the_tub),
        TEST(what_has_no_place_in_the_room_changes_nothing),
        TEST(notes_are_for_people),
        TEST(a_reading_counts_by_what_it_has),
        TEST(a_ph_that_is_read_teaches_its_drift),
        TEST(a_reading_of_the_same_instant_that_is_told_later_counts),
        TEST(what_is_known_of_a_strength_is_known_after_a_reading),
        TEST(a_level_at_the_line_is_on_float_and_above_it_is_not),
        TEST(what_was_read_is_what_the_tub_holds),
        TEST(a_float_seen_working_stays_where_it_is),
        TEST(a_level_on_float_teaches_nothing_of_thirst),
        TEST(a_line_that_was_reached_unseen_is_reached_since_the_forecast),
        TEST(a_float_not_working_yet_lies_two_days_off_at_least),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
