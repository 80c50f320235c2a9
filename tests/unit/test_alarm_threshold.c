/* Each alarm at its thresholds, as alarm.h states them: what is just below does not open it, what
 * is just above does; what is just above the lower one leaves it open, what is just below shuts
 * it.
 *
 * The tubs of the invented room hold 18 L and have their line at 8 L. A ruler in them is right to
 * 0.03 L + 0.6 % of 18 L = 0.138 L (reading_error.h). */
#include "daemon/core/model/cusum.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_story.h"

#define RULER_L 0.138

static const struct alarm_state *of(const struct fixture *f, size_t i, enum alarm_kind kind)
{
    return &f->s.container[i].alarms.of[kind];
}

static bool is_open(const struct fixture *f, size_t i, enum alarm_kind kind)
{
    return of(f, i, kind)->since_s != 0;
}

static bool tank_is_open(const struct fixture *f, enum alarm_kind kind)
{
    return f->s.reservoir.alarms.of[kind].since_s != 0;
}

/* Is it open after the levels a and b were read on float, one after the other? */
static bool after_levels(struct fixture *f, enum alarm_kind kind, double a, double b)
{
    begin_again(f);
    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_VOLUME_L, a);
    reads(f, "A1", 34, FIGURE_VOLUME_L, b);
    return is_open(f, A1, kind);
}

static void a_level_on_float_is_high_from_four_sd_of_the_ruler(void **ctx)
{
    struct fixture *f = *ctx;
    double opens = 8 + 4 * RULER_L; /* 5 % of the line are less */
    double shuts = 8 + 2 * RULER_L;

    assert_false(after_levels(f, ALARM_HIGH, 8, opens - 0.01));
    assert_true(after_levels(f, ALARM_HIGH, 8, opens + 0.01));
    assert_true(after_levels(f, ALARM_HIGH, 9, shuts + 0.01));
    assert_false(after_levels(f, ALARM_HIGH, 9, shuts - 0.01));
    assert_false(after_levels(f, ALARM_LOW, 8, opens + 0.01));
}

static void in_a_large_tub_it_is_high_from_five_parts_in_a_hundred(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].start_volume_l = 30; /* a ruler is right to 0.21 L: four are 0.84 L */
    f->room.container[A1].float_volume_l = 20;
    assert_false(after_levels(f, ALARM_HIGH, 20, 20.99));
    assert_true(after_levels(f, ALARM_HIGH, 20, 21.01));
}

static void a_level_on_float_is_low_from_eight_parts_in_a_hundred(void **ctx)
{
    struct fixture *f = *ctx;
    double shuts = 8 - 2 * RULER_L;

    assert_false(after_levels(f, ALARM_LOW, 8, 7.37));
    assert_true(after_levels(f, ALARM_LOW, 8, 7.35));
    assert_true(after_levels(f, ALARM_LOW, 7, shuts - 0.01));
    assert_false(after_levels(f, ALARM_LOW, 7, shuts + 0.01));
    assert_false(after_levels(f, ALARM_HIGH, 8, 7));
    f->room.container[A1].float_volume_l = 4; /* 0.32 L are less than four rulers */
    assert_false(after_levels(f, ALARM_LOW, 4, 4 - 4 * RULER_L + 0.01));
    assert_true(after_levels(f, ALARM_LOW, 4, 4 - 4 * RULER_L - 0.01));
}

/* The difference of two readings is uncertain by the root of two rulers. */
static void a_level_has_risen_from_four_sd_of_a_difference(void **ctx)
{
    static const struct {
        double first, then;
        bool open;
    } rows[] = {
        {15.5 + 4 * M_SQRT2 * RULER_L - 0.01, 0,                                   false},
        {15.5 + 4 * M_SQRT2 * RULER_L + 0.01, 0,                                   true },
        {17,                                  15.5 + 2 * M_SQRT2 * RULER_L + 0.01, true },
        {17,                                  15.5 + 2 * M_SQRT2 * RULER_L - 0.01, false},
    };
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        begin_again(f);
        start(f, "A1");
        reads(f, "A1", 20, FIGURE_VOLUME_L, 15.5);
        reads(f, "A1", 21, FIGURE_VOLUME_L, rows[i].first);
        if (rows[i].then > 0) {
            reads(f, "A1", 22, FIGURE_VOLUME_L, rows[i].then);
        }
        assert_int_equal(is_open(f, A1, ALARM_HIGH), rows[i].open);
    }
    f->room.container[A1].start_volume_l = 30; /* four of a difference: 1.19 L; 5 % of 25 L: 1.25 */
    f->room.container[A1].float_volume_l = 25;
    for (int over = 0; over < 2; over++) {
        begin_again(f);
        start(f, "A1");
        reads(f, "A1", 20, FIGURE_VOLUME_L, 27.5);
        reads(f, "A1", 21, FIGURE_VOLUME_L, over ? 28.76 : 28.74);
        assert_int_equal(is_open(f, A1, ALARM_HIGH), over);
    }
}

