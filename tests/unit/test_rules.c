/* The rules of the room: both sides of each, with what a person is told. The room has containers
 * of 18 L at the start line and 8 L at the float line, and a reservoir of 100 L. */
#include "daemon/base/err.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tell/rules.h"
#include "tests/unit/a_story.h"

/* An entry of the day on which these tests are, with one figure. */
static struct entry of(enum entry_kind kind, const char *subject, enum figure figure, double value)
{
    return with(told_at(kind, subject, "", at(40, 10)), figure, value);
}

static struct entry bare(enum entry_kind kind, const char *subject)
{
    return told_at(kind, subject, "", at(40, 10));
}

static void assert_passes(const struct fixture *f, struct entry e)
{
    struct err err = {0};

    if (rules_check(&f->s, &f->room, &e, false, &err) != 0) {
        fail_msg("%s %s: %s", entry_kinds[e.kind].word, e.subject, err.msg);
    }
}

/* Refused, whoever is sure of it. */
static void assert_refused(const struct fixture *f, struct entry e, const char *field,
                           const char *message)
{
    for (int sure = 0; sure < 2; sure++) {
        struct err err = {0};

        assert_int_equal(rules_check(&f->s, &f->room, &e, sure, &err), ERR_REFUSED);
        assert_string_equal(err.field, field);
        assert_string_equal(err.msg, message);
    }
}

/* Asked about, and taken from someone who is sure. */
static void assert_unsure(const struct fixture *f, struct entry e, const char *field,
                          const char *message)
{
    struct err err = {0};

    assert_int_equal(rules_check(&f->s, &f->room, &e, false, &err), ERR_UNSURE);
    assert_string_equal(err.field, field);
    assert_string_equal(err.msg, message);
    assert_int_equal(rules_check(&f->s, &f->room, &e, true, &err), 0);
}

static void what_is_told_of_a_plant_needs_a_plant(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_READING,   ENTRY_FLOAT_SEEN,  ENTRY_DRAINED,
                                            ENTRY_REFILLED,  ENTRY_BUMPED,      ENTRY_TOPPED_UP,
                                            ENTRY_HARVESTED, ENTRY_PH_ADJUSTED, ENTRY_STAGE_SEEN};

    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        assert_refused(f, of(kinds[i], "A1", FIGURE_EC_MS_CM, 1), "subject",
                       "nothing grows in A1: start it first");
    }
    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(20, 9)));
    assert_refused(f, of(ENTRY_READING, "A1", FIGURE_PH, 6), "subject",
                   "nothing grows in A1: its plant is out, and it waits to be cleaned");
}

static void what_may_always_be_told_is_bound_by_no_rule(void **ctx)
{
    struct fixture *f = *ctx;

    assert_passes(f, bare(ENTRY_NOTE, "A1"));
    assert_passes(f, bare(ENTRY_OBSERVATION, "A1"));
    assert_passes(f, bare(ENTRY_CARED_FOR, "A1"));
    assert_passes(f, bare(ENTRY_RESERVOIR_RINSED, "reservoir"));
    assert_passes(f, of(ENTRY_CALIBRATED, "ph-pen", FIGURE_SLOPE_PCT, 97));
    assert_passes(f, of(ENTRY_STOCK_RECEIVED, "calcium-part", FIGURE_AMOUNT, 1000));
    assert_passes(f, of(ENTRY_PH_ADJUSTED, "reservoir", FIGURE_PH, 5.8));
    assert_passes(f, of(ENTRY_READING, "reservoir", FIGURE_PH, 5.8));
}

