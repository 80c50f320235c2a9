/* Readings teach, slips do not, and nothing is lost of either. */
#include "daemon/base/text.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_story.h"

static int64_t level(struct fixture *f, const char *name, int day, double volume_l)
{
    return reads(f, name, day, FIGURE_VOLUME_L, volume_l);
}

/* What a plant of this factor leaves in the tub by then. */
static double left_l(const struct fixture *f, double theta, int day)
{
    return 18 - curve_use_l(&f->room.crop[VINE].use, theta, 0, day);
}

static double float_day(const struct fixture *f)
{
    return (double)(predict_float_s(&f->room, &f->s, A1, 0.5) - at(0, 9)) / DAY_S;
}

static double width_day(const struct fixture *f)
{
    return (double)(predict_float_s(&f->room, &f->s, A1, 0.95) -
                    predict_float_s(&f->room, &f->s, A1, 0.05)) /
           DAY_S;
}

static void a_thirsty_plant_is_known_by_its_level(void **ctx)
{
    struct fixture *f = *ctx;
    double truth = curve_age_day(&f->room.crop[VINE].use, 1.6, 0, 10);
    double prior;
    double before;
    double wide;

    start(f, "A1");
    prior = float_day(f);
    wide = width_day(f);
    before = fabs(prior - truth);
    level(f, "A1", 24, left_l(f, 1.6, 24));
    level(f, "A1", 30, left_l(f, 1.6, 30));
    assert_true(fabs(float_day(f) - truth) < before / 2);
    assert_true(fabs(float_day(f) - truth) < 1);
    assert_true(width_day(f) < wide / 2);
}

/* What one plant shows is believed a little of its neighbours, and more of none. */
static void a_neighbour_is_believed_to_be_a_little_like_it(void **ctx)
{
    struct fixture *f = *ctx;
    double own;
    double others;

    start(f, "A1");
    level(f, "A1", 24, left_l(f, 1.6, 24));
    level(f, "A1", 30, left_l(f, 1.6, 30));
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(31, 9)), FIGURE_EC_MS_CM, 0.7));
    own = f->s.container[A1].curve.most_l_day / f->room.crop[VINE].use.most_l_day;
    others = f->s.container[A2].curve.most_l_day / f->room.crop[VINE].use.most_l_day;
    assert_true(others > 1.01 && others < own);
}

static void a_level_that_rises_by_itself_is_taken_and_questioned(void **ctx)
{
    struct fixture *f = *ctx;
    double before;
    double thirst;
    int64_t seq;

    start(f, "A1");
    level(f, "A1", 20, left_l(f, 1, 20));
    before = float_day(f);
    thirst = f->s.container[A1].curve.most_l_day;
    seq = level(f, "A1", 22, 19.5);
    assert_true(f->s.container[A1].body.volume_l == 19.5);
    assert_true(float_day(f) > before);
    assert_true(f->s.container[A1].curve.most_l_day == thirst); /* one alone teaches nothing yet */
    assert_non_null(observe_aside(&f->s, seq));
    assert_non_null(strstr(observe_aside(&f->s, seq), "a level does not rise by itself"));
}

/* 16.1 was meant. It counts until it is put right, and the next reading that fits forgets it. */
static void a_slip_of_the_pen_counts_until_it_is_put_right(void **ctx)
{
    struct fixture *f = *ctx;
    double before;
    int64_t seq;

    start(f, "A1");
    level(f, "A1", 20, left_l(f, 1, 20));
    level(f, "A1", 25, left_l(f, 1, 25));
    before = float_day(f);
    seq = level(f, "A1", 27, 9.1);
    assert_non_null(strstr(observe_aside(&f->s, seq), "less than expected"));
    assert_non_null(strstr(observe_aside(&f->s, seq), "measured again?"));
    assert_true(f->s.container[A1].body.volume_l == 9.1);
    assert_true(float_day(f) < before - 2);
    assert_null(observe_aside(&f->s, level(f, "A1", 28, left_l(f, 1, 28))));
    assert_true(fabs(float_day(f) - before) < 0.5);
}

