/* A number with its unit: read as a person writes it, shown as a person can measure it. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"
#include "daemon/core/units/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct units metric = {VOLUME_SHOW_L, EC_SHOW_MS_CM, TEMP_SHOW_C, true};
static const struct units us = {VOLUME_SHOW_GAL, EC_SHOW_PPM500, TEMP_SHOW_F, true};

static double read_as(enum quantity q, const char *text)
{
    double v = NAN;
    struct err e = {0};

    if (quantity_parse(q, text, &v, &e) < 0) {
        fail_msg("%s: %s", text, e.msg);
    }
    return v;
}

static void assert_reads(enum quantity q, const char *text, double want)
{
    double got = read_as(q, text);

    if (!(fabs(got - want) <= 1e-12 * fmax(1, fabs(want)))) {
        fail_msg("%s is read as %.17g, not %.17g", text, got, want);
    }
}

static void assert_refuses(enum quantity q, const char *text, const char *message)
{
    double v = 42;
    struct err e = {0};

    assert_int_equal(quantity_parse(q, text, &v, &e), ERR_SYNTAX);
    assert_string_equal(e.msg, message);
    assert_true(v == 42);
}

static void assert_shows(enum quantity q, double v, const struct units *units, const char *want)
{
    char buf[QUANTITY_TEXT_MAX];

    assert_string_equal(quantity_format(buf, q, v, units), want);
}

static void a_quantity_is_read_in_any_of_its_units(void **state)
{
    (void)state;
    assert_reads(QUANTITY_VOLUME, "18 L", 18);
    assert_reads(QUANTITY_VOLUME, "250 mL", 0.25);
    assert_reads(QUANTITY_EC, "1.4 mS/cm", 1.4);
    assert_reads(QUANTITY_EC, "1400 uS/cm", 1.4);
    assert_reads(QUANTITY_EC, "1400 µS/cm", 1.4);
    assert_reads(QUANTITY_EC, "200 ppm500", 0.4);
    assert_reads(QUANTITY_TEMP, "72 °F", 200.0 / 9);
    assert_reads(QUANTITY_TEMP, "-40 F", -40);
    assert_reads(QUANTITY_TEMP, "32 F", 0);
    assert_reads(QUANTITY_SPAN, "2 weeks", 14);
    assert_reads(QUANTITY_SPAN, "36 h", 1.5);
    assert_reads(QUANTITY_SPAN, "1 day", 1);
    assert_reads(QUANTITY_MINUTES, "1.5 h", 90);
    assert_reads(QUANTITY_FLOW, "240 L/h", 4);
    assert_reads(QUANTITY_FLOW, "1440 L/day", 1);
    assert_reads(QUANTITY_ALKALINITY, "2 meq/L", 100.08);
    assert_reads(QUANTITY_DOSE_DRY, "500 mg/L", 0.5);
    assert_reads(QUANTITY_LIQUID, "1.5 L", 1500);
    assert_reads(QUANTITY_DRY, "2 kg", 2000);
    assert_reads(QUANTITY_MILLIVOLT, "177.5 mV", 177.5);
    assert_reads(QUANTITY_PERCENT, "85 %", 85);
}

static void a_dose_per_gallon_is_a_dose_per_litre_by_the_gallon(void **state)
{
    (void)state;
    assert_reads(QUANTITY_DOSE_LIQUID, "3.785411784 mL/gal", 1);
    assert_reads(QUANTITY_DOSE_DRY, "3.785411784 g/gal", 1);
    assert_reads(QUANTITY_DOSE_LIQUID, "6 tsp/gal", read_as(QUANTITY_DOSE_LIQUID, "1 floz/gal"));
    assert_reads(QUANTITY_DOSE_LIQUID, "128 floz/gal", 1000); /* 128 fluid ounces to the gallon */
}

