/* What would be, and what is coming: mix and outlook. What is expected is reckoned by
 * hand beside it. */
#include "tests/unit/a_served_room.h"

#include <signal.h>
#include <stdlib.h>

/* ---- mix: the full dose of leaf adds 1.6 mS/cm with 2 mL/L of each part; the water has 0.05 */

/* How much more a part of a full dose adds than its part: Kohlrausch's root, 0.19 (1 - root), as
 * three recipes have it that a reference program reckoned full, by half and by a fifth
 * (tests/data/phreeqc.json: 5 to 6 % and 11 to 13 %). */
static double bends(double part_of_full)
{
    return 1 + 0.19 * (1 - sqrt(part_of_full));
}

static void a_wanted_strength_has_its_doses(void **ctx)
{
    json_t *a = ask(&d, "mix", "{'recipe':'leaf','volume':'30 L','ec':'1.25 mS/cm'}");

    (void)ctx;
    ASSERT_TEXT(a, "kind", "dose");
    ASSERT_TEXT(a, "recipe", "leaf");
    ASSERT_NULL(a, "crop");
    ASSERT_NULL(a, "stage");
    ASSERT_NUMBER(a, "volume_l", 30, 0);
    ASSERT_NUMBER(a, "ec_ms_cm", 1.25, 1e-9);
    ASSERT_NUMBER(a, "water_l", 30, 0);
    ASSERT_NUMBER(a, "hard_l", 0, 0);
    ASSERT_COUNT(a, "doses", 2);
    ASSERT_TEXT(a, "doses.0.product", "calcium-part");
    ASSERT_NUMBER(a, "doses.0.amount", 2 * 30 * 1.2 / 1.6 / bends(0.75), 0.3);
    assert_true(json_equal(part(a, "doses.0.measure"), part(a, "doses.0.amount")));
    ASSERT_TEXT(a, "doses.0.unit", "mL");
    ASSERT_TEXT(a, "doses.0.tool", "cylinder"); /* beyond two syringes */
    ASSERT_NUMBER(a, "doses.0.thin", 1, 0);
    ASSERT_NUMBER(a, "off_pct", 0, 0.1 / 44 * 100);
    ASSERT_TEXT(a, "feed.0.of", "N");
    ASSERT_NUMBER(a, "feed.0.mg_l", 156.8 * 1.2 / 1.6 / bends(0.75), 1);
    ASSERT_NUMBER(a, "estimate_ms_cm", 1.25, 0.25);
    json_decref(a);
    a = ask(&d, "mix", "{'recipe':'leaf','volume':'30 L','ec':'1.25 mS/cm','water':'0.25 mS/cm'}");
    /* Into a stronger water: by a syringe with 0.2 mL a line. */
    ASSERT_NUMBER(a, "doses.0.amount", 2 * 30 * 1.0 / 1.6, 0.5);
    ASSERT_NUMBER(a, "off_pct", 0, 100 * 0.1 / 37);
    json_decref(a);
}

static void a_full_dose_stands_beside_what_its_crop_is_fed(void **ctx)
{
    json_t *a = ask(&d, "mix", "{'recipe':'fruit','crop':'tomato'}");

    (void)ctx;
    ASSERT_TEXT(a, "kind", "full");
    ASSERT_TEXT(a, "crop", "tomato");
    assert_true(json_is_string(part(a, "stage")));
    ASSERT_NUMBER(a, "volume_l", 1, 0);
    ASSERT_NUMBER(a, "ec_ms_cm", 2.05, 1e-9);
    ASSERT_COUNT(a, "doses", 3);
    ASSERT_NUMBER(a, "doses.2.amount", 1, 0);
    assert_true(json_is_number(part(a, "feed.0.lo")));
    json_decref(a);
}