/* So many standard deviations happen by chance so seldom, to either side (tables of the normal
 * distribution): 4.07: 0.0047 %, 4.05: 0.0051 %. */
static void a_level_is_as_sure_as_it_is_far_off(void **ctx)
{
    struct fixture *f = *ctx;

    assert_true(after_levels(f, ALARM_HIGH, 8, 8 + 4.07 * RULER_L));
    assert_near(of(f, A1, ALARM_HIGH)->sure_pct, 99.9953, 2e-4);
    assert_near(of(f, A1, ALARM_HIGH)->seen, 8 + 4.07 * RULER_L, 0);
    assert_near(of(f, A1, ALARM_HIGH)->expected, 8, 0);
    begin_again(f);
    start(f, "A1");
    reads(f, "A1", 20, FIGURE_VOLUME_L, 15.5);
    reads(f, "A1", 21, FIGURE_VOLUME_L, 15.5 + 4.05 * M_SQRT2 * RULER_L);
    assert_near(of(f, A1, ALARM_HIGH)->sure_pct, 99.9949, 2e-4);
    assert_near(of(f, A1, ALARM_HIGH)->expected, 15.5, 0);
    f->room.container[A1].float_volume_l = 4;
    assert_true(after_levels(f, ALARM_LOW, 4, 4 - 4.07 * RULER_L));
    assert_near(of(f, A1, ALARM_LOW)->sure_pct, 99.9953, 2e-4);
    assert_near(of(f, A1, ALARM_LOW)->expected, 4, 0);
}

static void a_drained_tub_is_neither_high_nor_low(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(33, 9)));
    reads(f, "A1", 33, FIGURE_VOLUME_L, 1);
    assert_false(is_open(f, A1, ALARM_LOW));
    reads(f, "A1", 33, FIGURE_VOLUME_L, 12);
    assert_false(is_open(f, A1, ALARM_HIGH));
}

/* A float is to blame only while the reservoir has water, and no mix: more than its outlet leaves
 * (5 L) but for one chance in twenty, which are 1.645 times what its wall's mark is right to (1 %
 * of 100 L). */
static void a_float_is_to_blame_while_the_reservoir_gives_water(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(32, 9));

    for (int case_ = 0; case_ < 4; case_++) {
        begin_again(f);
        f->room.crop[VINE].use.most_l_day = 1e-9; /* nothing is drawn meanwhile */
        on_float(f, "A1");
        if (case_ == 0 || case_ == 1) {
            fills(f, 32, case_ == 0 ? 6.6 : 6.7);
        } else if (case_ == 2) {
            tell(f, with(with(mix, FIGURE_VOLUME_L, 50), FIGURE_EC_MS_CM, 1.2));
        }
        tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(33, 9)));
        assert_int_equal(is_open(f, A1, ALARM_LOW), case_ == 1 || case_ == 3);
        reads(f, "A1", 34, FIGURE_VOLUME_L, 8);
        assert_false(is_open(f, A1, ALARM_LOW));
        reads(f, "A1", 34, FIGURE_VOLUME_L, 7);
        assert_int_equal(is_open(f, A1, ALARM_LOW), case_ == 1 || case_ == 3);
    }
}

static void a_float_that_never_worked_is_not_clogged(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(30, 9)));
    assert_false(is_open(f, A1, ALARM_LOW));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(36, 9)));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(37, 9)));
    assert_true(is_open(f, A1, ALARM_LOW));
    assert_near(of(f, A1, ALARM_LOW)->expected, 8, 0);
    assert_near(of(f, A1, ALARM_LOW)->sure_pct, 95, 5); /* nothing is surer than 99.9 % (alarm.h) */
    assert_true(of(f, A1, ALARM_LOW)->sure_pct <= 99.9);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(38, 9)));
    assert_false(is_open(f, A1, ALARM_LOW));
}

