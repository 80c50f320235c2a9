/* The room as it is: hello, status, today, stock, kinds, clock. What is expected is
 * what the demo's room file says, or what was told. */
#include "tests/unit/a_served_room.h"

#include <stdlib.h>

static void start_t1(void)
{
    do_ask(&d, "record",
           "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'1 mS/cm'}}}");
}

static void hello_says_who_is_there_and_how_its_figures_are_shown(void **ctx)
{
    json_t *a = ask(&d, "hello", "{'protocol':1}");

    (void)ctx;
    ASSERT_NUMBER(a, "protocol", 1, 0);
    ASSERT_TEXT(a, "version", TARN_VERSION);
    ASSERT_TEXT(a, "room", "attic");
    ASSERT_TRUE(a, "simulated");
    ASSERT_TEXT(a, "now", "2026-03-01T07:00:00+01:00"); /* Vienna, in winter */
    ASSERT_TEXT(a, "units.volume", "L");
    ASSERT_TEXT(a, "units.ec", "mS/cm");
    ASSERT_TEXT(a, "units.temp", "C");
    json_decref(a);
    refused(&d, "hello", "{'protocol':2}", -32004, "protocol",
            "tarnd " TARN_VERSION " speaks protocol 1, not 2");
}

static void a_new_room_is_idle_and_as_its_file_says(void **ctx)
{
    json_t *a = ask(&d, "status", "{}");

    (void)ctx;
    ASSERT_TEXT(a, "room", "attic");
    ASSERT_TRUE(a, "simulated");
    ASSERT_COUNT(a, "containers", 10);
    ASSERT_TEXT(a, "containers.0.name", "T1");
    ASSERT_TEXT(a, "containers.9.name", "L2");
    ASSERT_TEXT(a, "containers.0.condition", "idle");
    ASSERT_NULL(a, "containers.0.crop");
    ASSERT_NULL(a, "containers.0.stage");
    ASSERT_NULL(a, "containers.0.day");
    ASSERT_NULL(a, "containers.0.ec_ms_cm");
    ASSERT_NULL(a, "containers.0.float_on");
    ASSERT_NULL(a, "containers.0.solution_days");
    ASSERT_NULL(a, "containers.0.measured.ec_ms_cm");
    ASSERT_FALSE(a, "containers.0.float_seen");
    ASSERT_NUMBER(a, "reservoir.capacity_l", 90, 0);
    ASSERT_NUMBER(a, "reservoir.low_l", 20, 0);
    ASSERT_NUMBER(a, "reservoir.remainder_l", 5, 0);
    ASSERT_NULL(a, "reservoir.ec_ms_cm"); /* nobody has told of it */
    ASSERT_TEXT(a, "reservoir.holds", "water");
    ASSERT_NULL(a, "reservoir.recipe");
    ASSERT_COUNT(a, "meters", 2);
    ASSERT_TEXT(a, "meters.0.name", "ph-pen");
    ASSERT_TEXT(a, "meters.0.kind", "ph");
    ASSERT_TEXT(a, "meters.1.kind", "ec");
    ASSERT_NULL(a, "meters.0.calibrated_on");
    ASSERT_NULL(a, "meters.0.due_on");
    ASSERT_NULL(a, "room_file_fault");
    ASSERT_COUNT(a, "alarms", 0);
    ASSERT_NUMBER(a, "entries", 0, 0);
    ASSERT_NUMBER(a, "skipped", 0, 0);
    json_decref(a);
}