static void a_solution_is_strengthened_thinned_poured_and_blended(void **ctx)
{
    json_t *a =
        ask(&d, "mix", "{'recipe':'leaf','volume':'30 L','from':'0.8 mS/cm','ec':'1.2 mS/cm'}");

    (void)ctx;
    ASSERT_TEXT(a, "kind", "add");
    /* in there already is more than half a dose: what is added to that adds less than its part */
    ASSERT_NUMBER(a, "doses.1.amount", 2 * 30 * 0.4 / 1.6 * 1.03, 0.3);
    json_decref(a);
    a = ask(&d, "mix", "{'recipe':'fruit','volume':'30 L','from':'1.8 mS/cm','ec':'1.4 mS/cm'}");
    ASSERT_TEXT(a, "kind", "dilute");
    ASSERT_NUMBER(a, "volume_l", 30 * 1.75 / 1.35, 1e-6);
    ASSERT_NUMBER(a, "water_l", 30 * 1.75 / 1.35 - 30, 1e-6);
    ASSERT_COUNT(a, "doses", 0);
    json_decref(a);
    a = ask(&d, "mix", "{'pour':['10 L@1.2 mS/cm','20L@0.4mS/cm']}");
    ASSERT_TEXT(a, "kind", "pour");
    ASSERT_NULL(a, "recipe");
    ASSERT_NUMBER(a, "volume_l", 30, 0);
    ASSERT_NUMBER(a, "ec_ms_cm", 20.0 / 30, 1e-6);
    ASSERT_NULL(a, "estimate_ms_cm"); /* nobody knows what is in them */
    json_decref(a);
    a = ask(&d, "mix", "{'volume':'30 L','hard':'0.7 mS/cm','ec':'0.3 mS/cm'}");
    ASSERT_TEXT(a, "kind", "blend");
    ASSERT_NUMBER(a, "hard_l", 30 * 0.25 / 0.65, 1e-6);
    ASSERT_NUMBER(a, "water_l", 30 * 0.4 / 0.65, 1e-6);
    json_decref(a);
}

static void a_mix_that_cannot_be_asked_says_what_is_wrong(void **ctx)
{
    (void)ctx;
    refused(&d, "mix", "{'recipe':'calcium-part'}", -32602, "recipe",
            "'calcium-part' is not a recipe");
    refused(&d, "mix", "{'recipe':'leaf','crop':'orchid'}", -32602, "crop",
            "the room has no crop 'orchid'");
    refused(&d, "mix", "{'pour':['10 L']}", -32602, "pour",
            "'10 L' is no litres and strength: 12L@1.4mS/cm");
    refused(&d, "mix", "{'pour':[10]}", -32602, "pour", "give each as text, \"12 L@1.4 mS/cm\"");
    refused(&d, "mix", "{'recipe':'leaf','volume':'30 L'}", -32602, "ec",
            "say which strength is wanted: ec=…");
}

/* ---- outlook */

/* T1 on its float since today, T2 on its first solution; 80 L of plain water. */
static void begin(void)
{
    do_ask(&d, "record", "{'kind':'reservoir-filled','subjects':{'reservoir':{'volume':'80 L'}}}");
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T1':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
    do_ask(
        &d, "record",
        "{'kind':'started','subjects':{'T2':{'what':'tomato','volume':'18 L','ec':'0.8 mS/cm'}}}");
    do_ask(&d, "record",
           "{'kind':'float-seen','subjects':{'T1':{'what':'yes','volume':'8 L'}},'sure':true}");
}

static void assert_span(json_t *of, const char *path)
{
    json_t *span = part(of, path);

    assert_true(json_number_value(part(span, "lo")) < json_number_value(part(span, "mid")));
    assert_true(json_number_value(part(span, "mid")) < json_number_value(part(span, "hi")));
}

static void assert_by_when(json_t *of, const char *path)
{
    json_t *when = part(of, path);

    assert_true(strcmp(json_string_value(part(when, "from")), json_string_value(part(when, "on"))) <
                0);
    assert_true(strcmp(json_string_value(part(when, "on")), json_string_value(part(when, "to"))) <
                0);
}