static void the_space_and_the_letter_case_of_a_unit_do_not_matter(void **state)
{
    (void)state;
    assert_reads(QUANTITY_VOLUME, "5gal", 5 * 3.785411784);
    assert_reads(QUANTITY_VOLUME, "5  GAL", 5 * 3.785411784);
    assert_reads(QUANTITY_EC, "1.2ms/cm", 1.2);
    assert_reads(QUANTITY_LIQUID, "20 ml", 20);
    assert_reads(QUANTITY_TEMP, "21c", 21);
}

static void a_ph_and_a_count_have_no_unit(void **state)
{
    (void)state;
    assert_reads(QUANTITY_PH, "6.2", 6.2);
    assert_reads(QUANTITY_NUMBER, "-3", -3);
    assert_refuses(QUANTITY_PH, "6.2 pH", "'6.2 pH' has a unit; a pH has none");
    assert_refuses(QUANTITY_PH, "six", "'six' is not a number");
}

static void a_bare_number_is_told_the_units_that_serve(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_PH, "6,0", "'6,0' has a comma: write it with a point, 6.0");
    assert_refuses(QUANTITY_VOLUME, "8,25L", "'8,25L' has a comma: write it with a point, 8.25L");
    assert_refuses(QUANTITY_VOLUME, "5", "'5' needs a unit: L, mL, gal, impgal, qt, floz or m3");
    assert_refuses(QUANTITY_EC, "1.4 ",
                   "'1.4 ' needs a unit: mS/cm, dS/m, uS/cm, ppm500, ppm640 or ppm700");
    assert_refuses(QUANTITY_PERCENT, "85", "'85' needs a unit: %");
    assert_refuses(QUANTITY_SPAN, "5", "'5' needs a unit: days, weeks, hours or minutes");
    assert_refuses(QUANTITY_MINUTES, "5", "'5' needs a unit: min or h");
    assert_refuses(QUANTITY_FLOW, "5",
                   "'5' needs a unit: L/min, L/h, L/day, gal/min, gal/h or gal/day");
    assert_refuses(QUANTITY_CONTENT, "5", "'5' needs a unit: mg/L, ppm or g/L");
    assert_refuses(QUANTITY_ALKALINITY, "5", "'5' needs a unit: mg/L, ppm, meq/L or mmol/L");
    assert_refuses(QUANTITY_DOSE_LIQUID, "5",
                   "'5' needs a unit: mL/L, mL/gal, floz/gal or tsp/gal");
    assert_refuses(QUANTITY_DOSE_DRY, "5", "'5' needs a unit: g/L, mg/L, g/gal or oz/gal");
    assert_refuses(QUANTITY_LIQUID, "5", "'5' needs a unit: mL, L, floz, qt, gal or impgal");
    assert_refuses(QUANTITY_DRY, "5", "'5' needs a unit: g, kg, mg, oz or lb");
    assert_refuses(QUANTITY_MILLIVOLT, "5", "'5' needs a unit: mV");
    assert_refuses(QUANTITY_LENGTH, "5", "'5' needs a unit: m, cm, mm, in or ft");
}

static void text_without_a_number_is_refused(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_TEMP, "warm", "'warm' is not a number with a unit: use C or F");
    assert_refuses(QUANTITY_TEMP, "", "'' is not a number with a unit: use C or F");
    assert_refuses(QUANTITY_TEMP, " 5 C", "' 5 C' is not a number with a unit: use C or F");
}

static void an_unknown_unit_is_met_with_the_nearest(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_VOLUME, "5 gall",
                   "'5 gall' has an unknown unit 'gall'; did you mean 'gal'?");
    assert_refuses(QUANTITY_DRY, "3 scoops",
                   "'3 scoops' has an unknown unit 'scoops'; use g, kg, mg, oz or lb");
    assert_refuses(QUANTITY_VOLUME, "1.2.3 L",
                   "'1.2.3 L' has an unknown unit '.3 L'; use L, mL, gal, impgal, qt, floz or m3");
}

