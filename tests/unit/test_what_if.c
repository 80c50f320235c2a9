/* Rooms that are supposed: what is said is changed, and nothing else, and nothing of
 * the original. */
#include "daemon/base/err.h"
#include "daemon/core/tasks/agenda.h"
#include "daemon/core/tasks/what_if.h"
#include "daemon/core/units/day.h"
#include "tests/unit/a_working_room.h"

/* The copy with one thing supposed on day 36; ended with what_if_deinit. */
static void suppose(const struct fixture *f, struct what_if *w, const char *said)
{
    struct err e = {0};

    what_if_init(w, &f->room, &f->s);
    assert_int_equal(what_if_suppose(w, said, day(36), &e), 0);
}

static void what_is_supposed_touches_nothing(void **ctx)
{
    static const char *const said[] = {
        "off 2026-04-10", "off +1 days..+3 days", "reservoir 60 L",    "tolerance 20 %",
        "more 3 like A1", "feed 0.6 mS/cm",       "float 16 L like A1"};
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        struct what_if w;

        suppose(f, &w, said[i]);
        what_if_deinit(&w);
    }
    assert_int_equal(f->room.labour.n_off, 0);
    assert_int_equal(f->room.n_containers, 4);
    assert_int_equal(f->s.n_containers, 4);
    assert_true(f->room.reservoir.capacity_l == 100);
    assert_true(f->room.tolerance_pct == 10);
}

/* 2026-04-06 is day 36. */
static void a_day_or_a_range_of_days_is_off(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    nobody_works(f, 50, 51); /* which stay off */
    suppose(f, &w, "off 2026-04-08");
    assert_false(room_is_off(&w.room, day(37)));
    assert_true(room_is_off(&w.room, day(38)));
    assert_false(room_is_off(&w.room, day(39)));
    assert_true(room_is_off(&w.room, day(50)));
    what_if_deinit(&w);
    suppose(f, &w, "off 2026-04-08..2026-04-10");
    assert_false(room_is_off(&w.room, day(37)));
    assert_true(room_is_off(&w.room, day(38)) && room_is_off(&w.room, day(40)));
    assert_false(room_is_off(&w.room, day(41)));
    what_if_deinit(&w);
    suppose(f, &w, "off 2026-04-08..2026-04-08");
    assert_true(room_is_off(&w.room, day(38)));
    what_if_deinit(&w);
    suppose(f, &w, "off +1 days..+3 days");
    assert_true(room_is_off(&w.room, day(37)) && room_is_off(&w.room, day(39)));
    assert_false(room_is_off(&w.room, day(36)) || room_is_off(&w.room, day(40)));
    what_if_deinit(&w);
}

static void two_things_can_be_supposed_together(void **ctx)
{
    struct fixture *f = *ctx;
    struct err e = {0};
    struct what_if w;

    suppose(f, &w, "off 2026-04-08");
    assert_int_equal(what_if_suppose(&w, "off 2026-04-12", day(36), &e), 0);
    assert_int_equal(what_if_suppose(&w, "more 2 like A1", day(36), &e), 0);
    assert_int_equal(what_if_suppose(&w, "more 1 like L1", day(36), &e), 0);
    assert_true(room_is_off(&w.room, day(38)) && room_is_off(&w.room, day(42)));
    assert_int_equal(w.room.n_containers, 7);
    what_if_deinit(&w);
}

static void a_reservoir_of_another_size_keeps_its_marks(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    suppose(f, &w, "reservoir 60 L");
    assert_true(w.room.reservoir.capacity_l == 60 && w.room.reservoir.low_l == 25);
    what_if_deinit(&w);
}

static void the_tolerance_may_be_from_nothing_to_one_half(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    suppose(f, &w, "tolerance 0 %");
    assert_true(w.room.tolerance_pct == 0);
    what_if_deinit(&w);
    suppose(f, &w, "tolerance 50 %");
    assert_true(w.room.tolerance_pct == 50);
    what_if_deinit(&w);
}

static void the_dial_is_turned_by_its_word(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    suppose(f, &w, "strength close");
    assert_int_equal(w.room.strength, STRENGTH_CLOSE);
    what_if_deinit(&w);
    suppose(f, &w, "strength easy");
    assert_int_equal(w.room.strength, STRENGTH_EASY);
    what_if_deinit(&w);
    assert_int_equal(f->room.strength, STRENGTH_USUAL);
}