static void two_weeks_are_looked_ahead_a_day_at_a_time(void **ctx)
{
    json_t *a;
    json_t *list;
    double draw = 0;

    (void)ctx;
    begin();
    a = ask(&d, "outlook", "{}");
    ASSERT_TEXT(a, "from", "2026-03-01");
    ASSERT_COUNT(a, "days", 14);
    ASSERT_TEXT(a, "days.0.date", "2026-03-01");
    ASSERT_TEXT(a, "days.13.date", "2026-03-14");
    ASSERT_NUMBER(a, "days.1.budget_min", 90, 0);
    assert_span(a, "days.0.reservoir_l");
    assert_true(json_number_value(part(a, "days.13.reservoir_l.mid")) <
                json_number_value(part(a, "days.0.reservoir_l.mid")));
    for (size_t i = 0; i < 14; i++) {
        draw += json_number_value(part(json_array_get(part(a, "days"), i), "draw_l"));
    }
    ASSERT_NUMBER(a, "water.draw_l", draw, 1e-4); /* what the days draw together */
    ASSERT_NUMBER(a, "days.0.reservoir_l.mid", 80 - json_number_value(part(a, "days.0.draw_l")),
                  1e-5);
    assert_true(json_number_value(part(a, "water.draw_lo_l")) <= draw);
    assert_true(json_number_value(part(a, "water.draw_hi_l")) > draw);
    list = ask(&d, "today", "{}");
    assert_true(json_equal(part(a, "days.0.tasks"), part(list, "tasks")));
    json_decref(list);
    json_decref(a);
    a = ask(&d, "outlook", "{'days':28}");
    ASSERT_COUNT(a, "days", 28);
    json_decref(a);
    a = ask(&d, "outlook", "{'days':1}");
    ASSERT_COUNT(a, "days", 1);
    json_decref(a);
    refused(&d, "outlook", "{'days':29}", -32602, "days", "an outlook has 1 to 28 days");
    refused(&d, "outlook", "{'days':0}", -32602, "days", "an outlook has 1 to 28 days");
}

static void each_container_says_what_becomes_of_its_solution(void **ctx)
{
    json_t *a;

    (void)ctx;
    begin();
    do_ask(&d, "clock", "{'advance':'2 days'}");
    a = ask(&d, "outlook", "{}");
    ASSERT_COUNT(a, "containers", 2); /* the others are idle */
    ASSERT_TEXT(a, "containers.0.name", "T1");
    assert_span(a, "containers.0.ec_tomorrow");
    assert_by_when(a, "containers.0.spent");
    assert_true(json_is_string(part(a, "containers.0.change_on"))); /* two weeks on its float */
    assert_span(a, "containers.0.ec_then");
    ASSERT_NULL(a, "containers.1.change_on");
    ASSERT_NULL(a, "containers.1.ec_then");
    ASSERT_NUMBER(a, "containers.1.ec_tomorrow.mid", 0.8, 0.05);
    ASSERT_COUNT(a, "mixes", 1);
    assert_true(json_equal(part(a, "mixes.0.on"), part(a, "containers.0.change_on")));
    ASSERT_NUMBER(a, "plan.changeovers", 1, 0);
    ASSERT_NUMBER(a, "plan.mixes", 1, 0);
    ASSERT_NUMBER(a, "plan.jugs", 0, 0);
    ASSERT_NUMBER(a, "plan.late_days", 0, 0);
    ASSERT_NUMBER(a, "plan.gap_pct", 0, 5); /* its day is chosen before that of the rest */
    json_decref(a);
}

static void advice_is_given_of_the_dial_and_of_what_saves_work(void **ctx)
{
    json_t *a;

    (void)ctx;
    begin();
    do_ask(&d, "clock", "{'advance':'2 days'}");
    a = ask(&d, "advise", "{}");
    ASSERT_NUMBER(a, "days", 28, 0);
    ASSERT_COUNT(a, "dial", 3);
    ASSERT_TEXT(a, "dial.0.strength", "close");
    assert_true(json_is_false(part(a, "dial.0.set")));
    assert_true(json_is_true(part(a, "dial.1.set"))); /* usual, where the room file says nothing */
    assert_true(json_equal(part(a, "dial.1.week"), part(a, "week")));
    assert_true(json_array_size(part(a, "advice")) <= 3);
    json_decref(a);
}

