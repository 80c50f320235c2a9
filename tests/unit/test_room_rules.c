/* The rules of the room file, on both sides of each edge; and what the reader works out of what it
 * was told. Each case is the small room with one piece of its text changed. */
#include "tests/unit/room_text.h"

#include "daemon/core/units/day.h"

#include <math.h>
#include <unistd.h>

#define EDGES(...)                                                                                 \
    do {                                                                                           \
        static const struct edge edge[] = {__VA_ARGS__};                                           \
                                                                                                   \
        assert_edges(edge, sizeof edge / sizeof *edge);                                            \
    } while (0)

static void the_low_mark_lies_between_remainder_and_capacity(void **state)
{
    (void)state;
    EDGES({"low: 10 L", "low: 39.9 L", ""},
          {"low: 10 L", "low: 40 L",
           "x:12:8: low: the low mark (40.0 L) is not below the capacity (40.0 L)\n"},
          {"low: 10 L", "low: 2.1 L", ""},
          {"low: 10 L", "low: 2 L",
           "x:12:8: low: the low mark (2.0 L) is not above what cannot be used (2.0 L)\n"});
}

/* What would take longer than there is time for is a slip. */
static void water_comes_at_a_rate_that_can_be(void **state)
{
    (void)state;
    EDGES({"rate: 2 L/min", "rate: 0.6 L/h", ""},
          {"rate: 2 L/min", "rate: 1e-300 L/h",
           "x:8:9: rate: '1e-300 L/h' cannot be; it lies between 0.01 L/min and 1000 L/min\n"});
}

static void a_step_of_a_measure_is_no_more_than_the_measure(void **state)
{
    (void)state;
    EDGES({"containers:", "measures: {syringe: 5 mL, syringe_step: 5 mL}\ncontainers:", ""},
          {"containers:", "measures: {syringe: 5 mL, syringe_step: 6 mL}\ncontainers:",
           "x:39:41: syringe_step: a step (6 mL) is more than the whole (5 mL)\n"},
          {"containers:", "measures: {cylinder_step: 300 mL}\ncontainers:",
           "x:39:27: cylinder_step: a step (300 mL) is more than the whole (250 mL)\n"});
}

static void the_lines_hold_less_than_the_reservoir_gives(void **state)
{
    (void)state;
    EDGES({"low: 10 L", "low: 10 L\n  line_loss: 36 L", ""},
          {"low: 10 L", "low: 10 L\n  line_loss: 38 L",
           "x:13:14: line_loss: a full reservoir (38.0 L to use) would stay in the lines\n"});
}

static void a_container_has_its_lines_one_above_the_other(void **state)
{
    (void)state;
    EDGES({"float_volume: 2 L", "float_volume: 3.9 L", ""},
          {"float_volume: 2 L", "float_volume: 4 L",
           "x:43:19: float_volume: the float line (4.0 L) is not below the start line (4.0 L); "
           "there would be no drawdown\n"},
          {"remainder: 0.2 L", "remainder: 1.9 L", ""},
          {"remainder: 0.2 L", "remainder: 2 L",
           "x:44:16: remainder: what stays after draining (2.0 L) is not below the float line "
           "(2.0 L)\n"});
}

static void a_change_takes_no_more_than_the_reservoir_gives_at_once(void **state)
{
    (void)state;
    /* 10 L of it can be used; the lines keep 8 L, and a change takes 2 L less 0.2 L */
    EDGES({"capacity: 40 L\n  remainder: 2 L\n  low: 10 L",
           "capacity: 12 L\n  remainder: 2 L\n  low: 10 L\n  line_loss: 8 L", ""},
          {"capacity: 40 L\n  remainder: 2 L\n  low: 10 L",
           "capacity: 12 L\n  remainder: 2 L\n  low: 10 L\n  line_loss: 8.2 L", ""},
          {"capacity: 40 L\n  remainder: 2 L\n  low: 10 L",
           "capacity: 12 L\n  remainder: 2 L\n  low: 10 L\n  line_loss: 8.3 L",
           "x:44:19: float_volume: a change takes 1.8 L, and the reservoir can give 1.7 L at "
           "once\n"});
}