static void more_containers_stand_as_the_one_that_they_are_like(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    on_float(f, "A2", 30);
    f->room.container[A2].float_volume_l = 12;
    suppose(f, &w, "more 2 like A2");
    assert_int_equal(w.room.n_containers, 6);
    assert_int_equal(w.s.n_containers, 6);
    assert_string_equal(w.room.container[4].name, "A2+4");
    assert_string_equal(w.room.container[5].name, "A2+5");
    for (size_t i = 4; i < 6; i++) {
        assert_true(w.room.container[i].float_volume_l == 12);
        assert_int_equal(w.s.container[i].crop, VINE);
        assert_true(w.s.container[i].float_s == at(30, 9));
    }
    what_if_deinit(&w);
    suppose(f, &w, "more 200 like A1");
    assert_int_equal(w.room.n_containers, 204);
    what_if_deinit(&w);
}

static void more_containers_are_changed_with_the_one_that_they_are_like(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda a;
    struct what_if w;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    suppose(f, &w, "more 3 like A1");
    agenda_derive(&w.room, &w.s, at(36, 7), 28, NULL, false, &a);
    assert_int_equal(task_in(&a, TASK_CHANGE)->n_jobs, 2 + 3);
    agenda_deinit(&a);
    what_if_deinit(&w);
}

static void a_day_supposed_off_has_no_work(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda a;
    struct what_if w;
    int32_t on;
    char said[64];
    char text[DAY_TEXT_MAX];

    on_float(f, "A1", 30);
    agenda_derive(&f->room, &f->s, at(36, 7), 28, NULL, false, &a);
    on = task_in(&a, TASK_CHANGE)->on;
    agenda_deinit(&a);
    (void)snprintf(said, sizeof said, "off %s", day_format(text, on));
    suppose(f, &w, said);
    agenda_derive(&w.room, &w.s, at(36, 7), 28, NULL, false, &a);
    for (size_t i = 0; i < a.n; i++) {
        assert_int_not_equal(a.task[i].on, on);
    }
    agenda_deinit(&a);
    what_if_deinit(&w);
}

static void what_cannot_be_supposed_is_told(void **ctx)
{
    static const struct {
        const char *said;
        int code;
        const char *says; /* a part of it */
    } bad[] = {
        {"",                           ERR_SYNTAX,  "'' cannot be supposed; what can: off DAY"   },
        {"rain",                       ERR_SYNTAX,  "'rain' cannot be supposed"                  },
        {"off",                        ERR_SYNTAX,  ""                                           },
        {"off 2026-04-05..2026-04-03", ERR_RANGE,   "off: the last day comes before the first"   },
        {"off 2026-02-30",             ERR_RANGE,   ""                                           },
        {"off 2026-04-05..2026-02-30", ERR_RANGE,   ""                                           },
        {"off 2026-02-30..2026-04-05", ERR_RANGE,   ""                                           },
        {"reservoir 2",                ERR_SYNTAX,  ""                                           },
        {"reservoir 25 L",             ERR_RANGE,   "reservoir: it has to hold more than its low"},
        {"tolerance -1 %",             ERR_RANGE,   "tolerance: from 0 % to 50 %"                },
        {"tolerance 50.1 %",           ERR_RANGE,   "tolerance: from 0 % to 50 %"                },
        {"strength tight",             ERR_SYNTAX,  "strength: usual, close or easy"             },
        {"tolerance much",             ERR_SYNTAX,  ""                                           },
        {"more 3",                     ERR_SYNTAX,  "more: how many like which container"        },
        {"more 0 like A1",             ERR_RANGE,   "more: 1 to 200 containers can be supposed"  },
        {"more 201 like A1",           ERR_RANGE,   "more: 1 to 200 containers can be supposed"  },
        {"more some like A1",          ERR_RANGE,   "more: 1 to 200 containers can be supposed"  },
        {"feed",                       ERR_SYNTAX,  ""                                           },
        {"feed 0.05 mS/cm",            ERR_RANGE,   "feed: stronger than the source's water"     },
        {"feed 5.1 mS/cm",             ERR_RANGE,   "and at most 5 mS/cm"                        },
        {"float 16 L",                 ERR_SYNTAX,  "float: how much, in which containers"       },
        {"float much like A1",         ERR_SYNTAX,  ""                                           },
        {"float 0.5 L like A1",        ERR_RANGE,   "float: more than the 0.5 L that stay"       },
        {"float 1001 L like A1",       ERR_RANGE,   "and at most 1000 L"                         },
        {"float 16 L like A9",         ERR_UNKNOWN, "A9"                                         },
        {"float 16 L like reservoir",  ERR_UNKNOWN, "float: 'reservoir' is no container"         },
        {"more 3 like A9",             ERR_UNKNOWN, "A9"                                         },
        {"more 3 like reservoir",      ERR_UNKNOWN, "more: 'reservoir' is no container"          },
    };
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct err e = {0};
        struct what_if w;

        what_if_init(&w, &f->room, &f->s);
        assert_int_equal(what_if_suppose(&w, bad[i].said, day(36), &e), bad[i].code);
        assert_true(*e.msg != '\0');
        assert_non_null(strstr(e.msg, bad[i].says));
        assert_int_equal(w.room.labour.n_off, 0); /* nothing is changed then */
        assert_int_equal(w.room.n_containers, 4);
        assert_true(w.room.reservoir.capacity_l == 100 && w.room.tolerance_pct == 10);
        assert_true(!room_feeds(&w.room) && w.room.container[0].float_volume_l == 8);
        what_if_deinit(&w);
    }
}