static void a_strength_in_ppm_must_say_on_which_scale(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_EC, "200 ppm",
                   "'200 ppm' does not say which ppm: use ppm500, ppm640 or ppm700, as the meter "
                   "does, or mS/cm");
    assert_reads(QUANTITY_ALKALINITY, "80 ppm", 80);
}

static void a_unit_of_something_else_is_called_by_its_name(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_EC, "5 L",
                   "'5 L' is a volume, and a strength is wanted: use mS/cm, dS/m, uS/cm, ppm500, "
                   "ppm640 or ppm700");
    assert_refuses(QUANTITY_MINUTES, "3 days",
                   "'3 days' is a span of time, and a working time is wanted: use min or h");
}

static void a_number_past_all_bounds_is_refused_in_any_unit(void **state)
{
    (void)state;
    assert_refuses(QUANTITY_VOLUME, "1e999 L", "'1e999' is too large a number");
    assert_refuses(QUANTITY_VOLUME, "1e308 m3", "'1e308 m3' is too large a number");
}

static void a_number_of_a_hundred_digits_is_refused(void **state)
{
    char text[120];
    double v;

    (void)state;
    memset(text, '1', sizeof text);
    memcpy(text + 110, " L", 3);
    assert_int_equal(quantity_parse(QUANTITY_VOLUME, text, &v, NULL), ERR_SYNTAX);
    memcpy(text + 64, " L", 3);
    assert_int_equal(quantity_parse(QUANTITY_VOLUME, text, &v, NULL), ERR_SYNTAX);
    memcpy(text + 63, " L", 3);
    assert_int_equal(quantity_parse(QUANTITY_VOLUME, text, &v, NULL), 0);
}

/* "L, mL or gal": each word of the list is one that the reader takes. */
static void every_unit_that_a_message_names_is_one_that_serves(void **state)
{
    char buf[QUANTITY_UNITS_MAX];

    (void)state;
    for (enum quantity q = QUANTITY_PERCENT; q < QUANTITY_N; q++) {
        char list[QUANTITY_UNITS_MAX];
        char *rest = list;
        size_t n = 0;

        quantity_units(list, q);
        assert_true(strlen(list) < sizeof list - 1); /* whole */
        for (char *word = strtok_r(list, ", ", &rest); word; word = strtok_r(NULL, ", ", &rest)) {
            char text[40];

            if (strcmp(word, "or") != 0) {
                (void)snprintf(text, sizeof text, "1 %s", word);
                (void)read_as(q, text);
                n++;
            }
        }
        assert_true(n >= 1);
    }
    assert_string_equal(quantity_units(buf, QUANTITY_PH), "no unit");
    assert_string_equal(quantity_units(buf, QUANTITY_NUMBER), "no unit");
}

static void volumes_are_shown_to_a_tenth_of_a_litre_or_to_the_litre(void **state)
{
    (void)state;
    assert_shows(QUANTITY_VOLUME, 8.34, &metric, "8.3 L");
    assert_shows(QUANTITY_VOLUME, 99.94, &metric, "99.9 L");
    assert_shows(QUANTITY_VOLUME, 99.95, &metric, "100 L");
    assert_shows(QUANTITY_VOLUME, 99.96, &metric, "100 L");
    assert_shows(QUANTITY_VOLUME, 0.05, &metric, "0.1 L"); /* half of what shows is shown */
    assert_shows(QUANTITY_VOLUME, 212.4, &metric, "212 L");
    assert_shows(QUANTITY_VOLUME, 3.785411784 * 2.5, &us, "2.50 gal");
}

