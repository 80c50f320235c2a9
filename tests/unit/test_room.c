/* Names in a room, and what they stand for. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

static int set_up(void **state)
{
    struct room *room = mem_array(1, sizeof *room);

    *room = a_room();
    *state = room;
    return 0;
}

static int tear_down(void **state)
{
    room_deinit(*state);
    free(*state);
    return 0;
}

static void every_thing_is_found_by_its_name(void **state)
{
    static const struct {
        const char *name;
        enum subject_kind kind;
        size_t at;
    } things[] = {
        {"room",         SUBJECT_ROOM,      0           },
        {"reservoir",    SUBJECT_RESERVOIR, 0           },
        {"A1",           SUBJECT_CONTAINER, A1          },
        {"L1",           SUBJECT_CONTAINER, L1          },
        {"sulfate-part", SUBJECT_PRODUCT,   SULFATE_PART},
        {"ph-down",      SUBJECT_PRODUCT,   PH_DOWN     },
        {"fruit",        SUBJECT_RECIPE,    FRUIT       },
        {"ec-pen",       SUBJECT_METER,     1           },
    };
    const struct room *room = *state;

    for (size_t i = 0; i < sizeof things / sizeof *things; i++) {
        struct subject s = room_find(room, things[i].name);

        assert_int_equal(s.kind, things[i].kind);
        assert_int_equal(s.at, things[i].at);
        assert_string_equal(room_subject_name(room, s), things[i].name);
    }
}

static void a_name_that_nothing_has_stands_for_nothing(void **state)
{
    static const char *const names[] = {"A9", "a1", "vine", "", "A1 ", "Reservoir"};
    const struct room *room = *state;

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct subject s = room_find(room, names[i]);

        assert_int_equal(s.kind, SUBJECT_NONE);
        assert_string_equal(room_subject_name(room, s), "");
    }
}

static void a_slip_in_a_name_is_met_with_the_nearest(void **state)
{
    const struct room *room = *state;
    struct subject s = {SUBJECT_METER, 7};
    struct err e = {0};

    assert_int_equal(room_lookup(room, "resevoir", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'resevoir'; did you mean 'reservoir'?");
    assert_string_equal(e.field, "subject");
    assert_int_equal(room_lookup(room, "ph_down", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'ph_down'; did you mean 'ph-down'?");
    assert_int_equal(room_lookup(room, "greenhouse", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'greenhouse'");
    assert_int_equal(room_lookup(room, "M1-M4", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'M1-M4'; a run of names is written A1..A4");
    assert_true(s.kind == SUBJECT_METER && s.at == 7);
}

/* Of names that are equally near, the first in the order of the room file. */
static void of_equally_near_containers_the_first_is_named(void **state)
{
    const struct room *room = *state;
    struct subject s;
    struct err e = {0};

    assert_int_equal(room_lookup(room, "A7", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'A7'; did you mean 'A1'?");
}

static void a_known_name_is_looked_up(void **state)
{
    const struct room *room = *state;
    struct subject s = {0};

    assert_int_equal(room_lookup(room, "A2", &s, NULL), 0);
    assert_true(s.kind == SUBJECT_CONTAINER && s.at == A2);
}

static void two_things_of_one_name_are_refused(void **state)
{
    struct room *room = *state;
    struct err e = {0};

    name_it(room->container[A3].name, sizeof room->container[A3].name, "calcium-part");
    assert_int_equal(room_index(room, &e), ERR_CONFIG);
    assert_string_equal(e.msg, "two things in the room are called 'calcium-part'");
    assert_string_equal(e.field, "calcium-part");
}

static void the_words_room_and_reservoir_are_taken(void **state)
{
    struct room *room = *state;
    struct err e = {0};

    name_it(room->container[A3].name, sizeof room->container[A3].name, "reservoir");
    assert_int_equal(room_index(room, &e), ERR_CONFIG);
    assert_string_equal(e.field, "reservoir");
    name_it(room->container[A3].name, sizeof room->container[A3].name, "room");
    assert_int_equal(room_index(room, &e), ERR_CONFIG);
    assert_string_equal(e.field, "room");
}

static void names_can_be_indexed_anew(void **state)
{
    struct room *room = *state;

    name_it(room->container[A3].name, sizeof room->container[A3].name, "B1");
    assert_int_equal(room_index(room, NULL), 0);
    assert_int_equal(room_find(room, "B1").at, A3);
    assert_int_equal(room_find(room, "A3").kind, SUBJECT_NONE);
}

static void a_crop_has_a_space_of_its_own(void **state)
{
    struct room *room = *state;

    assert_int_equal(room_find_crop(room, "leaf"), LEAF);
    assert_int_equal(room_find_crop(room, "Leaf"), -1);
    assert_int_equal(room_find_crop(room, "A1"), -1);
    name_it(room->crop[LEAF].name, sizeof room->crop[LEAF].name, "A1");
    assert_int_equal(room_index(room, NULL), 0);
}

static void a_stage_is_found_in_its_crop(void **state)
{
    const struct room *room = *state;

    assert_int_equal(crop_find_stage(&room->crop[VINE], "young"), 0);
    assert_int_equal(crop_find_stage(&room->crop[VINE], "fruiting"), 1);
    assert_int_equal(crop_find_stage(&room->crop[VINE], "old"), -1);
}

static void twenty_thousand_containers_are_all_found(void **state)
{
    struct room room = {0};

    (void)state;
    room.container = mem_array(ROOM_CONTAINERS_MAX, sizeof *room.container);
    for (size_t i = 0; i < ROOM_CONTAINERS_MAX; i++) {
        (void)snprintf(room.container[i].name, sizeof room.container[i].name, "T%zu", i);
    }
    room.n_containers = ROOM_CONTAINERS_MAX;
    assert_int_equal(room_index(&room, NULL), 0);
    for (size_t i = 0; i < ROOM_CONTAINERS_MAX; i++) {
        struct subject s = room_find(&room, room.container[i].name);

        assert_true(s.kind == SUBJECT_CONTAINER && s.at == i);
    }
    assert_int_equal(room_find(&room, "T20000").kind, SUBJECT_NONE);
    room_deinit(&room);
}

static void a_name_is_a_letter_and_then_letters_digits_and_three_marks(void **state)
{
    static const char *const good[] = {"A", "a1", "row-2.tub_3", "abcdefghijklmnopqrstuvwxyz01234"};
    static const char *const bad[] = {"",
                                      "1a",
                                      "-a",
                                      "_a",
                                      ".a",
                                      "a b",
                                      "é",
                                      "aé",
                                      "a/b",
                                      "a\n",
                                      "abcdefghijklmnopqrstuvwxyz012345"};

    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        assert_true(name_is_valid(good[i]));
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_false(name_is_valid(bad[i]));
    }
}

static void each_kind_of_care_has_its_word(void **state)
{
    (void)state;
    assert_string_equal(care_word(CARE_FLOAT), "float");
    assert_string_equal(care_word(CARE_VALVE), "valve");
    assert_string_equal(care_word(CARE_FILTER), "filter");
    assert_string_equal(care_word(CARE_RESERVOIR), "reservoir");
    assert_string_equal(care_word(CARE_READ), "read");
}

static void a_day_off_has_no_minutes(void **state)
{
    struct room *room = *state;

    room->labour.budget_min[6] = 0; /* Sunday */
    room->labour.off = mem_array(1, sizeof *room->labour.off);
    room->labour.off[0] = (struct days){20520, 20522};
    room->labour.n_off = 1;
    assert_true(room_is_off(room, 20513)); /* 2026-03-01 is a Sunday */
    assert_false(room_is_off(room, 20514));
    assert_true(room_budget_min(room, 20514) == 120);
    assert_false(room_is_off(room, 20519));
    assert_true(room_is_off(room, 20520)); /* both ends are days off */
    assert_true(room_is_off(room, 20521));
    assert_true(room_is_off(room, 20522));
    assert_true(room_budget_min(room, 20522) == 0);
    assert_false(room_is_off(room, 20523));
}

static void a_meter_is_the_one_that_was_named_or_the_first_of_its_kind(void **state)
{
    struct room *room = *state;

    assert_int_equal(room_meter_used(room, METER_PH, ""), 0);
    assert_int_equal(room_meter_used(room, METER_EC, ""), 1);
    assert_int_equal(room_meter_used(room, METER_EC, "ec-pen"), 1);
    assert_int_equal(room_meter_used(room, METER_EC, "ph-pen"), 1); /* which shows no EC */
    assert_int_equal(room_meter_used(room, METER_EC, "A1"), 1);
    room->meter[0].kind = METER_EC;
    assert_int_equal(room_meter_used(room, METER_EC, ""), 0);
    assert_int_equal(room_meter_used(room, METER_EC, "ec-pen"), 1);
    assert_int_equal(room_meter_used(room, METER_PH, ""), -1);
}

static void a_stage_without_a_feed_of_its_own_has_the_crops(void **state)
{
    struct room *room = *state;
    struct crop *c = &room->crop[VINE];

    c->feed[FEED_N] = (struct span){100, 150};
    c->stage[1].feed[FEED_N] = (struct span){160, 200};
    assert_true(crop_feed(c, 0, FEED_N).lo == 100 && crop_feed(c, 0, FEED_N).hi == 150);
    assert_true(crop_feed(c, 1, FEED_N).lo == 160 && crop_feed(c, 1, FEED_N).hi == 200);
}

/* The index has room for twice the names: the 16 slots serve 8 names, the ninth wants 32. */
static void an_index_is_never_more_than_half_full(void **state)
{
    struct room room = {0};

    (void)state;
    room.container = mem_array(8, sizeof *room.container);
    for (size_t i = 0; i < 7; i++) {
        (void)snprintf(room.container[i].name, sizeof room.container[i].name, "T%zu", i);
    }
    room.n_containers = 6; /* and the room, and the reservoir */
    assert_int_equal(room_index(&room, NULL), 0);
    assert_int_equal(room.n_slots, 16);
    room.n_containers = 7;
    assert_int_equal(room_index(&room, NULL), 0);
    assert_int_equal(room.n_slots, 32);
    room_deinit(&room);
}

static void an_empty_room_has_no_names_and_can_be_ended(void **state)
{
    struct room room = {0};
    struct subject s;
    struct err e = {0};

    (void)state;
    assert_int_equal(room_find(&room, "A1").kind, SUBJECT_NONE);
    assert_int_equal(room_lookup(&room, "A1", &s, &e), ERR_UNKNOWN);
    assert_string_equal(e.msg, "the room has no 'A1'");
    room_deinit(&room);
    room_deinit(&room);
}

static void a_room_that_was_ended_is_empty(void **state)
{
    struct room room = a_room();

    (void)state;
    room.notify = mem_array(3, sizeof *room.notify);
    room.notify[0] = mem_strdup("notify-me");
    room.notify[1] = mem_strdup("now");
    room_deinit(&room);
    assert_null(room.container);
    assert_null(room.notify);
    assert_int_equal(room.n_containers + room.n_products + room.n_crops + room.n_slots, 0);
}

/* The journal keeps the name by which a thing was told of. */
static void a_container_is_found_by_the_name_that_it_had(void **ctx)
{
    struct room *room = *ctx;
    struct err e = {0};

    name_it(room->container[A3].was, sizeof room->container[A3].was, "old-tub");
    assert_int_equal(room_index(room, &e), 0);
    assert_int_equal(room_find(room, "old-tub").kind, SUBJECT_CONTAINER);
    assert_int_equal(room_find(room, "old-tub").at, A3);
    assert_int_equal(room_find(room, room->container[A3].name).at, A3);
    assert_string_equal(room_subject_was(room, (struct subject){SUBJECT_CONTAINER, A3}), "old-tub");
    name_it(room->container[A3].was, sizeof room->container[A3].was, "A1");
    assert_int_equal(room_index(room, &e), ERR_CONFIG);
    assert_string_equal(e.msg, "two things in the room are called 'A1'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_day_off_has_no_minutes, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_meter_is_the_one_that_was_named_or_the_first_of_its_kind,
                                        set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_stage_without_a_feed_of_its_own_has_the_crops, set_up,
                                        tear_down),
        cmocka_unit_test(an_index_is_never_more_than_half_full),
        cmocka_unit_test_setup_teardown(every_thing_is_found_by_its_name, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_name_that_nothing_has_stands_for_nothing, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_slip_in_a_name_is_met_with_the_nearest, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(of_equally_near_containers_the_first_is_named, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_known_name_is_looked_up, set_up, tear_down),
        cmocka_unit_test_setup_teardown(two_things_of_one_name_are_refused, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_words_room_and_reservoir_are_taken, set_up, tear_down),
        cmocka_unit_test_setup_teardown(names_can_be_indexed_anew, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_container_is_found_by_the_name_that_it_had, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_crop_has_a_space_of_its_own, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_stage_is_found_in_its_crop, set_up, tear_down),
        cmocka_unit_test(twenty_thousand_containers_are_all_found),
        cmocka_unit_test(a_name_is_a_letter_and_then_letters_digits_and_three_marks),
        cmocka_unit_test(each_kind_of_care_has_its_word),
        cmocka_unit_test(an_empty_room_has_no_names_and_can_be_ended),
        cmocka_unit_test(a_room_that_was_ended_is_empty),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