/* An EC that lies z standard deviations of what was expected over it. */
static void reads_over(struct fixture *f, int day, double z)
{
    struct gauss expected;
    double told;

    f->s.strengths = (struct record){0}; /* an alarm goes by the promise, whatever came true */
    expected = predict_ec(&f->room, &f->s, A1, at(day, 9));
    told = expected.mean;

    for (int i = 0; i < 50;
         i++) { /* the meter's own doubt, 0.02 mS/cm and 2 %, is of what it shows */
        told = expected.mean + z * hypot(sqrt(expected.var), 0.02 + 0.02 * told);
    }
    reads(f, "A1", day, FIGURE_EC_MS_CM, told);
}

static bool after_strengths(struct fixture *f, double a, double b)
{
    begin_again(f);
    on_float(f, "A1");
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(31, 9)), FIGURE_EC_MS_CM, 1.1));
    reads_over(f, 33, a);
    reads_over(f, 35, b);
    return is_open(f, A1, ALARM_STRONG);
}

static void a_strength_is_too_strong_from_four_sd(void **ctx)
{
    struct fixture *f = *ctx;

    assert_false(after_strengths(f, 0, 3.97));
    assert_true(after_strengths(f, 0, 4.03));
    assert_true(of(f, A1, ALARM_STRONG)->sure_pct > 99.99); /* 4 sd of the normal distribution */
    assert_true(of(f, A1, ALARM_STRONG)->sure_pct < 99.996);
    assert_true(after_strengths(f, 5, 2.03));
    assert_false(after_strengths(f, 5, 1.97));
    assert_false(after_strengths(f, 0, -6)); /* weaker is no alarm: a task bumps it */
}

static void what_was_never_on_float_may_grow_stronger(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    reads_over(f, 10, 6);
    assert_false(is_open(f, A1, ALARM_STRONG));
}

/* The band of the young stage is 5.5 to 6.5. */
static bool after_ph(struct fixture *f, double a, double b, int64_t between_s)
{
    struct entry e = told_at(ENTRY_READING, "A1", "", at(32, 9));

    begin_again(f);
    on_float(f, "A1");
    tell(f, with(e, FIGURE_PH, a));
    e.happened_s += between_s;
    tell(f, with(e, FIGURE_PH, b));
    return is_open(f, A1, ALARM_PH);
}

static void a_ph_drifts_when_it_is_outside_twice(void **ctx)
{
    struct fixture *f = *ctx;

    assert_false(after_ph(f, 6.6, 6.79, 6 * DAY_S));
    assert_true(after_ph(f, 6.6, 6.81, 6 * DAY_S));
    assert_false(after_ph(f, 5.4, 5.21, 6 * DAY_S));
    assert_true(after_ph(f, 5.4, 5.19, 6 * DAY_S));
    assert_false(after_ph(f, 6.5, 6.9, 6 * DAY_S)); /* at the end of the band is within it */
    assert_false(after_ph(f, 5.5, 5.1, 6 * DAY_S));
    assert_false(after_ph(f, 6.9, 5.1, 6 * DAY_S)); /* on either side once */
    assert_near(of(f, A1, ALARM_PH)->expected, 0, 0);
    assert_true(after_ph(f, 6.6, 6.9, 6 * DAY_S));
    assert_near(of(f, A1, ALARM_PH)->expected, 6.5, 0);
    assert_near(of(f, A1, ALARM_PH)->sure_pct, 99.9937, 0.0001); /* 0.4 of 0.1: 4 sd, from tables */
    assert_true(after_ph(f, 5.4, 5.1, 6 * DAY_S));
    assert_near(of(f, A1, ALARM_PH)->expected, 5.5, 0);
}

static void a_ph_that_leaps_out_of_its_band_drifts(void **ctx)
{
    struct fixture *f = *ctx;

    assert_false(after_ph(f, 6.0, 6.69, DAY_S));
    assert_true(after_ph(f, 6.0, 6.71, DAY_S));
    assert_true(after_ph(f, 6.0, 5.29, DAY_S));
    assert_true(after_ph(f, 6.0, 6.71, 5 * DAY_S));
    assert_false(after_ph(f, 6.0, 6.71, 5 * DAY_S + 1));
    assert_false(after_ph(f, 5.6, 6.4, DAY_S)); /* and stays in the band */
    begin_again(f);
    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_PH, 7.4); /* the first reading of all is no leap */
    assert_false(is_open(f, A1, ALARM_PH));
}