static void strengths_are_shown_on_the_scale_of_the_room(void **state)
{
    static const struct units ppm640 = {VOLUME_SHOW_L, EC_SHOW_PPM640, TEMP_SHOW_C, false};
    static const struct units ppm700 = {VOLUME_SHOW_L, EC_SHOW_PPM700, TEMP_SHOW_C, false};

    (void)state;
    assert_shows(QUANTITY_EC, 1.424, &metric, "1.42 mS/cm");
    assert_shows(QUANTITY_EC, 1.424, &us, "710 ppm500");
    assert_shows(QUANTITY_EC, 1.0, &ppm640, "640 ppm640");
    assert_shows(QUANTITY_EC, 1.204, &ppm700, "845 ppm700"); /* 842.8, to the nearest 5 */
}

static void temperatures_are_shown_in_the_degrees_of_the_room(void **state)
{
    (void)state;
    assert_shows(QUANTITY_TEMP, 21.46, &metric, "21.5 °C");
    assert_shows(QUANTITY_TEMP, 20, &us, "68.0 °F");
}

static void amounts_have_three_digits_and_their_larger_unit_from_a_thousand(void **state)
{
    (void)state;
    assert_shows(QUANTITY_LIQUID, 45.04, &metric, "45 mL");
    assert_shows(QUANTITY_LIQUID, 4.857, &metric, "4.86 mL");
    assert_shows(QUANTITY_LIQUID, 48.57, &metric, "48.6 mL");
    assert_shows(QUANTITY_LIQUID, 485.7, &metric, "486 mL");
    assert_shows(QUANTITY_LIQUID, 999.4, &metric, "999 mL");
    assert_shows(QUANTITY_LIQUID, 999.5, &metric, "1 L");
    assert_shows(QUANTITY_LIQUID, 999.6, &metric, "1 L");
    assert_shows(QUANTITY_LIQUID, 1250, &metric, "1.25 L");
    assert_shows(QUANTITY_LIQUID, -1250, &metric, "-1.25 L");
    assert_shows(QUANTITY_DRY, 300, &metric, "300 g");
    assert_shows(QUANTITY_DRY, 1000, &metric, "1 kg");
    assert_shows(QUANTITY_DRY, 0.0486, &metric, "0.049 g");
    assert_shows(QUANTITY_DOSE_DRY, 0.486, &metric, "0.486 g/L");
    assert_shows(QUANTITY_DOSE_LIQUID, 2, &metric, "2 mL/L");
}

static void the_other_quantities_carry_their_unit(void **state)
{
    (void)state;
    assert_shows(QUANTITY_PH, 5.84, &metric, "5.8");
    assert_shows(QUANTITY_PERCENT, 12.5, &metric, "12.5 %");
    assert_shows(QUANTITY_SPAN, 1.5, &metric, "1.5 days");
    assert_shows(QUANTITY_MINUTES, 24.6, &metric, "25 min");
    assert_shows(QUANTITY_FLOW, 4, &metric, "4 L/min");
    assert_shows(QUANTITY_ALKALINITY, 100.08, &metric, "100 mg/L");
    assert_shows(QUANTITY_MILLIVOLT, -177.4, &metric, "-177 mV");
    assert_shows(QUANTITY_NUMBER, 7, &metric, "7");
}

static void nothing_is_shown_as_nothing_and_never_as_minus_nothing(void **state)
{
    (void)state;
    assert_shows(QUANTITY_VOLUME, -0.01, &metric, "0.0 L");
    assert_shows(QUANTITY_VOLUME, -0.001, &us, "0.00 gal");
    assert_shows(QUANTITY_EC, -0.001, &metric, "0.00 mS/cm");
    assert_shows(QUANTITY_EC, -0.001, &us, "0 ppm500");
    assert_shows(QUANTITY_TEMP, read_as(QUANTITY_TEMP, "32 F"), &metric, "0.0 °C");
    assert_shows(QUANTITY_LIQUID, -0.0001, &metric, "0 mL");
    assert_shows(QUANTITY_MINUTES, -0.1, &metric, "0 min");
}

static void what_is_not_known_is_shown_as_a_question(void **state)
{
    (void)state;
    for (enum quantity q = 0; q < QUANTITY_N; q++) {
        assert_shows(q, NAN, &metric, "?");
        assert_shows(q, INFINITY, &us, "?");
    }
}