static void the_reservoir_says_when_it_is_low_and_then_empty(void **ctx)
{
    json_t *a;

    (void)ctx;
    begin();
    a = ask(&d, "outlook", "{}");
    ASSERT_NUMBER(a, "reservoir.capacity_l", 90, 0);
    ASSERT_NUMBER(a, "reservoir.low_l", 20, 0);
    assert_by_when(a, "reservoir.low");
    assert_by_when(a, "reservoir.empty");
    assert_true(strcmp(json_string_value(part(a, "reservoir.low.on")),
                       json_string_value(part(a, "reservoir.empty.on"))) < 0);
    json_decref(a);
}

static void a_float_that_is_to_come_is_foreseen_and_one_that_was_seen_is_not(void **ctx)
{
    json_t *a;

    (void)ctx;
    begin();
    do_ask(&d, "clock", "{'advance':'25 days'}");
    a = ask(&d, "outlook", "{}");
    ASSERT_COUNT(a, "floats", 1);
    ASSERT_TEXT(a, "floats.0.name", "T2");
    ASSERT_FALSE(a, "floats.0.seen");
    assert_by_when(a, "floats.0");
    json_decref(a);
    a = ask(&d, "outlook", "{'days':1}"); /* T2's is a week ahead */
    ASSERT_COUNT(a, "floats", 0);
    json_decref(a);
}

/* Starts and changes up to the last day looked at; of a start each container has its own litres. */
static void what_the_mixes_take_of_each_product_is_summed(void **ctx)
{
    json_t *one = ask(&d, "outlook", "{'days':1}");
    json_t *many = ask(&d, "outlook", "{'days':10}");

    (void)ctx;
    ASSERT_TEXT(one, "products.0.name", "calcium-part");
    /* Today four tomatoes in 18 L and a basil in 4 L are due: 0.65 of 1.6 with 2 mL/L or more */
    assert_true(json_number_value(part(one, "products.0.need")) >= 4 * 18 * 2 * 0.65 / 1.6 / 1.09);
    assert_true(json_number_value(part(one, "products.0.need")) < 80);
    assert_true(json_number_value(part(many, "products.0.need")) >=
                6 * 18 * 2 * 0.65 / 1.6 / 1.09); /* and two more on the 8th */
    ASSERT_NUMBER(one, "products.0.left", 5000, 0);
    ASSERT_TEXT(one, "products.0.unit", "mL");
    ASSERT_NUMBER(one, "products.2.need", 0, 0); /* potassium-phosphate is for fruit */
    ASSERT_NUMBER(one, "water.mix_l", 0, 0);     /* nothing is changed */
    json_decref(one);
    json_decref(many);
}

static void the_next_work_that_needs_water_says_when_the_source_begins(void **ctx)
{
    json_t *a = ask(&d, "outlook", "{}");

    (void)ctx;
    ASSERT_NUMBER(a, "water.source.has_l", 100, 0); /* stored: 100 L */
    assert_true(json_number_value(part(a, "water.source.need_l")) > 0);
    ASSERT_TEXT(a, "water.source.on", "2026-03-01");
    assert_true(json_is_string(part(a, "water.source.start")));
    assert_true(json_is_string(part(a, "water.source.task")));
    json_decref(a);
}