static void a_second_one_on_the_same_side_is_learned_from(void **ctx)
{
    struct fixture *f = *ctx;
    double rate;

    start(f, "A1");
    level(f, "A1", 20, left_l(f, 1, 20));
    level(f, "A1", 25, left_l(f, 1, 25));
    rate = curve_rate_l_day(&f->s.container[A1].curve, 1, 28);
    level(f, "A1", 27, 10.1);
    assert_true(curve_rate_l_day(&f->s.container[A1].curve, 1, 28) == rate);
    level(f, "A1", 28, 9.8);
    assert_true(f->s.container[A1].body.volume_l == 9.8);
    assert_true(f->s.container[A1].level_l == 9.8);
    assert_true(curve_rate_l_day(&f->s.container[A1].curve, 1, 28) > rate * 1.2);
}

/* 2 L a day run off, and each day its level is read honestly: the level is shown as it was read,
 * and by the second reading the leak is told of. Its neighbour is not blamed. */
static void a_bucket_that_leaks_is_told_of_within_two_readings(void **ctx)
{
    static const int begins[] = {7, 21, 28};
    struct fixture *f = *ctx;

    for (size_t k = 0; k < 3; k++) {
        int day = begins[k];
        const struct alarm_states *m;

        begin_again(f);
        start(f, "A1");
        start(f, "A2");
        for (int read = 7; read <= day; read += 7) {
            level(f, "A1", read, left_l(f, 1, read));
            level(f, "A2", read, left_l(f, 1.1, read));
        }
        for (int i = 1; i <= 2; i++) {
            double told_l = left_l(f, 1, day + i) - 2 * i;

            level(f, "A1", day + i, told_l);
            assert_true(f->s.container[A1].body.volume_l == told_l);
        }
        m = &f->s.container[A1].alarms;
        assert_true(m->of[ALARM_ODD].since_s != 0);
        assert_true(m->of[ALARM_ODD].seen > m->of[ALARM_ODD].expected);
        level(f, "A2", day + 2, left_l(f, 1.1, day + 2));
        assert_true(f->s.container[A2].alarms.of[ALARM_ODD].since_s == 0);
    }
}

/* Whose rulers were read into each other's line: both are named, and neither is taken for a
 * leak. */
static void swapped_levels_are_noticed_at_once(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(14, 9)), FIGURE_EC_MS_CM, 0.7));
    for (int day = 21; day <= 28; day += 7) {
        level(f, "A1", day, left_l(f, 1, day));
        level(f, "A2", day, left_l(f, 1, day - 14));
    }
    level(f, "A1", 32, left_l(f, 1, 18));
    level(f, "A2", 32, left_l(f, 1, 32));
    for (size_t i = A1; i <= A2; i++) {
        const struct alarm_states *m = &f->s.container[i].alarms;

        assert_true(m->of[ALARM_SWAP].since_s != 0);
        assert_true(m->of[ALARM_SWAP].seen == (double)(A1 + A2 - i));
        assert_true(m->of[ALARM_ODD].since_s == 0);
    }
    level(f, "A1", 33, left_l(f, 1, 33)); /* told anew, each of its own */
    level(f, "A2", 33, left_l(f, 1, 19));
    assert_true(f->s.container[A1].alarms.of[ALARM_SWAP].since_s == 0);
    assert_true(f->s.container[A2].alarms.of[ALARM_SWAP].since_s == 0);
    assert_true(f->s.container[A1].alarms.of[ALARM_ODD].since_s == 0);
}

static void a_float_that_is_not_open_yet_moves_the_forecast_back(void **ctx)
{
    struct fixture *f = *ctx;
    int n;
    double before;

    start(f, "A1");
    before = float_day(f);
    n = (int)before;
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(n, 9)));
    assert_true(float_day(f) > before + 1);
    assert_true(predict_float_p(&f->room, &f->s, A1, at(n, 9)) < 0.5);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(n + 4, 9)));
    assert_true(predict_float_p(&f->room, &f->s, A1, at(n + 4, 9)) == 1);
}