static void an_idle_clean_container_is_started_up_to_its_line(void **ctx)
{
    struct fixture *f = *ctx;

    assert_passes(f, bare(ENTRY_STARTED, "A1"));
    assert_passes(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 18));
    assert_passes(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 18 + 5e-7)); /* as of gallons */
    assert_passes(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 8.1));
    assert_refused(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 18.1), "volume",
                   "18.1 L in A1 is above its start line of 18.0 L");
    assert_refused(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 18 + 2e-6), "volume",
                   "18.0 L in A1 is above its start line of 18.0 L");
    assert_refused(f, of(ENTRY_STARTED, "A1", FIGURE_VOLUME_L, 8), "volume",
                   "8.0 L in A1 is not above the float line of 8.0 L: there would be no drawdown");
}

static void what_grows_or_is_not_cleaned_is_not_started(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_refused(f, bare(ENTRY_STARTED, "A1"), "subject",
                   "A1 grows vine already; harvest it before the next start");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(39, 9)));
    assert_refused(f, bare(ENTRY_STARTED, "A1"), "subject", "A1 was not cleaned since its harvest");
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(39, 10)));
    assert_passes(f, bare(ENTRY_STARTED, "A1"));
}

static void a_level_far_above_the_start_line_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_passes(f, of(ENTRY_READING, "A1", FIGURE_EC_MS_CM, 1.2));
    assert_passes(f, of(ENTRY_READING, "A1", FIGURE_VOLUME_L, 19.8)); /* a tenth above */
    assert_unsure(f, of(ENTRY_READING, "A1", FIGURE_VOLUME_L, 19.9), "volume",
                  "19.9 L in A1 is more than it holds (18.0 L); say so if you are sure");
    assert_refused(f, of(ENTRY_READING, "A1", FIGURE_VOLUME_L, 28), "volume",
                   "28.0 L in A1 is more than it can hold (18.0 L)");
    assert_passes(f, of(ENTRY_READING, "reservoir", FIGURE_VOLUME_L, 100));
    assert_refused(f, of(ENTRY_READING, "reservoir", FIGURE_VOLUME_L, 101), "volume",
                   "101 L in reservoir is more than it can hold (100 L)");
}

static void a_refill_goes_to_the_float_line_of_what_was_drained(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_refused(f, of(ENTRY_REFILLED, "A1", FIGURE_VOLUME_L, 8), "subject",
                   "A1 was not drained since its last filling; tell that it was drained first");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    assert_passes(f, bare(ENTRY_REFILLED, "A1"));
    assert_passes(f, of(ENTRY_REFILLED, "A1", FIGURE_VOLUME_L, 8));
    assert_passes(f, of(ENTRY_REFILLED, "A1", FIGURE_VOLUME_L, 8 + 5e-7));
    assert_refused(f, of(ENTRY_REFILLED, "A1", FIGURE_VOLUME_L, 8.1), "volume",
                   "8.1 L in A1 would drown its air roots: it must not rise above 8.0 L, the float "
                   "line");
    assert_refused(f, of(ENTRY_REFILLED, "A1", FIGURE_VOLUME_L, 8 + 2e-6), "volume",
                   "8.0 L in A1 would drown its air roots: it must not rise above 8.0 L, the float "
                   "line");
}

static void a_bump_is_not_weaker_than_what_it_was_stirred_into(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e;
    double is;

    on_float(f, "A1");
    e = with(of(ENTRY_BUMPED, "A1", FIGURE_WAS_MS_CM, 1), FIGURE_EC_MS_CM, 0.96);
    assert_passes(f, e); /* two meters differ by as much */
    e = with(e, FIGURE_EC_MS_CM, 0.94);
    assert_unsure(f, e, "ec",
                  "a bump cannot weaken A1: 0.94 mS/cm after it, 1.00 mS/cm before; say so if you "
                  "are sure");
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(40, 10)), FIGURE_EC_MS_CM, 1));
    is = forecast_container(&f->room, &f->s, A1, at(40, 10)).body.ec_ms_cm;
    assert_true(is > 0.85);
    assert_passes(f, of(ENTRY_BUMPED, "A1", FIGURE_EC_MS_CM, is - 0.04));
    e = of(ENTRY_BUMPED, "A1", FIGURE_EC_MS_CM, 0.5);
    {
        struct err err = {0};

        assert_int_equal(rules_check(&f->s, &f->room, &e, false, &err), ERR_UNSURE);
        assert_non_null(strstr(err.msg, "a bump cannot weaken A1: 0.50 mS/cm after it, "));
        assert_non_null(strstr(err.msg, " mS/cm before by forecast; say so if you are sure"));
    }
}