static void what_was_told_shows_in_the_status(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    do_ask(&d, "record",
           "{'kind':'calibrated','subjects':{'ph-pen':{'slope':'96 %','offset':'-4 mV'}}}");
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    a = ask(&d, "status", "{}");
    ASSERT_TEXT(a, "containers.0.condition", "drawdown");
    ASSERT_TEXT(a, "containers.0.crop", "tomato");
    ASSERT_NUMBER(a, "containers.0.day", 0, 0);
    ASSERT_NUMBER(a, "containers.0.volume_l", 18, 0);
    ASSERT_NUMBER(a, "containers.0.ec_ms_cm", 1, 1e-9);
    ASSERT_NUMBER(a, "containers.0.solution_days", 0, 0);
    ASSERT_NUMBER(a, "containers.0.measured.ec_ms_cm.value", 1, 0);
    ASSERT_TEXT(a, "containers.0.measured.ec_ms_cm.at", "2026-03-01T07:00:00+01:00");
    assert_true(json_is_string(part(a, "containers.0.measured.ec_ms_cm.doubt"))); /* no meter was
                                                                                    calibrated */
    ASSERT_NULL(a, "containers.0.measured.ph");
    ASSERT_TEXT(a, "meters.0.calibrated_on", "2026-03-01");
    ASSERT_TEXT(a, "meters.0.due_on", "2026-03-15"); /* calibrate: 14 days */
    ASSERT_NUMBER(a, "meters.0.slope_pct", 96, 0);
    ASSERT_NUMBER(a, "meters.0.offset_mv", -4, 0);
    ASSERT_NUMBER(a, "reservoir.volume_l", 80, 0);
    ASSERT_NUMBER(a, "reservoir.ec_ms_cm", 0.05, 1e-9); /* that of the source */
    ASSERT_NUMBER(a, "entries", 3, 0);
    json_decref(a);
}

static void the_days_of_a_plant_and_of_its_solution_are_counted(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    do_ask(&d, "clock", "{'advance':'60 h'}");
    do_ask(&d, "record", "{'kind':'drained','subjects':{'T1':{'volume':'0.6 L'}}}");
    do_ask(
        &d, "record",
        "{'kind':'refilled','subjects':{'T1':{'what':'leaf','volume':'18 L','ec':'1.2 mS/cm'}}}");
    do_ask(&d, "clock", "{'advance':'36 h'}");
    a = ask(&d, "status", "{}");
    ASSERT_NUMBER(a, "containers.0.day", 4, 0);
    ASSERT_NUMBER(a, "containers.0.solution_days", 1, 0);
    assert_true(json_number_value(part(a, "containers.0.volume_l")) < 18);
    json_decref(a);
}

static void a_float_that_was_seen_shows(void **ctx)
{
    json_t *a;

    (void)ctx;
    start_t1();
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    a = ask(&d, "status", "{}");
    assert_true(json_is_string(part(a, "containers.0.float_on"))); /* foreseen */
    json_decref(a);
    do_ask(&d, "clock", "{'advance':'1 day'}");
    do_ask(&d, "record",
           "{'kind':'float-seen','subjects':{'T1':{'what':'yes','volume':'8 L'}},'sure':true}");
    a = ask(&d, "status", "{}");
    ASSERT_TEXT(a, "containers.0.condition", "on float");
    ASSERT_TRUE(a, "containers.0.float_seen");
    ASSERT_TEXT(a, "containers.0.float_on", "2026-03-02");
    json_decref(a);
}

static void a_mix_in_the_reservoir_shows_with_its_recipe(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record",
           "{'kind':'mix-made','subjects':{'reservoir':{'what':'leaf','volume':'60 L',"
           "'ec':'1.2 mS/cm','amounts':{'calcium-part':'90 mL','sulfate-part':'90 mL'}}}}");
    a = ask(&d, "status", "{}");
    ASSERT_TEXT(a, "reservoir.holds", "mix");
    ASSERT_TEXT(a, "reservoir.recipe", "leaf");
    ASSERT_NUMBER(a, "reservoir.ec_ms_cm", 1.2, 1e-9);
    json_decref(a);
    a = ask(&d, "stock", "{}");
    ASSERT_NUMBER(a, "products.0.left", 4910, 1e-6); /* 5 L less 90 mL */
    ASSERT_NUMBER(a, "products.2.left", 5000, 0);
    json_decref(a);
}

/* The plain water of this room has 0.05 mS/cm. */
static void what_is_wrong_by_the_readings_is_said(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    do_ask(&d, "clock", "{'advance':'1 day'}");
    do_ask(&d, "record",
           "{'kind':'reading','subjects':{'reservoir':{'ec':'1.5 mS/cm'}},'sure':true}");
    a = ask(&d, "status", "{}");
    ASSERT_COUNT(a, "alarms", 1);
    ASSERT_TEXT(a, "alarms.0.kind", "reservoir-salt");
    ASSERT_TEXT(a, "alarms.0.subject", "reservoir");
    ASSERT_TEXT(a, "alarms.0.since", "2026-03-02T07:00:00+01:00");
    ASSERT_FALSE(a, "alarms.0.seen");
    assert_true(json_number_value(part(a, "alarms.0.sure_pct")) > 50);
    ASSERT_TEXT(a, "notices.0.key", "reservoir-salt/reservoir");
    json_decref(a);
}