static void a_pattern_counts_what_it_stands_for_and_not_how_far_it_counts(void **state)
{
    struct room r = good_with("  A1:", "  A19999..20002:");

    (void)state;
    assert_int_equal(r.n_containers, 4);
    assert_string_equal(r.container[3].name, "A20002");
    room_deinit(&r);
    r = good_with("  A1:", "  A1..A20000:"); /* as many as a room has */
    assert_int_equal(r.n_containers, 20000);
    room_deinit(&r);
    EDGES({"  A1:", "  A0..A20000:",
           "x:40:3: 'A0..A20000' stands for no containers, or for more than 20000\n"},
          {"  A1:", "  A2345678901234567890123456789.9..9:", ""},
          {"  A1:", "  A2345678901234567890123456789.9..10:",
           "x:40:3: 'A2345678901234567890123456789.9..10' is no pattern of names; "
           "'A2345678901234567890123456789.10' is none\n"});
}

static void mistakes_beyond_twenty_are_counted(void **state)
{
    struct text more = {0};
    struct text said = {0};

    (void)state;
    text_add(&more, "A1:");
    for (int i = 1; i <= 25; i++) {
        text_add(&more,
                 " {crop: cres, start_volume: 4 L, float_volume: 2 L, remainder: 0.2 L}\n"
                 "  B%d:",
                 i);
        if (i <= 20) {
            text_add(&said, "x:%d:%d: crop: there is no 'cres' in 'crops'; did you mean 'cress'?\n",
                     39 + i,
                     i == 1    ? 14
                     : i <= 10 ? 14
                               : 15);
        }
    }
    text_add(&said, "and 5 more\n");
    assert_edges(&(struct edge){"A1:", more.s, said.s}, 1);
    text_deinit(&more);
    text_deinit(&said);
}

static void a_stage_has_its_least_before_its_most(void **state)
{
    (void)state;
    EDGES({"ph_max: 6.5", "ph_max: 5.6", ""},
          {"ph_max: 6.5", "ph_max: 5.5",
           "x:33:17: ph_max: in the stage 'only', 5.5 is not above ph_min (5.5)\n"},
          {"life_max: 14 days", "life_max: 7 days", ""}, /* it may last just so long */
          {"life_max: 14 days", "life_max: 6 days",
           "x:36:19: life_max: in the stage 'only', 6 days are less than life_min (7)\n"});
}

#define LATER(from)                                                                                \
    "recipe: leaf\n      - {name: later, from: " from ", ec: 1 mS/cm, ph_min: 5.5, ph_max: 6.5,\n" \
    "         uptake: 1 mS/cm, life_min: 7 days, life_max: 14 days, spent: 50 %, recipe: leaf}"

static void stages_follow_each_other_from_the_day_of_the_start(void **state)
{
    (void)state;
    EDGES({"recipe: leaf", LATER("1 day"), ""},
          {"recipe: leaf", LATER("0 days"),
           "x:39:29: from: the stage 'later' has to begin after 'only' (0 days)\n"},
          {"from: 0 days", "from: 1 day",
           "x:30:15: from: the first stage, 'only', begins at 0 days\n"});
}

static void a_crop_has_one_to_eight_stages(void **state)
{
    struct text eight = {0};

    (void)state;
    text_add(&eight, "recipe: leaf");
    for (int i = 2; i <= 8; i++) {
        text_add(&eight,
                 "\n      - {name: s%d, from: %d days, ec: 1 mS/cm, ph_min: 5.5, ph_max: 6.5,"
                 " uptake: 1 mS/cm, life_min: 7 days, life_max: 14 days, spent: 50 %%,"
                 " recipe: leaf}",
                 i, i);
    }
    assert_edges(&(struct edge){"recipe: leaf", eight.s, ""}, 1);
    text_add(&eight, "\n      - {name: s9, from: 9 days}");
    assert_edges(&(struct edge){"recipe: leaf", eight.s,
                                "x:29:7: 'crops.cress.stages' is a list of 1 to 8 stages\n"},
                 1);
    text_deinit(&eight);
    EDGES({"stages:\n      - name: only\n        from: 0 days\n        ec: 1.0 mS/cm\n"
           "        ph_min: 5.5\n        ph_max: 6.5\n        uptake: 0.9 mS/cm\n"
           "        life_min: 7 days\n        life_max: 14 days\n        spent: 50 %\n"
           "        recipe: leaf\n",
           "stages: []\n", "x:28:13: 'crops.cress.stages' is a list of 1 to 8 stages\n"});
}