static void a_float_that_can_hardly_be_open_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;
    struct curve before;
    int64_t seq;

    start(f, "A1");
    level(f, "A1", 20, left_l(f, 1, 20));
    before = f->s.container[A1].curve;
    seq = tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(21, 9)));
    assert_non_null(observe_aside(&f->s, seq));
    assert_true(f->s.container[A1].curve.most_l_day == before.most_l_day);
    assert_true(f->s.container[A1].float_s == at(21, 9)); /* a person saw it */
}

static void the_reservoir_teaches_of_all_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    double expected;
    double before;

    for (size_t i = A1; i <= A3; i++) {
        start(f, f->room.container[i].name);
        tell(f, told_at(ENTRY_FLOAT_SEEN, f->room.container[i].name, "yes", at(31, 9)));
    }
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(32, 8)), FIGURE_VOLUME_L, 95));
    before = f->s.common.mean[ROOM_SIZE];
    expected = forecast_draw_l(&f->room, &f->s, at(32, 8), at(42, 8));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(42, 8)), FIGURE_VOLUME_L,
                 95 - 1.3 * expected));
    /* Each is thirstier than was thought, by less than what was seen: the weather has a part. */
    for (size_t i = A1; i <= A3; i++) {
        double more = forecast_container(&f->room, &f->s, i, at(43, 8)).use_l_day;

        assert_true(more > 0);
    }
    assert_true(f->s.common.mean[ROOM_SIZE] > before + 0.02 &&
                f->s.common.mean[ROOM_SIZE] < before + log(1.3));
    assert_true(f->s.reservoir.lost_l_day > 1.1 * f->s.reservoir.expected_l_day);
}

static void what_was_let_in_in_between_is_reckoned_with(void **ctx)
{
    struct fixture *f = *ctx;
    double drawn;

    start(f, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(32, 8)), FIGURE_VOLUME_L, 60));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(36, 8)), FIGURE_ADDED_L, 20));
    drawn = forecast_draw_l(&f->room, &f->s, at(32, 8), at(40, 8));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(40, 8)), FIGURE_VOLUME_L, 80 - drawn));
    assert_true(fabs(f->s.reservoir.lost_l_day - f->s.reservoir.expected_l_day) < 0.05);
}

/* To 90 L with what was let in: the reservoir was seen at 90 L less that, as by a reading. */
static void a_fill_and_what_was_let_in_say_what_was_drunk(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry again = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(40, 8));
    double before = f->s.common.mean[ROOM_SIZE];
    double drawn;

    start(f, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(32, 8)), FIGURE_VOLUME_L, 60));
    drawn = forecast_draw_l(&f->room, &f->s, at(32, 8), at(40, 8));
    again = with(with(again, FIGURE_VOLUME_L, 90), FIGURE_ADDED_L, 90 - (60 - 1.5 * drawn));
    tell(f, again);
    assert_true(fabs(f->s.reservoir.lost_l_day - 1.5 * drawn / 8) < 1e-6);
    assert_true(f->s.common.mean[ROOM_SIZE] > before);
    assert_true(f->s.reservoir.body.volume_l == 90);
    assert_true(f->s.reservoir.seen_l == 90);
}

static void a_strength_teaches_the_appetite(void **ctx)
{
    struct fixture *f = *ctx;
    double foretold;

    start(f, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(40, 9)), FIGURE_EC_MS_CM, 1.4));
    foretold = predict_ec(&f->room, &f->s, A1, at(43, 9)).mean;
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(43, 9)), FIGURE_EC_MS_CM, foretold + 0.15));
    assert_true(f->s.container[A1].appetite <
                0.99); /* it left more than was thought: it takes less */
}