static void no_number_is_too_long_for_its_place(void **state)
{
    char buf[QUANTITY_TEXT_MAX + 1];

    (void)state;
    buf[QUANTITY_TEXT_MAX] = 'x';
    for (enum quantity q = 0; q < QUANTITY_N; q++) {
        assert_true(strlen(quantity_format(buf, q, -1e300, &us)) < QUANTITY_TEXT_MAX);
        assert_int_equal(buf[QUANTITY_TEXT_MAX], 'x');
    }
}

static void the_words_of_a_rooms_units_are_those_of_the_reader(void **state)
{
    (void)state;
    for (size_t i = 0; quantity_volume_words[i]; i++) {
        char text[32];

        (void)snprintf(text, sizeof text, "1 %s", quantity_volume_words[i]);
        (void)read_as(QUANTITY_VOLUME, text);
    }
    assert_string_equal(quantity_volume_words[VOLUME_SHOW_GAL], "gal");
    assert_string_equal(quantity_ec_words[EC_SHOW_PPM700], "ppm700");
    assert_string_equal(quantity_temp_words[TEMP_SHOW_F], "F");
    assert_null(quantity_ec_words[EC_SHOW_PPM700 + 1]);
}

/* Both systems stand on a sheet: litres and gallons, Celsius and Fahrenheit; small change in one
 * alone. */
static void an_amount_is_shown_in_the_other_system_too(void **state)
{
    static const struct {
        enum quantity q;
        double v;
        const char *metric, *us;
    } both[] = {
        {QUANTITY_VOLUME, 38,            "38.0 L (10.04 gal)",  "10.04 gal (38.0 L)" },
        {QUANTITY_TEMP,   20,            "20.0 °C (68.0 °F)", "68.0 °F (20.0 °C)"},
        {QUANTITY_LIQUID, 45,            "45 mL (1.52 fl oz)",  "45 mL (1.52 fl oz)" },
        {QUANTITY_LIQUID, 29.5735295625, "29.6 mL (1 fl oz)",   "29.6 mL (1 fl oz)"  },
        {QUANTITY_LIQUID, 29.5,          "29.5 mL",             "29.5 mL"            },
        {QUANTITY_DRY,    100,           "100 g (3.53 oz)",     "100 g (3.53 oz)"    },
        {QUANTITY_DRY,    28.349523125,  "28.3 g (1 oz)",       "28.3 g (1 oz)"      },
        {QUANTITY_DRY,    28.3,          "28.3 g",              "28.3 g"             },
        {QUANTITY_PH,     5.8,           "5.8",                 "5.8"                },
        {QUANTITY_EC,     1.4,           "1.40 mS/cm",          "700 ppm500"         },
        {QUANTITY_VOLUME, NAN,           "?",                   "?"                  },
    };
    char buf[QUANTITY_BOTH_MAX];

    (void)state;
    for (size_t i = 0; i < sizeof both / sizeof *both; i++) {
        assert_string_equal(quantity_format_both(buf, both[i].q, both[i].v, &metric),
                            both[i].metric);
        assert_string_equal(quantity_format_both(buf, both[i].q, both[i].v, &us), both[i].us);
    }
}