static void water_by_hand_raises_no_level_above_the_safe_one(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_refused(f, of(ENTRY_TOPPED_UP, "A1", FIGURE_ADDED_L, 0.1), "volume",
                   "8.1 L in A1 would drown its air roots: it must not rise above 8.0 L, the float "
                   "line");
    /* On its first days a plant has no air roots: its start line is safe. */
    tell(f, with(with(told_at(ENTRY_STARTED, "A2", "vine", at(39, 22)), FIGURE_EC_MS_CM, 0.7),
                 FIGURE_VOLUME_L, 12));
    assert_passes(f, of(ENTRY_TOPPED_UP, "A2", FIGURE_ADDED_L, 5.9));
    assert_refused(f, of(ENTRY_TOPPED_UP, "A2", FIGURE_ADDED_L, 6.1), "volume",
                   "18.1 L in A2 is above its start line of 18.0 L");
}

static void the_reservoir_holds_what_it_holds(void **ctx)
{
    struct fixture *f = *ctx;

    assert_passes(f, of(ENTRY_MIX_MADE, "reservoir", FIGURE_VOLUME_L, 100));
    assert_passes(f, of(ENTRY_MIX_MADE, "reservoir", FIGURE_VOLUME_L, 100 + 5e-7));
    assert_refused(f, of(ENTRY_MIX_MADE, "reservoir", FIGURE_VOLUME_L, 100 + 2e-6), "volume",
                   "the reservoir holds 100 L, not 100 L");
    assert_refused(f, of(ENTRY_MIX_MADE, "reservoir", FIGURE_VOLUME_L, 101), "volume",
                   "the reservoir holds 100 L, not 101 L");
    assert_passes(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_VOLUME_L, 100));
    assert_refused(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_VOLUME_L, 101), "volume",
                   "the reservoir holds 100 L, not 101 L");
    assert_refused(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 101), "added",
                   "the reservoir holds 100 L, not 101 L");
    assert_refused(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 100 + 2e-6), "added",
                   "the reservoir holds 100 L, not 100 L");
}

static void a_night_is_one_of_plain_water_and_tells_what_a_jug_took(void **ctx)
{
    struct fixture *f = *ctx;

    assert_refused(f, of(ENTRY_STOOD, "reservoir", FIGURE_ADDED_L, 0), "subject",
                   "the reservoir was never filled: a night says nothing");
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(39, 9)), FIGURE_VOLUME_L, 90));
    assert_passes(f, of(ENTRY_STOOD, "reservoir", FIGURE_ADDED_L, 0));
    assert_passes(f, of(ENTRY_STOOD, "reservoir", FIGURE_ADDED_L, 25));
    assert_unsure(f, of(ENTRY_STOOD, "reservoir", FIGURE_ADDED_L, 25.1), "added",
                  "25.1 L is what it took to fill the reservoir up to its tape, and not what it "
                  "holds? Say so if you are sure");
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "grow", at(40, 9)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1.2));
    assert_refused(f, of(ENTRY_STOOD, "reservoir", FIGURE_ADDED_L, 0), "subject",
                   "the reservoir holds a mix: a night says nothing");
}

static void no_more_was_let_in_than_it_holds_now(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_VOLUME_L, 90);

    assert_passes(f, with(e, FIGURE_ADDED_L, 90));
    assert_passes(f, with(e, FIGURE_ADDED_L, 90 + 5e-7));
    assert_refused(f, with(e, FIGURE_ADDED_L, 91), "added",
                   "91.0 L let in is more than the 90.0 L that it holds now");
    assert_refused(f, with(e, FIGURE_ADDED_L, 90 + 2e-6), "added",
                   "90.0 L let in is more than the 90.0 L that it holds now");
}