static void a_room_that_is_supposed_is_set_beside_the_one_that_is(void **ctx)
{
    json_t *is;
    json_t *then;

    (void)ctx;
    begin();
    do_ask(&d, "clock", "{'advance':'13 days'}"); /* T1's change is due */
    is = ask(&d, "outlook", "{}");
    then = ask(&d, "outlook", "{'if':'off +0 days..+3 days'}");
    assert_null(part(is, "if"));
    assert_null(part(is, "differs"));
    ASSERT_TEXT(then, "if", "off +0 days..+3 days");
    ASSERT_NUMBER(then, "days.0.budget_min", 0, 0); /* nobody is there */
    ASSERT_NUMBER(then, "days.4.budget_min", 90, 0);
    ASSERT_NUMBER(then, "differs.late_days",
                  json_number_value(part(then, "plan.late_days")) -
                      json_number_value(part(is, "plan.late_days")),
                  1e-6);
    ASSERT_NUMBER(then, "differs.minutes",
                  json_number_value(part(then, "plan.minutes")) -
                      json_number_value(part(is, "plan.minutes")),
                  1e-6);
    ASSERT_NUMBER(then, "differs.jugs",
                  json_number_value(part(then, "plan.jugs")) -
                      json_number_value(part(is, "plan.jugs")),
                  1e-6);
    ASSERT_NUMBER(then, "differs.mixed_l",
                  json_number_value(part(then, "plan.mixed_l")) -
                      json_number_value(part(is, "plan.mixed_l")),
                  1e-5);
    ASSERT_NUMBER(then, "differs.plain_l",
                  json_number_value(part(then, "plan.plain_l")) -
                      json_number_value(part(is, "plan.plain_l")),
                  1e-5);
    ASSERT_NUMBER(then, "differs.changeovers",
                  json_number_value(part(then, "plan.changeovers")) -
                      json_number_value(part(is, "plan.changeovers")),
                  1e-6);
    assert_null(part(is, "feeding_now"));
    assert_true(json_equal(part(then, "feeding_now"), part(is, "feeding")));
    json_decref(then);
    then = ask(&d, "outlook", "{}"); /* it was supposed, and is not */
    assert_true(json_equal(is, then));
    json_decref(then);
    json_decref(is);
    refused(&d, "outlook", "{'if':'x'}", -32602, "if",
            "'x' cannot be supposed; what can: off DAY..DAY, reservoir VOLUME, tolerance PERCENT, "
            "strength usual|close|easy, work WEEKDAY, more NUMBER like CONTAINER, feed STRENGTH, "
            "float VOLUME "
            "like CONTAINER");
}

enum { SUPPOSING = 8 };

/* Eight rooms are supposed, and behind them the clock is moved, all at the same moment: who moves
 * it does not wait until they are reckoned, so that those who come later are of the new day. */
static void others_are_served_while_a_room_is_supposed(void **ctx)
{
    struct daemon who[SUPPOSING];
    int n_of_the_new_day = 0;

    (void)ctx;
    for (int i = 0; i < SUPPOSING; i++) {
        who[i] = d;
        daemon_connect(&who[i]);
        do_ask(&who[i], "status", "{}");
    }
    assert_int_equal(kill(d.pid, SIGSTOP), 0);
    for (int i = 0; i < SUPPOSING; i++) {
        daemon_send(&who[i], "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"outlook\",\"params\":"
                             "{\"if\":\"reservoir 60 L\"}}\n");
    }
    daemon_send(&d, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"clock\",\"params\":"
                    "{\"advance\":\"24h\"}}\n");
    assert_int_equal(kill(d.pid, SIGCONT), 0);
    json_decref(daemon_hear(&d));
    for (int i = 0; i < SUPPOSING; i++) {
        json_t *reply = daemon_hear(&who[i]);

        ASSERT_TEXT(reply, "result.if", "reservoir 60 L");
        n_of_the_new_day +=
            strcmp(json_string_value(part(reply, "result.from")), "2026-03-02") == 0;
        json_decref(reply);
        assert_int_equal(close(who[i].fd), 0);
    }
    assert_true(n_of_the_new_day > 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_wanted_strength_has_its_doses),
        TEST(a_full_dose_stands_beside_what_its_crop_is_fed),
        TEST(a_solution_is_strengthened_thinned_poured_and_blended),
        TEST(a_mix_that_cannot_be_asked_says_what_is_wrong),
        TEST(two_weeks_are_looked_ahead_a_day_at_a_time),
        TEST(each_container_says_what_becomes_of_its_solution),
        TEST(advice_is_given_of_the_dial_and_of_what_saves_work),
        TEST(the_reservoir_says_when_it_is_low_and_then_empty),
        TEST(a_float_that_is_to_come_is_foreseen_and_one_that_was_seen_is_not),
        TEST(what_the_mixes_take_of_each_product_is_summed),
        TEST(the_next_work_that_needs_water_says_when_the_source_begins),
        TEST(a_room_that_is_supposed_is_set_beside_the_one_that_is),
        TEST(others_are_served_while_a_room_is_supposed),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