static void the_digits_of_an_amount_change_where_the_next_would_show(void **state)
{
    (void)state;
    assert_shows(QUANTITY_LIQUID, 0.9994, &metric, "0.999 mL");
    assert_shows(QUANTITY_LIQUID, 0.9996, &metric, "1 mL");
    assert_shows(QUANTITY_LIQUID, 9.994, &metric, "9.99 mL");
    assert_shows(QUANTITY_LIQUID, 9.995, &metric, "10 mL");
    assert_shows(QUANTITY_LIQUID, 9.996, &metric, "10 mL");
    assert_shows(QUANTITY_LIQUID, 99.94, &metric, "99.9 mL");
    assert_shows(QUANTITY_LIQUID, 99.96, &metric, "100 mL");
    assert_shows(QUANTITY_DOSE_LIQUID, 2, &us, "7.57 mL/gal"); /* 2 * 3.785 */
    assert_shows(QUANTITY_DOSE_DRY, 1, &us, "3.79 g/gal");
    assert_shows(QUANTITY_LENGTH, 0.0254, &metric, "2.54 cm");
    assert_shows(QUANTITY_LENGTH, 0.999, &metric, "99.9 cm");
    assert_shows(QUANTITY_LENGTH, 0.9995, &metric, "1 m");
    assert_shows(QUANTITY_LENGTH, 0.9996, &metric, "1 m");
    assert_shows(QUANTITY_CONTENT, 150, &metric, "150 mg/L");
}

/* One system, unless the room file asks for both. */
static void the_other_system_is_told_where_it_is_asked_for(void **state)
{
    static const struct units one = {VOLUME_SHOW_L, EC_SHOW_MS_CM, TEMP_SHOW_C, false};
    char buf[QUANTITY_BOTH_MAX];

    (void)state;
    assert_string_equal(quantity_format_both(buf, QUANTITY_VOLUME, 38, &one), "38.0 L");
    assert_string_equal(quantity_format_both(buf, QUANTITY_VOLUME, 38, &metric),
                        "38.0 L (10.04 gal)");
}

static void what_is_known_to_two_digits_is_told_in_two(void **state)
{
    static const double row[][2] = {
        {123.4,  120  },
        {12.6,   13   },
        {9.96,   10   },
        {0.0637, 0.064},
        {0,      0    }
    };

    (void)state;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        assert_float_equal(quantity_two_digits(row[i][0]), row[i][1], 1e-9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_known_to_two_digits_is_told_in_two),
        cmocka_unit_test(the_other_system_is_told_where_it_is_asked_for),
        cmocka_unit_test(an_amount_is_shown_in_the_other_system_too),
        cmocka_unit_test(the_digits_of_an_amount_change_where_the_next_would_show),
        cmocka_unit_test(a_quantity_is_read_in_any_of_its_units),
        cmocka_unit_test(a_dose_per_gallon_is_a_dose_per_litre_by_the_gallon),
        cmocka_unit_test(the_space_and_the_letter_case_of_a_unit_do_not_matter),
        cmocka_unit_test(a_ph_and_a_count_have_no_unit),
        cmocka_unit_test(a_bare_number_is_told_the_units_that_serve),
        cmocka_unit_test(text_without_a_number_is_refused),
        cmocka_unit_test(an_unknown_unit_is_met_with_the_nearest),
        cmocka_unit_test(a_strength_in_ppm_must_say_on_which_scale),
        cmocka_unit_test(a_unit_of_something_else_is_called_by_its_name),
        cmocka_unit_test(a_number_past_all_bounds_is_refused_in_any_unit),
        cmocka_unit_test(a_number_of_a_hundred_digits_is_refused),
        cmocka_unit_test(every_unit_that_a_message_names_is_one_that_serves),
        cmocka_unit_test(volumes_are_shown_to_a_tenth_of_a_litre_or_to_the_litre),
        cmocka_unit_test(strengths_are_shown_on_the_scale_of_the_room),
        cmocka_unit_test(temperatures_are_shown_in_the_degrees_of_the_room),
        cmocka_unit_test(amounts_have_three_digits_and_their_larger_unit_from_a_thousand),
        cmocka_unit_test(the_other_quantities_carry_their_unit),
        cmocka_unit_test(nothing_is_shown_as_nothing_and_never_as_minus_nothing),
        cmocka_unit_test(what_is_not_known_is_shown_as_a_question),
        cmocka_unit_test(no_number_is_too_long_for_its_place),
        cmocka_unit_test(the_words_of_a_rooms_units_are_those_of_the_reader),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