static void plain_water_is_not_let_into_a_mix(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(40, 9)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1.2));
    assert_refused(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 10), "subject",
                   "the reservoir holds a mix; tell that it was emptied and rinsed first "
                   "(reservoir-rinsed)");
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(40, 9)));
    assert_passes(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 10));
}

static void a_fill_that_would_overflow_by_forecast_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f,
         with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(40, 10)), FIGURE_VOLUME_L, 90));
    assert_passes(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 15)); /* 105 L */
    assert_unsure(f, of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_ADDED_L, 15.1), "added",
                  "15.1 L more would overflow the reservoir: by forecast it holds 90.0 L already; "
                  "say so if you are sure");
    /* The level that is seen afterwards is no sum of forecasts. */
    assert_passes(
        f, with(of(ENTRY_RESERVOIR_FILLED, "reservoir", FIGURE_VOLUME_L, 100), FIGURE_ADDED_L, 20));
}

static void a_stage_is_one_of_the_crop(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_STAGE_SEEN, "A1", "fruting", at(40, 10));
    struct err err = {0};

    on_float(f, "A1");
    assert_passes(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(40, 10)));
    assert_passes(f, told_at(ENTRY_STAGE_SEEN, "A1", "young", at(40, 10)));
    assert_int_equal(rules_check(&f->s, &f->room, &e, true, &err), ERR_UNKNOWN);
    assert_string_equal(err.field, "stage");
    assert_string_equal(err.msg, "vine has no stage 'fruting'; did you mean 'fruiting'?");
    name_it(e.what, sizeof e.what, "asleep");
    assert_int_equal(rules_check(&f->s, &f->room, &e, true, &err), ERR_UNKNOWN);
    assert_string_equal(err.msg, "vine has no stage 'asleep'");
}

static void a_container_is_cleaned_when_nothing_grows_in_it(void **ctx)
{
    struct fixture *f = *ctx;

    assert_passes(f, bare(ENTRY_CLEANED, "A1"));
    on_float(f, "A1");
    assert_refused(f, bare(ENTRY_CLEANED, "A1"), "subject",
                   "A1 still grows vine; a final harvest comes before the cleaning");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "part", at(38, 9)));
    assert_refused(f, bare(ENTRY_CLEANED, "A1"), "subject",
                   "A1 still grows vine; a final harvest comes before the cleaning");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(39, 9)));
    assert_passes(f, bare(ENTRY_CLEANED, "A1"));
}

/* The crop that grows is of the entry's container, not of the room's first. */
static void each_container_is_judged_by_itself(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A2");
    tell(f, with(told_at(ENTRY_STARTED, "L1", "leaf", at(39, 9)), FIGURE_EC_MS_CM, 0.7));
    assert_refused(f, bare(ENTRY_STARTED, "L1"), "subject",
                   "L1 grows leaf already; harvest it before the next start");
    assert_passes(f, bare(ENTRY_STARTED, "A1"));
    assert_passes(f, bare(ENTRY_DRAINED, "A2"));
    assert_refused(f, bare(ENTRY_DRAINED, "A3"), "subject", "nothing grows in A3: start it first");
}

static void a_final_harvest_of_a_seedling_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;
    int quarter = (int)(f->room.crop[VINE].harvest_day / 4);
    char words[200];

    start(f, "A1");
    (void)snprintf(words, sizeof words,
                   "this ends the planting, and A1 is 2 days old where vine is harvested at %.0f: "
                   "tell what=part, or say that you are sure",
                   f->room.crop[VINE].harvest_day);
    assert_unsure(f, told_at(ENTRY_HARVESTED, "A1", "final", at(2, 9)), "what", words);
    assert_passes(f, told_at(ENTRY_HARVESTED, "A1", "part", at(2, 9)));
    assert_passes(f, told_at(ENTRY_HARVESTED, "A1", "final", at(quarter + 1, 9)));
}