/* ---- today */

static double sum_minutes(json_t *list)
{
    double sum = 0;
    const json_t *t;
    size_t i;

    json_array_foreach(part(list, "tasks"), i, t)
    {
        sum += json_number_value(json_object_get(t, "minutes"));
    }
    return sum;
}

static void the_list_of_a_day_has_its_tasks_and_the_minutes_that_there_are(void **ctx)
{
    json_t *a = ask(&d, "today", "{}");

    (void)ctx;
    ASSERT_TEXT(a, "date", "2026-03-01");
    ASSERT_NUMBER(a, "budget_min", 30, 0); /* a Sunday */
    assert_true(json_array_size(part(a, "tasks")) > 3);
    ASSERT_NUMBER(a, "minutes", sum_minutes(a), 1e-6);
    assert_null(part(a, "tasks.0.worksheet"));
    json_decref(a);
    a = ask(&d, "today", "{'on':'2026-03-02','full':true}");
    ASSERT_TEXT(a, "date", "2026-03-02");
    ASSERT_NUMBER(a, "budget_min", 90, 0); /* a Monday */
    json_decref(a);
    a = ask(&d, "today", "{'full':true}");
    assert_true(json_array_size(part(a, "tasks.0.worksheet")) > 1);
    json_decref(a);
}

static void lists_are_made_for_four_weeks(void **ctx)
{
    json_t *a = ask(&d, "today", "{'on':'2026-03-28'}"); /* 27 days after the first */
    static const char words[] = "lists are made for today and the 27 days after it";

    (void)ctx;
    json_decref(a);
    refused(&d, "today", "{'on':'2026-03-29'}", -32602, "on", words);
    refused(&d, "today", "{'on':'2026-02-28'}", -32602, "on", words);
}

static void a_start_is_described_as_the_room_file_has_it(void **ctx)
{
    json_t *a = ask(&d, "show", "{'what':'T5'}"); /* start: 2026-03-08 */

    (void)ctx;
    ASSERT_COUNT(a, "tasks", 1);
    ASSERT_TEXT(a, "tasks.0.kind", "start");
    ASSERT_TEXT(a, "tasks.0.what", "start");
    ASSERT_COUNT(a, "tasks.0.subjects", 2);
    ASSERT_TEXT(a, "tasks.0.subjects.0", "T5");
    ASSERT_TEXT(a, "tasks.0.subjects.1", "T6");
    ASSERT_TEXT(a, "tasks.0.due", "2026-03-08");
    ASSERT_TEXT(a, "tasks.0.recipe", "leaf");
    ASSERT_NUMBER(a, "tasks.0.volume_l", 18, 0); /* of each: start_volume */
    ASSERT_FALSE(a, "tasks.0.overdue");
    ASSERT_FALSE(a, "tasks.0.by_hand");
    json_decref(a);
    a = ask(&d, "show", "{'what':'reservoir'}");
    ASSERT_TEXT(a, "tasks.0.kind", "fill");
    ASSERT_NULL(a, "tasks.0.recipe");
    ASSERT_NULL(a, "tasks.0.ec_ms_cm");
    ASSERT_NUMBER(a, "tasks.0.volume_l", 90, 0); /* all that it holds */
    json_decref(a);
    a = ask(&d, "show", "{'what':'ph-pen'}");
    ASSERT_TEXT(a, "tasks.0.kind", "calibrate");
    ASSERT_NULL(a, "tasks.0.volume_l");
    json_decref(a);
}

/* ---- stock and kinds */

static void the_stock_is_what_was_there_and_came(void **ctx)
{
    json_t *a;

    (void)ctx;
    do_ask(&d, "record", "{'kind':'stock-received','subjects':{'calcium-part':{'amount':'2 L'}}}");
    a = ask(&d, "stock", "{}");
    ASSERT_COUNT(a, "products", 5);
    ASSERT_TEXT(a, "products.0.name", "calcium-part");
    ASSERT_TEXT(a, "products.0.kind", "liquid");
    ASSERT_TEXT(a, "products.0.unit", "mL");
    ASSERT_NUMBER(a, "products.0.left", 7000, 0);
    ASSERT_NUMBER(a, "products.0.reorder_at", 1000, 0);
    ASSERT_FALSE(a, "products.0.ordered");
    ASSERT_TEXT(a, "products.3.kind", "acid");
    json_decref(a);
}