/* The water that is in it is supposed to be the feed already: source water of 0.05 with the rest of
 * the recipe that most grown plants are given. */
static void a_feed_stands_in_for_the_plain_water_that_is_there(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    f->room.product[CALCIUM_PART].contents.mg[NUTRIENT_K] = 50;
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(35, 9)), FIGURE_VOLUME_L, 90));
    suppose(f, &w, "feed 0.55 mS/cm");
    assert_true(w.room.reservoir.feed_ms_cm == 0.55);
    assert_int_equal(w.room.reservoir.feed_at, FRUIT);
    assert_float_equal(w.s.reservoir.body.ec_ms_cm, 0.55, 1e-12);
    assert_float_equal(w.s.reservoir.body.water_ms_cm, 0.05, 1e-12);
    assert_float_equal(w.s.reservoir.feed.mg[NUTRIENT_K], 50 * 4 * 0.5 / 2, 1e-9);
    what_if_deinit(&w);
}

/* That one and its like, with what they hold in proportion; the leaf stands in a vessel of the same
 * size and is another crop. */
static void larger_vessels_hold_more_of_the_same(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;

    f->room.container[2].float_volume_l = 9; /* A3 is not like A1 */
    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    suppose(f, &w, "float 16 L like A1");
    assert_true(w.room.container[0].float_volume_l == 16 &&
                w.room.container[1].float_volume_l == 16);
    assert_true(w.room.container[0].start_volume_l == 36);
    assert_true(w.room.container[2].float_volume_l == 9 && w.room.container[3].float_volume_l == 8);
    assert_true(w.s.container[0].body.volume_l == 36 && w.s.container[0].level_l == 36);
    assert_true(w.s.container[0].body.ec_ms_cm == 0.7);
    what_if_deinit(&w);
}

/* 5 L cannot be used and 2 L stay in the lines: a mix of nothing would be left of 7 L. */
static void a_reservoir_has_to_hold_more_than_what_stays_behind(void **ctx)
{
    struct fixture *f = *ctx;
    struct err e = {0};
    struct what_if w;

    f->room.reservoir.low_l = 6;
    what_if_init(&w, &f->room, &f->s);
    assert_int_equal(what_if_suppose(&w, "reservoir 7 L", day(36), &e), ERR_RANGE);
    assert_int_equal(what_if_suppose(&w, "reservoir 7.1 L", day(36), &e), 0);
    what_if_deinit(&w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_is_supposed_touches_nothing),
        TEST(a_day_or_a_range_of_days_is_off),
        TEST(two_things_can_be_supposed_together),
        TEST(a_reservoir_of_another_size_keeps_its_marks),
        TEST(the_tolerance_may_be_from_nothing_to_one_half),
        TEST(the_dial_is_turned_by_its_word),
        TEST(more_containers_stand_as_the_one_that_they_are_like),
        TEST(more_containers_are_changed_with_the_one_that_they_are_like),
        TEST(a_day_supposed_off_has_no_work),
        TEST(what_cannot_be_supposed_is_told),
        TEST(a_feed_stands_in_for_the_plain_water_that_is_there),
        TEST(larger_vessels_hold_more_of_the_same),
        TEST(a_reservoir_has_to_hold_more_than_what_stays_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