static void a_ph_shuts_in_its_band_and_not_before(void **ctx)
{
    struct fixture *f = *ctx;

    assert_true(after_ph(f, 6.6, 6.9, 6 * DAY_S));
    reads(f, "A1", 39, FIGURE_PH, 6.55);
    assert_true(is_open(f, A1, ALARM_PH));
    assert_near(of(f, A1, ALARM_PH)->seen, 6.9, 0); /* what opened it still stands there */
    reads(f, "A1", 40, FIGURE_PH, 6.5);
    assert_false(is_open(f, A1, ALARM_PH));
}

static void the_band_is_that_of_the_stage_of_the_day(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.crop[VINE].stage[1].ph_max = 6.0; /* fruiting, from day 45 */
    on_float(f, "A1");
    reads(f, "A1", 36, FIGURE_PH, 6.4);
    reads(f, "A1", 43, FIGURE_PH, 6.4);
    assert_false(is_open(f, A1, ALARM_PH));
    reads(f, "A1", 50, FIGURE_PH, 6.4);
    assert_true(is_open(f, A1, ALARM_PH));
}

/* Believed to drink e^ln times what its crop does, with this doubt of the ln. */
static void believe(struct fixture *f, double ln, double sd)
{
    struct container_state *cs = &f->s.container[A1];

    cs->curve = f->room.crop[VINE].use;
    cs->curve.most_l_day *= exp(ln);
    memset(&cs->belief, 0, sizeof cs->belief);
    cs->belief.a[BELIEF_LN_THETA] = ln;
    cs->belief.v[BELIEF_LN_THETA][BELIEF_LN_THETA] = sd * sd;
}

static bool after_pace(struct fixture *f, double ln, double sd)
{
    believe(f, ln, sd);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 9)));
    return is_open(f, A1, ALARM_PACE);
}

static void a_plant_out_of_character_is_told_of_once_it_is_known(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_false(after_pace(f, 0.89, 0.1));
    assert_false(after_pace(f, 0.91, 0.26));
    assert_true(after_pace(f, 0.91, 0.24));
    assert_near(of(f, A1, ALARM_PACE)->seen, exp(0.91), 1e-12);
    assert_near(of(f, A1, ALARM_PACE)->expected, 1, 0);
    assert_true(after_pace(f, 0.71, 0.1));
    assert_false(after_pace(f, 0.69, 0.1));
    assert_true(after_pace(f, -0.91, 0.1));
    assert_true(after_pace(f, -0.71, 0.1));
    assert_false(after_pace(f, -0.69, 0.1));
    believe(f, 0.91, 0.1); /* a level tells as a float does */
    reads(f, "A1", 34, FIGURE_VOLUME_L, 8);
    assert_true(is_open(f, A1, ALARM_PACE));
}

/* Of plain water of 0.05 mS/cm: 0.1 and a quarter of it, 0.1125 mS/cm, over it. */
static bool after_salt(struct fixture *f, double a, double b)
{
    begin_again(f);
    fills(f, 1, 90);
    reads(f, "reservoir", 2, FIGURE_EC_MS_CM, a);
    reads(f, "reservoir", 3, FIGURE_EC_MS_CM, b);
    return tank_is_open(f, ALARM_SALT);
}

static void salt_in_plain_water_is_told_of_at_its_thresholds(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(4, 9));

    assert_false(after_salt(f, 0.05, 0.16));
    assert_true(after_salt(f, 0.05, 0.165));
    assert_true(after_salt(f, 0.3, 0.12)); /* 0.05 and six tenths: 0.1175 */
    assert_false(after_salt(f, 0.3, 0.115));
    assert_true(after_salt(f, 0.05, 0.1625 + 1e-6));
    /* One threshold is taken for four standard deviations: 0.0063 % by chance, from tables. */
    assert_near(f->s.reservoir.alarms.of[ALARM_SALT].sure_pct, 99.9937, 0.0001);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(4, 8)));
    assert_false(tank_is_open(f, ALARM_SALT));
    tell(f, with(with(mix, FIGURE_VOLUME_L, 50), FIGURE_EC_MS_CM, 1.2));
    reads(f, "reservoir", 4, FIGURE_EC_MS_CM, 1.2); /* a mix is to be salt */
    assert_false(tank_is_open(f, ALARM_SALT));
}