static void what_was_fed_is_a_figure_or_the_least_and_the_most(void **state)
{
    static const struct edge wrong[] = {
        {"harvest: 30 days", "harvest: 30 days\n    feed: {N: [200 mg/L, 150 mg/L]}",
         "x:28:15: N: 200 mg/L is more than 150; the least comes first\n"                },
        {"harvest: 30 days", "harvest: 30 days\n    feed: {Na: 5 mg/L}",
         "x:28:12: feed: 'Na' is not compared; it is one of N, P, K, Ca, Mg, S, Fe, Mn, Zn, Cu, B "
         "and Mo\n"                                                                      },
        {"harvest: 30 days", "harvest: 30 days\n    feed: {N: 5000 mg/L}",             ""},
        {"harvest: 30 days", "harvest: 30 days\n    feed: {N: [150 mg/L, 5001 mg/L]}",
         "x:28:26: N: '5001 mg/L' cannot be; it is above 0 mg/L and at most 5000 mg/L\n" },
        {"harvest: 30 days", "harvest: 30 days\n    feed: [5 mg/L]",
         "x:28:11: 'feed' is a list; a map is wanted\n"                                  },
    };
    struct room r = good_with("harvest: 30 days",
                              "harvest: 30 days\n    feed: {N: 150 mg/L, K: [210 mg/L, 250 mg/L], "
                              "Mo: [0.05 mg/L, 0.05 mg/L]}");
    const struct span *feed = r.crop[room_find_crop(&r, "cress")].feed;

    (void)state;
    assert_true(feed[FEED_N].lo == 150 && feed[FEED_N].hi == 150);
    assert_true(feed[FEED_K].lo == 210 && feed[FEED_K].hi == 250);
    assert_true(feed[FEED_MO].lo == 0.05 && feed[FEED_MO].hi == 0.05);
    assert_true(feed[FEED_P].lo == 0 && feed[FEED_P].hi == 0);
    room_deinit(&r);
    r = good_with("recipe: leaf", "recipe: leaf\n        feed: {N: 90 mg/L}");
    assert_true(r.crop[room_find_crop(&r, "cress")].stage[0].feed[FEED_N].hi == 90);
    assert_true(r.crop[room_find_crop(&r, "cress")].feed[FEED_N].hi == 0); /* of that stage alone */
    room_deinit(&r);
    assert_edges(wrong, sizeof wrong / sizeof *wrong);
}

static void a_meter_has_a_name_that_nothing_else_has(void **state)
{
    (void)state;
    EDGES({"containers:", "meters:\n  pen: {kind: ph, calibrate: 14 days}\ncontainers:", ""},
          {"containers:", "meters:\n  salt: {kind: ph, calibrate: 14 days}\ncontainers:",
           "x:40:3: 'salt' is the name of another thing already, in line 14\n"},
          {"containers:", "meters:\n  room: {kind: ph, calibrate: 14 days}\ncontainers:",
           "x:40:3: 'room' stands for itself; call a meter something else\n"},
          {"containers:", "meters: [pen]\ncontainers:",
           "x:39:9: 'meters' is a list; a map of things by name is wanted\n"});
}

static void a_meter_says_how_warmth_is_reckoned(void **state)
{
    struct room r = good_with(
        "containers:", "meters:\n  pen: {kind: ec, calibrate: 2 weeks, compensation: linear, "
                       "coefficient: 1.9 %, reference: 20 C}\n  plain: {kind: ph, "
                       "calibrate: 7 days}\ncontainers:");

    (void)state;
    assert_int_equal(r.n_meters, 2);
    assert_string_equal(r.meter[0].name, "pen");
    assert_int_equal(r.meter[0].kind, METER_EC);
    assert_int_equal(r.meter[0].warmth.rule, WARMTH_LINEAR);
    assert_true(fabs(r.meter[0].warmth.per_degree - 0.019) < 1e-12);
    assert_true(r.meter[0].warmth.reference_c == 20);
    assert_true(r.meter[0].calibrate_every_day == 14);
    assert_int_equal(r.meter[1].warmth.rule, WARMTH_AT_25); /* what most meters do */
    room_deinit(&r);
}