static bool names(json_t *list, const char *word)
{
    const json_t *one;
    size_t i;

    json_array_foreach(list, i, one)
    {
        if (strcmp(json_string_value(one), word) == 0) {
            return true;
        }
    }
    return false;
}

static void the_kinds_say_what_they_want(void **ctx)
{
    json_t *a = ask(&d, "kinds", "{}");
    bool seen[2] = {false, false};
    json_t *one;
    size_t i;

    (void)ctx;
    json_array_foreach(part(a, "kinds"), i, one)
    {
        const char *word = json_string_value(json_object_get(one, "word"));

        assert_string_not_equal(word, "voided"); /* it comes of a void, not of record */
        assert_string_not_equal(word, "acknowledged");
        if (strcmp(word, "started") == 0) {
            seen[0] = true;
            ASSERT_TEXT(one, "what", "crop");
            assert_true(names(part(one, "figures"), "volume"));
        } else if (strcmp(word, "harvested") == 0) {
            seen[1] = true;
            ASSERT_TEXT(one, "what", "what");
            assert_true(names(part(one, "figures"), "yield"));
            assert_false(names(part(one, "needs"), "ph"));
        } else if (strcmp(word, "note") == 0) {
            ASSERT_NULL(one, "what");
            ASSERT_COUNT(one, "needs", 0);
        }
    }
    assert_true(seen[0]);
    assert_true(seen[1]);
    json_decref(a);
}

/* ---- the clock */

static void a_simulated_clock_goes_forward_by_a_span_or_to_an_instant(void **ctx)
{
    json_t *a = ask(&d, "clock", "{}");

    (void)ctx;
    ASSERT_TEXT(a, "now", "2026-03-01T07:00:00+01:00");
    ASSERT_TRUE(a, "simulated");
    json_decref(a);
    a = ask(&d, "clock", "{'advance':'36 h'}");
    ASSERT_TEXT(a, "now", "2026-03-02T19:00:00+01:00");
    json_decref(a);
    a = ask(&d, "clock", "{'to':'2026-03-29 12:00'}"); /* summer time began that night */
    ASSERT_TEXT(a, "now", "2026-03-29T12:00:00+02:00");
    json_decref(a);
    a = ask(&d, "clock", "{'to':'2026-03-29 12:00'}"); /* where it is already */
    json_decref(a);
    refused(&d, "clock", "{'to':'2026-03-29 11:59'}", -32602, "to",
            "the clock goes forward only, by up to 3660 days");
    refused(&d, "clock", "{'to':'2036-04-06 12:01'}", -32602, "to",
            "the clock goes forward only, by up to 3660 days");
    refused(&d, "clock", "{'advance':'3661 days'}", -32602, "advance",
            "the clock is moved by up to 3660 days");
    refused(&d, "clock", "{'advance':'0 days'}", -32602, "advance",
            "the clock is moved by up to 3660 days");
    refused(&d, "clock", "{'advance':'1 day','to':'2026-04-01 12:00'}", -32602, "to",
            "say either how far, or where to");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(hello_says_who_is_there_and_how_its_figures_are_shown),
        TEST(a_new_room_is_idle_and_as_its_file_says),
        TEST(what_was_told_shows_in_the_status),
        TEST(the_days_of_a_plant_and_of_its_solution_are_counted),
        TEST(a_float_that_was_seen_shows),
        TEST(a_mix_in_the_reservoir_shows_with_its_recipe),
        TEST(what_is_wrong_by_the_readings_is_said),
        TEST(the_list_of_a_day_has_its_tasks_and_the_minutes_that_there_are),
        TEST(lists_are_made_for_four_weeks),
        TEST(a_start_is_described_as_the_room_file_has_it),
        TEST(the_stock_is_what_was_there_and_came),
        TEST(the_kinds_say_what_they_want),
        TEST(a_simulated_clock_goes_forward_by_a_span_or_to_an_instant),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