static void the_ph_of_the_reservoir_has_its_own_band(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 1, 90);
    reads(f, "reservoir", 2, FIGURE_PH, 6.2); /* 5.8 and 0.3 to either side */
    reads(f, "reservoir", 9, FIGURE_PH, 6.39);
    assert_false(tank_is_open(f, ALARM_PH));
    reads(f, "reservoir", 16, FIGURE_PH, 6.41);
    assert_true(tank_is_open(f, ALARM_PH));
    assert_near(f->s.reservoir.alarms.of[ALARM_PH].expected, 6.1, 1e-12);
    reads(f, "reservoir", 23, FIGURE_PH, 5.51);
    assert_false(tank_is_open(f, ALARM_PH));
    reads(f, "reservoir", 30, FIGURE_PH, 5.4);
    reads(f, "reservoir", 37, FIGURE_PH, 5.19);
    assert_true(tank_is_open(f, ALARM_PH));
    assert_near(f->s.reservoir.alarms.of[ALARM_PH].expected, 5.5, 1e-12);
}

/* A look at which nothing was lost that was not expected takes half a standard deviation from a
 * sum. */
static bool after_sum(struct fixture *f, enum alarm_kind kind, double sum)
{
    struct reservoir_state *r = &f->s.reservoir;
    int day = (int)(f->s.latest_s / DAY_S - at(0, 0) / DAY_S) + 1;

    *(kind == ALARM_LEAK ? &r->excess : &r->lack) = sum + 0.5;
    reads(f, "reservoir", day, FIGURE_VOLUME_L, 90);
    return tank_is_open(f, kind);
}

static void a_leak_and_an_air_lock_open_and_shut_by_their_sums(void **ctx)
{
    static const enum alarm_kind kinds[] = {ALARM_LEAK, ALARM_LACK};
    struct fixture *f = *ctx;

    for (int k = 0; k < 2; k++) {
        begin_again(f);
        fills(f, 1, 90);
        assert_false(after_sum(f, kinds[k], 4.39));
        assert_true(after_sum(f, kinds[k], 4.41));
        /* 1 - e^-4.41 */
        assert_near(f->s.reservoir.alarms.of[kinds[k]].sure_pct, 98.784, 0.001);
        assert_true(after_sum(f, kinds[k], 1.01));
        assert_false(after_sum(f, kinds[k], 0.99));
        assert_false(tank_is_open(f, kinds[1 - k]));
    }
}

static void three_readings_in_a_row_that_cannot_be_are_the_meters_fault(void **ctx)
{
    struct fixture *f = *ctx;
    const struct meter_state *pen = &f->s.meter[1];
    static const double shown[] = {5, 0.05, 5, 0.7, 5, 0.05, 5};

    on_float(f, "A1");
    for (int i = 0; i < 7; i++) {
        reads(f, "A1", 32 + i, FIGURE_EC_MS_CM, shown[i]);
        assert_int_equal(pen->odd, i + 1);
        assert_int_equal(pen->alarms.of[ALARM_METER].since_s, i < 2 ? 0 : at(34, 9));
    }
    tell(f, with(told_at(ENTRY_CALIBRATED, "ec-pen", "", at(40, 9)), FIGURE_SLOPE_PCT, 99));
    assert_int_equal(pen->odd, 0);
    assert_int_equal(pen->alarms.of[ALARM_METER].since_s, 0);
    reads(f, "A1", 41, FIGURE_EC_MS_CM, 0.02);
    assert_int_equal(pen->odd, 1);
    reads_over(f, 42, 0); /* one that can be, and the row begins anew */
    assert_int_equal(pen->odd, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_level_on_float_is_high_from_four_sd_of_the_ruler),
        TEST(in_a_large_tub_it_is_high_from_five_parts_in_a_hundred),
        TEST(a_level_on_float_is_low_from_eight_parts_in_a_hundred),
        TEST(a_level_has_risen_from_four_sd_of_a_difference),
        TEST(a_level_is_as_sure_as_it_is_far_off),
        TEST(a_drained_tub_is_neither_high_nor_low),
        TEST(a_float_is_to_blame_while_the_reservoir_gives_water),
        TEST(a_float_that_never_worked_is_not_clogged),
        TEST(a_strength_is_too_strong_from_four_sd),
        TEST(what_was_never_on_float_may_grow_stronger),
        TEST(a_ph_drifts_when_it_is_outside_twice),
        TEST(a_ph_that_leaps_out_of_its_band_drifts),
        TEST(a_ph_shuts_in_its_band_and_not_before),
        TEST(the_band_is_that_of_the_stage_of_the_day),
        TEST(a_plant_out_of_character_is_told_of_once_it_is_known),
        TEST(salt_in_plain_water_is_told_of_at_its_thresholds),
        TEST(the_ph_of_the_reservoir_has_its_own_band),
        TEST(a_leak_and_an_air_lock_open_and_shut_by_their_sums),
        TEST(three_readings_in_a_row_that_cannot_be_are_the_meters_fault),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