static void source_water_from_a_membrane_is_reckoned(void **state)
{
    struct room r =
        good_with("ec: 0.3 mS/cm\n", "feed_ec: 0.4 mS/cm\n  rejection: 95 %\n  recovery: 25 %\n");

    (void)state;
    assert_true(fabs(r.source.ec_ms_cm - 0.02) < 1e-12);      /* 5 % of the salts pass */
    assert_true(fabs(r.source.recovery_frac - 0.25) < 1e-12); /* a litre of four */
    assert_true(fabs(r.source.rate_l_h - 120) < 1e-9);        /* the feed is as warm as rated */
    room_deinit(&r);
    /* 10 degrees colder: 1.03^-10 (ASTM D4516, from memory) */
    r = good_with("rate: 2 L/min", "rate: 2 L/min\n  feed_temp: 15 C");
    assert_true(fabs(r.source.rate_l_h - 120 * 0.744094) < 1e-3);
    room_deinit(&r);
    r = good_with("rate: 2 L/min", "rate: 2 L/min\n  feed_temp: 15 C\n  rated_at: 15 C");
    assert_true(fabs(r.source.rate_l_h - 120) < 1e-9);
    room_deinit(&r);
    /* what is told goes before what is reckoned */
    r = good_with("rate: 2 L/min", "rate: 2 L/min\n  feed_ec: 0.4 mS/cm\n  rejection: 95 %");
    assert_true(r.source.ec_ms_cm == 0.3);
    room_deinit(&r);
}

static void source_water_needs_a_strength_or_what_it_comes_of(void **state)
{
    static const char needs[] = "x:5:1: 'source_water' needs the key 'ec': its strength; or "
                                "'feed_ec' and 'rejection', and it is reckoned\n";

    (void)state;
    EDGES({"  ec: 0.3 mS/cm\n", "", needs}, {"  ec: 0.3 mS/cm\n", "  rejection: 95 %\n", needs},
          {"ec: 0.3 mS/cm\n", "feed_ec: 0.4 mS/cm\n", ""}, /* all of it passes */
          {"ec: 0.3 mS/cm\n", "ec: 0.3\n",
           "x:6:7: ec: '0.3' needs a unit: mS/cm, dS/m, uS/cm, ppm500, ppm640 or ppm700\n"});
}

static void the_flow_is_told_or_reckoned_or_that_of_a_hose(void **state)
{
    struct room r = good_with("low: 10 L", "low: 10 L\n  outlet: 13 mm\n  head: 1 m");

    (void)state;
    /* Torricelli: 0.61 x 132.7 mm2 x sqrt(2 x 9.81 m/s2 x 1 m) = 21.5 L/min */
    assert_true(fabs(r.reservoir.flow_l_min - 21.5) < 0.1);
    room_deinit(&r);
    r = good_with("low: 10 L", "low: 10 L\n  outlet: 13 mm\n  head: 1 m\n  flow: 7 L/min");
    assert_true(r.reservoir.flow_l_min == 7);
    room_deinit(&r);
    EDGES({"low: 10 L", "low: 10 L\n  outlet: 13 mm",
           "x:13:11: outlet: the flow is reckoned from 'outlet' and 'head' together\n"},
          {"low: 10 L", "low: 10 L\n  head: 1 m",
           "x:13:9: head: the flow is reckoned from 'outlet' and 'head' together\n"});
}

static void days_off_are_single_days_or_the_first_and_last(void **state)
{
    struct room r =
        good_with("containers:", "labour:\n  off: [2026-05-01, 2026-12-24..2026-12-26, "
                                 "2027-01-01..2027-01-01]\n  sunday: 0 min\ncontainers:");

    (void)state;
    assert_int_equal(r.labour.n_off, 3);
    assert_int_equal(r.labour.off[0].from, day_of(2026, 5, 1));
    assert_int_equal(r.labour.off[0].to, day_of(2026, 5, 1));
    assert_int_equal(r.labour.off[1].from, day_of(2026, 12, 24));
    assert_int_equal(r.labour.off[1].to, day_of(2026, 12, 26));
    assert_int_equal(r.labour.off[2].to, r.labour.off[2].from);
    room_deinit(&r);
    EDGES({"containers:", "labour:\n  off: 2026-05-01\ncontainers:",
           "x:40:8: 'off' is a list of days, such as [2026-05-01..2026-05-03]\n"});
}