/* 88 mL for 0.88, into 18 L that stood where they were to be: no dose was asked for, so there is
 * none to set it beside. */
static void acid_that_no_water_takes_is_asked_about(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry set = with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(10, 9)), FIGURE_PH, 5.8);

    start(f, "A1");
    f->room.product[PH_DOWN].mol_ml = 0.007;
    assert_passes(f, with_amount(set, "ph-down", 2));
    assert_unsure(f, with_amount(set, "ph-down", 88), "ph-down", /* 34 mmol/L */
                  "88 mL of ph-down in 18.0 L is far more than any water takes; say so if you are "
                  "sure");
}

/* "5 L" for "5 mL"; a bottle that nobody told of is told as well. */
static void more_is_not_spilled_than_there_was(void **ctx)
{
    struct fixture *f = *ctx;

    f->s.product[CALCIUM_PART].left = 900;
    assert_passes(f, of(ENTRY_SPILLED, "calcium-part", FIGURE_AMOUNT, 900));
    assert_unsure(f, of(ENTRY_SPILLED, "calcium-part", FIGURE_AMOUNT, 5000), "amount",
                  "5 L is more than there was of calcium-part by what was told (900 mL); say so if "
                  "you are sure");
}

/* Enter twice on the same line: 4 mL for 2. What differs, or was told at another time, is new. */
static void what_counts_anew_is_asked_about_when_it_is_told_twice(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry part = with(told_at(ENTRY_HARVESTED, "A1", "part", at(40, 9)), FIGURE_YIELD_G, 40);
    struct entry bottle = of(ENTRY_STOCK_RECEIVED, "calcium-part", FIGURE_AMOUNT, 1000);
    struct entry read = of(ENTRY_READING, "A1", FIGURE_PH, 5.8);

    on_float(f, "A1");
    assert_passes(f, part);
    tell(f, part);
    part.happened_s += 30;
    assert_unsure(f, part, "subject",
                  "the same was told of A1 a moment ago; if it was done twice, say so");
    part.happened_s += 3600;
    assert_passes(f, part);
    part.happened_s -= 3600;
    part.figure[FIGURE_YIELD_G] = 41;
    assert_passes(f, part);
    tell(f, bottle);
    assert_unsure(f, bottle, "subject",
                  "the same was told of calcium-part a moment ago; if it was done twice, say so");
    tell(f, read);
    assert_passes(f, read);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_is_told_of_a_plant_needs_a_plant),
        TEST(what_may_always_be_told_is_bound_by_no_rule),
        TEST(an_idle_clean_container_is_started_up_to_its_line),
        TEST(what_grows_or_is_not_cleaned_is_not_started),
        TEST(a_level_far_above_the_start_line_is_asked_about),
        TEST(a_refill_goes_to_the_float_line_of_what_was_drained),
        TEST(a_bump_is_not_weaker_than_what_it_was_stirred_into),
        TEST(water_by_hand_raises_no_level_above_the_safe_one),
        TEST(the_reservoir_holds_what_it_holds),
        TEST(a_night_is_one_of_plain_water_and_tells_what_a_jug_took),
        TEST(no_more_was_let_in_than_it_holds_now),
        TEST(plain_water_is_not_let_into_a_mix),
        TEST(a_fill_that_would_overflow_by_forecast_is_asked_about),
        TEST(a_stage_is_one_of_the_crop),
        TEST(a_container_is_cleaned_when_nothing_grows_in_it),
        TEST(each_container_is_judged_by_itself),
        TEST(a_final_harvest_of_a_seedling_is_asked_about),
        TEST(acid_that_no_water_takes_is_asked_about),
        TEST(more_is_not_spilled_than_there_was),
        TEST(what_counts_anew_is_asked_about_when_it_is_told_twice),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