/* Told with the bump, or with what was poured away: it teaches as a reading does. */
static void what_it_was_before_teaches_the_same(void **ctx)
{
    struct fixture *f = *ctx;
    static const enum entry_kind kinds[] = {ENTRY_READING, ENTRY_BUMPED, ENTRY_DRAINED};
    double take[3];

    for (size_t k = 0; k < 3; k++) {
        enum figure before = kinds[k] == ENTRY_READING ? FIGURE_EC_MS_CM : FIGURE_WAS_MS_CM;
        struct entry e = told_at(kinds[k], "A1", kinds[k] == ENTRY_BUMPED ? "leaf" : "", at(43, 9));

        begin_again(f);
        start(f, "A1");
        tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9)));
        tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
        tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(40, 9)), FIGURE_EC_MS_CM, 1.4));
        e = with(e, before, predict_ec(&f->room, &f->s, A1, at(43, 9)).mean + 0.15);
        tell(f, kinds[k] == ENTRY_BUMPED ? with(e, FIGURE_EC_MS_CM, 1.6) : e);
        take[k] = f->s.container[A1].appetite;
    }
    assert_true(take[0] < 0.99);
    assert_float_equal(take[1], take[0], 1e-12);
    assert_float_equal(take[2], take[0], 1e-12);
    assert_int_equal(f->s.container[A1].readings, 2); /* a drained solution is measured no more */
}

/* A slip of the pen that was taken back has taught nothing, has set nothing aside, and does not
 * vouch for a second one like it. Entries keep their numbers. */
static void a_fold_without_the_voided_is_the_same(void **ctx)
{
    struct fixture *f = *ctx;
    struct state told;
    struct text why = {0};
    enum { SLIP = 2, STRONG = 5, N = 7 };
    struct entry e[N] = {
        with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7),
        with(told_at(ENTRY_READING, "A1", "", at(20, 9)), FIGURE_VOLUME_L, 16.2),
        with(told_at(ENTRY_READING, "A1", "", at(24, 9)), FIGURE_VOLUME_L, 9),
        with(told_at(ENTRY_READING, "A1", "", at(28, 9)), FIGURE_VOLUME_L, 13.1),
        told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(33, 9)),
        with(told_at(ENTRY_READING, "A1", "", at(34, 9)), FIGURE_EC_MS_CM, 9), /* set aside */
        told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(37, 9)),
    };

    state_init(&told, &f->room);
    for (size_t i = 0; i < N; i++) {
        e[i].seq = (int64_t)i + 1;
        fold_entry(&told, &f->room, &e[i]);
        if (i != SLIP) { /* the room in which nobody slipped */
            fold_entry(&f->s, &f->room, &e[i]);
        }
    }
    assert_non_null(observe_aside(&told, e[SLIP].seq));
    assert_false(state_equal(&f->s, &told, NULL));
    state_deinit(&told); /* taken back: folded anew without it */
    state_init(&told, &f->room);
    for (size_t i = 0; i < N; i++) {
        if (i != SLIP) {
            fold_entry(&told, &f->room, &e[i]);
        }
    }
    assert_null(observe_aside(&told, e[SLIP].seq));
    assert_non_null(observe_aside(&told, e[STRONG].seq));
    assert_true(state_equal(&f->s, &told, &why));
    text_deinit(&why);
    state_deinit(&told);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_thirsty_plant_is_known_by_its_level),
        TEST(a_neighbour_is_believed_to_be_a_little_like_it),
        TEST(a_level_that_rises_by_itself_is_taken_and_questioned),
        TEST(a_slip_of_the_pen_counts_until_it_is_put_right),
        TEST(a_second_one_on_the_same_side_is_learned_from),
        TEST(a_bucket_that_leaks_is_told_of_within_two_readings),
        TEST(swapped_levels_are_noticed_at_once),
        TEST(a_float_that_is_not_open_yet_moves_the_forecast_back),
        TEST(a_float_that_can_hardly_be_open_teaches_nothing),
        TEST(the_reservoir_teaches_of_all_at_once),
        TEST(what_was_let_in_in_between_is_reckoned_with),
        TEST(a_fill_and_what_was_let_in_say_what_was_drunk),
        TEST(a_strength_teaches_the_appetite),
        TEST(what_it_was_before_teaches_the_same),
        TEST(a_fold_without_the_voided_is_the_same),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