static void somebody_works_on_one_day_of_the_week_at_least(void **state)
{
    (void)state;
    EDGES({"containers:",
           "labour: {monday: 0 min, tuesday: 0 min, wednesday: 0 min, thursday: 0 min, "
           "friday: 0 min, saturday: 0 min, sunday: 1 min}\ncontainers:",
           ""},
          {"containers:",
           "labour: {monday: 0 min, tuesday: 0 min, wednesday: 0 min, thursday: 0 min, "
           "friday: 0 min, saturday: 0 min, sunday: 0 min}\ncontainers:",
           "x:39:9: labour: no day of the week has any minutes for work\n"});
}

static void a_notice_command_has_one_to_thirty_two_words(void **state)
{
    char *most = repeat("notify: [/bin/true", ", w", 31, "]\ncontainers:");
    char *more = repeat("notify: [/bin/true", ", w", 32, "]\ncontainers:");
    /* clang-format off */
    struct edge edge[] = {
        {"containers:", most, ""},
        {"containers:", more,
         "x:39:9: 'notify' is a list of 1 to 32 words, the command first\n"},
        {"containers:", "notify: []\ncontainers:",
         "x:39:9: 'notify' is a list of 1 to 32 words, the command first\n"},
        {"containers:", "notify: [/bin/true, [w]]\ncontainers:",
         "x:39:21: notify: each word is a single value\n"},
        {"containers:", "notify: [true, /w]\ncontainers:",
         "x:39:10: notify: the command is a whole path, from / on\n"},
    };
    /* clang-format on */

    (void)state;
    assert_edges(edge, sizeof edge / sizeof *edge);
    free(most);
    free(more);
}

static void a_recipe_has_one_to_twelve_doses(void **state)
{
    struct text products = {0};
    struct text recipe = {0};

    (void)state;
    text_add(&products, "salt: {kind: dry, stock: 1 kg}");
    text_add(&recipe, "- {product: salt, dose: 0.8 g/L}");
    for (int i = 2; i <= 13; i++) {
        text_add(&recipe, "\n      - {product: salt, dose: 0.8 g/L}");
    }
    assert_edges(&(struct edge){"- {product: salt, dose: 0.8 g/L}", recipe.s,
                                "x:19:7: 'recipes.leaf.doses' is a list of 1 to 12 doses\n"},
                 1);
    text_deinit(&products);
    text_deinit(&recipe);
    EDGES({"\n      - {product: salt, dose: 0.8 g/L}", " []",
           "x:18:12: 'recipes.leaf.doses' is a list of 1 to 12 doses\n"},
          {"dose: 0.8 g/L", "dose: 1000 g/L", ""},
          {"dose: 0.8 g/L", "dose: 1001 g/L",
           "x:19:31: dose: '1001 g/L' cannot be; it is above 0 g/L and at most 1000 g/L\n"});
}

static void a_strength_that_nobody_measured_is_estimated(void **state)
{
    /* 1 g/L of potassium nitrate conducts about 1.2 to 1.4 mS/cm (CRC Handbook, from memory) */
    struct room r =
        good_with("products:\n  salt: {kind: dry, stock: 1 kg}\nrecipes:\n  leaf:\n"
                  "    ec: 1.0 mS/cm\n    doses:\n      - {product: salt, dose: 0.8 g/L}",
                  "products:\n  salt: {kind: dry, formula: KNO3}\nrecipes:\n  leaf:\n"
                  "    doses:\n      - {product: salt, dose: 1 g/L}");

    (void)state;
    assert_true(r.recipe[0].ec_estimated);
    assert_true(r.recipe[0].ec_gain_ms_cm > 1.2 && r.recipe[0].ec_gain_ms_cm < 1.4);
    room_deinit(&r);
    r = good_with("drinks: 0.2 L", "drinks: 0.3 L");
    assert_false(r.recipe[0].ec_estimated);
    assert_true(r.recipe[0].ec_gain_ms_cm == 1.0);
    room_deinit(&r);
}

static void stock_is_counted_in_the_unit_of_the_kind(void **state)
{
    struct room r = good_with("stock: 1 kg", "stock: 1 kg, reorder_at: 50 g");

    (void)state;
    assert_true(r.product[0].stock == 1000);
    assert_true(r.product[0].reorder_at == 50);
    room_deinit(&r);
    EDGES({"stock: 1 kg", "stock: 10000 kg", ""}, /* ten tonnes */
          {"stock: 1 kg", "stock: 10001 kg",
           "x:14:28: stock: '10001 kg' cannot be; it lies between 0 g and 10000 kg\n"},
          {"stock: 1 kg", "reorder_at: 10001 kg",
           "x:14:33: reorder_at: '10001 kg' cannot be; it lies between 0 g and 10000 kg\n"});
}

static void a_time_of_day_is_one_of_the_clock(void **state)
{
    struct room r = good_with("name: shelf", "name: shelf\n  day_start: \"23:59\"");

    (void)state;
    assert_int_equal(r.day_start_s, 23 * 3600 + 59 * 60);
    room_deinit(&r);
    r = good_with("name: shelf", "name: shelf\n  day_start: \"00:00\"");
    assert_int_equal(r.day_start_s, 0);
    room_deinit(&r);
    EDGES({"name: shelf", "name: shelf\n  day_start: \"24:00\"",
           "x:4:14: day_start: '24:00' is no time of day; write it as \"07:00\"\n"},
          {"name: shelf", "name: shelf\n  day_start: \"12:60\"",
           "x:4:14: day_start: '12:60' is no time of day; write it as \"07:00\"\n"},
          {"name: shelf", "name: shelf\n  day_start: \"7:00\"",
           "x:4:14: day_start: '7:00' is no time of day; write it as \"07:00\"\n"},
          {"name: shelf", "name: shelf\n  day_start: \"07:0:\"",
           "x:4:14: day_start: '07:0:' is no time of day; write it as \"07:00\"\n"});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_low_mark_lies_between_remainder_and_capacity),
        cmocka_unit_test(water_comes_at_a_rate_that_can_be),
        cmocka_unit_test(a_step_of_a_measure_is_no_more_than_the_measure),
        cmocka_unit_test(the_lines_hold_less_than_the_reservoir_gives),
        cmocka_unit_test(a_container_has_its_lines_one_above_the_other),
        cmocka_unit_test(a_change_takes_no_more_than_the_reservoir_gives_at_once),
        cmocka_unit_test(a_pattern_counts_what_it_stands_for_and_not_how_far_it_counts),
        cmocka_unit_test(mistakes_beyond_twenty_are_counted),
        cmocka_unit_test(a_stage_has_its_least_before_its_most),
        cmocka_unit_test(stages_follow_each_other_from_the_day_of_the_start),
        cmocka_unit_test(a_crop_has_one_to_eight_stages),
        cmocka_unit_test(what_was_fed_is_a_figure_or_the_least_and_the_most),
        cmocka_unit_test(a_meter_has_a_name_that_nothing_else_has),
        cmocka_unit_test(a_meter_says_how_warmth_is_reckoned),
        cmocka_unit_test(source_water_from_a_membrane_is_reckoned),
        cmocka_unit_test(source_water_needs_a_strength_or_what_it_comes_of),
        cmocka_unit_test(the_flow_is_told_or_reckoned_or_that_of_a_hose),
        cmocka_unit_test(days_off_are_single_days_or_the_first_and_last),
        cmocka_unit_test(somebody_works_on_one_day_of_the_week_at_least),
        cmocka_unit_test(a_notice_command_has_one_to_thirty_two_words),
        cmocka_unit_test(a_recipe_has_one_to_twelve_doses),
        cmocka_unit_test(a_strength_that_nobody_measured_is_estimated),
        cmocka_unit_test(stock_is_counted_in_the_unit_of_the_kind),
        cmocka_unit_test(a_time_of_day_is_one_of_the_clock),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
