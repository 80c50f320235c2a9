/* Fields of an answer as words: days, instants, amounts, counts; and a field that is not there. */
#include "cli/view.h"
#include "daemon/core/units/day.h"
#include "tests/unit/a_screen.h"

#include <math.h>
#include <stdio.h>

static void assert_day(char *(*as)(char[VIEW_DAY_MAX], const struct view *, const json_t *,
                                   const char *),
                       const char *day, const char *expected)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = json_pack("{s:s?}", "day", day);
    char buf[VIEW_DAY_MAX];

    assert_string_equal(as(buf, &v, o, "day"), expected);
    json_decref(o);
}

static void a_day_has_its_year_when_it_is_not_this_one(void **ctx)
{
    (void)ctx;
    assert_day(view_day, "2025-12-31T23:59:00+01:00", "Wed 31 Dec 2025");
    assert_day(view_day, "2026-03-09", "Mon 9 Mar");
    assert_day(view_day, "2027-01-01", "Fri 1 Jan 2027");
}

static void what_is_no_day_is_a_dash(void **ctx)
{
    static const char *const none[] = {NULL, "", "soon", "2026-3-9", "2026-02-30"};

    (void)ctx;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        assert_day(view_day, none[i], "-");
        assert_day(view_day_far, none[i], "-");
    }
}

static void a_day_is_so_far_from_today(void **ctx)
{
    (void)ctx;
    assert_day(view_day_far, "2026-03-01", "Sun 1 Mar (today)");
    assert_day(view_day_far, "2026-03-02", "Mon 2 Mar (tomorrow)");
    assert_day(view_day_far, "2026-03-03", "Tue 3 Mar (in 2 days)");
    assert_day(view_day_far, "2026-02-28", "Sat 28 Feb (1 day ago)");
    assert_day(view_day_far, "2026-02-27", "Fri 27 Feb (2 days ago)");
}

static void without_today_no_day_is_far(void **ctx)
{
    json_t *o = json_pack("{s:s}", "day", "2026-03-02");
    struct view v;
    char buf[VIEW_DAY_MAX];

    (void)ctx;
    view_init(&v, NULL);
    assert_int_equal(v.today, DAY_NONE);
    assert_string_equal(v.room, "");
    assert_string_equal(view_day_far(buf, &v, o, "day"), "Mon 2 Mar");
    json_decref(o);
}

static void the_day_at_the_head_of_a_page_has_its_year(void **ctx)
{
    char buf[VIEW_DAY_MAX];

    (void)ctx;
    assert_string_equal(view_day_year(buf, "2026-12-24"), "Thu 24 Dec 2026");
    assert_string_equal(view_day_year(buf, "2026-03-01T07:00:00+01:00"), "Sun 1 Mar 2026");
    assert_string_equal(view_day_year(buf, "some day"), "some day");
}

static void an_instant_is_told_to_the_minute(void **ctx)
{
    json_t *o = an_answer("{'at':'2026-03-01T07:05:59+01:00','odd':'2026-03-01T07:','none':null}");
    struct view v = a_view("L", "mS/cm");
    char buf[VIEW_DAY_MAX];

    (void)ctx;
    assert_string_equal(view_instant(buf, &v, o, "at"), "Sun 1 Mar 07:05");
    assert_string_equal(view_instant(buf, &v, o, "odd"), "2026-03-01T07:");
    assert_string_equal(view_instant(buf, &v, o, "none"), "-");
    json_decref(o);
}

static void assert_ends(char *(*as)(char[VIEW_DAY_MAX], const struct view *, const json_t *,
                                    const char *),
                        const char *day, const char *end)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = json_pack("{s:s}", "day", day);
    char buf[VIEW_DAY_MAX];

    assert_string_equal(as(buf, &v, o, "day") + 3, end); /* behind the weekday */
    json_decref(o);
}

static void months_have_their_names(void **ctx)
{
    static const char *const month[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

    (void)ctx;
    for (int m = 0; m < 12; m++) {
        char day[24];
        char said[24];

        (void)snprintf(day, sizeof day, "2026-%02d-05", m + 1);
        (void)snprintf(said, sizeof said, " 5 %s", month[m]);
        assert_ends(view_day, day, said);
    }
}

static void minutes_become_hours_from_two_on(void **ctx)
{
    static const struct {
        double minutes;
        const char *said;
    } told[] = {
        {0,     "0 min"     },
        {0.5,   "1 min"     },
        {119.4, "119 min"   },
        {119.5, "2 h"       },
        {120,   "2 h"       },
        {130,   "2 h 10 min"},
        {600,   "10 h"      },
        {-1,    "? min"     },
        {1e6,   "? min"     },
        {NAN,   "? min"     },
    };
    char buf[QUANTITY_TEXT_MAX];

    (void)ctx;
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        assert_string_equal(view_minutes(buf, told[i].minutes), told[i].said);
    }
}

static void a_sentence_begins_large_and_ends_with_a_stop(void **ctx)
{
    static const char *const pairs[][2] = {
        {"the tank is low", "The tank is low."},
        {"zeal",            "Zeal."           },
        {"A1 leaks!",       "A1 leaks!"       },
        {"why?",            "Why?"            },
        {"done.",           "Done."           },
        {"éclat",          "éclat."         },
        {"pH was 6.1",      "pH was 6.1."     }, /* and never a PH */
        {"`x",              "`x."             },
        {"{x",              "{x."             },
        {"",                ""                },
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        struct text t = {0};

        view_sentence(pairs[i][0], &t);
        assert_string_equal(text_str(&t), pairs[i][1]);
        text_deinit(&t);
    }
}

/* Colour is for what is wrong, where the page has it; it ends with the line. ECMA-48, 8.3.117. */
static void an_alarm_is_marked_and_coloured_where_the_page_has_colour(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    struct text t = {.columns = 40};

    (void)ctx;
    view_alarm(&v, "A1 was seen wilting; nobody told lately.", &t);
    assert_string_equal(text_str(&t), "! A1 was seen wilting; nobody told\n  lately.\n");
    text_clear(&t);
    v.colour = true;
    view_alarm(&v, "A1 wilts.", &t);
    assert_string_equal(text_str(&t), "\x1b[1;31m! A1 wilts.\x1b[0m\n");
    text_deinit(&t);
}

static void a_field_that_is_missing_or_odd_counts_as_none(void **ctx)
{
    json_t *o = an_answer("{'s':'x','n':2.6,'null':null,'neg':-3,'big':1e300}");

    (void)ctx;
    assert_string_equal(view_text(o, "s"), "x");
    assert_string_equal(view_text(o, "n"), "");
    assert_string_equal(view_text(NULL, "s"), "");
    assert_true(view_number(o, "n") == 2.6);
    assert_true(isnan(view_number(o, "s")) && isnan(view_number(NULL, "n")));
    assert_true(view_has(o, "s"));
    assert_false(view_has(o, "null") || view_has(o, "none") || view_has(NULL, "s"));
    assert_int_equal(view_whole(o, "n"), 3);
    assert_int_equal(view_whole(o, "neg") + view_whole(o, "s") + view_whole(o, "big"), 0);
    json_decref(o);
}

static void amounts_are_liquid_or_dry_as_the_product_is(void **ctx)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = an_answer("{'left':45,'unit':'mL'}");
    json_t *dry = an_answer("{'left':45,'unit':'g'}");
    char buf[QUANTITY_TEXT_MAX];

    (void)ctx;
    assert_string_equal(view_amount(buf, &v, o, "left"), "45 mL");
    assert_string_equal(view_amount(buf, &v, dry, "left"), "45 g");
    assert_string_equal(view_amount(buf, &v, o, "none"), "?");
    json_decref(o);
    json_decref(dry);
}

static void units_are_those_of_the_room(void **ctx)
{
    struct view metric = a_view("L", "mS/cm");
    struct view other = a_view("gal", "ppm700");
    struct view odd = a_view("bucket", "?");
    json_t *o = an_answer("{'v':18.927,'ec':1.4}");
    char buf[QUANTITY_TEXT_MAX];

    (void)ctx;
    assert_string_equal(view_volume_unit(&metric), "L");
    assert_string_equal(view_ec_unit(&metric), "mS/cm");
    assert_string_equal(view_volume_unit(&other), "gal");
    assert_string_equal(view_ec_unit(&other), "ppm700");
    assert_string_equal(view_quantity(buf, &other, QUANTITY_VOLUME, o, "v"), "5.00 gal");
    assert_string_equal(view_bare(buf, &other, QUANTITY_EC, o, "ec"), "980");
    assert_string_equal(view_bare(buf, &metric, QUANTITY_EC, o, "none"), "?");
    assert_string_equal(view_volume_unit(&odd), "L"); /* one that a newer daemon may have */
    json_decref(o);
}

/* 80 columns: what does not fit beside the heading goes below it, at the right-hand edge. */
static void a_heading_too_wide_takes_two_lines(void **ctx)
{
    char left[79] = "";
    char right[] = "12345678901234567890";
    struct text t = {0};

    (void)ctx;
    memset(left, 'x', 58);
    view_heading(&t, left, right);
    assert_int_equal(t.len, 81); /* 58, two blanks, 20 */
    text_clear(&t);
    left[58] = 'x';
    view_heading(&t, left, right);
    assert_int_equal(strcspn(text_str(&t), "\n"), 59);
    assert_int_equal(t.len, 60 + 81);
    assert_string_equal(text_str(&t) + 60 + 60, "12345678901234567890\n");
    text_clear(&t);
    view_heading(&t, "alone", "");
    assert_string_equal(text_str(&t), "alone\n");
    text_deinit(&t);
}

static void things_are_counted_in_the_singular_and_the_plural(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    view_count(&t, 0, "day", "days");
    view_count(&t, 1, "day", "days");
    view_count(&t, 2, "day", "days");
    assert_string_equal(text_str(&t), "0 days1 day2 days");
    text_deinit(&t);
}

static void names_that_are_no_text_do_not_vanish(void **ctx)
{
    json_t *names = an_answer("['A1','A2','A3',4,'B1']");
    struct text t = {0};

    (void)ctx;
    view_names(names, &t);
    assert_string_equal(text_str(&t), "A1..A3, ?, B1");
    text_deinit(&t);
    json_decref(names);
}

/* One character as UTF-8. */
static void encode(unsigned code, char out[4])
{
    memset(out, 0, 4);
    if (code < 0x80) {
        out[0] = (char)code;
    } else if (code < 0x800) {
        out[0] = (char)(0xC0 | (code >> 6));
        out[1] = (char)(0x80 | (code & 0x3F));
    } else {
        out[0] = (char)(0xE0 | (code >> 12));
        out[1] = (char)(0x80 | ((code >> 6) & 0x3F));
        out[2] = (char)(0x80 | (code & 0x3F));
    }
}

/* U+0000 to U+001F, U+007F, and U+0080 to U+009F, which some terminals obey too; and the marks that
 * turn the direction of a text (Unicode annex 9, from memory). */
static void what_a_terminal_obeys_is_blanked_and_nothing_else(void **ctx)
{
    static const unsigned marks[] = {0x061C, 0x200E, 0x200F, 0x202A, 0x202B, 0x202C,
                                     0x202D, 0x202E, 0x2066, 0x2067, 0x2068, 0x2069};

    (void)ctx;
    for (unsigned code = 1; code < 0x2100; code++) {
        bool blank = code < 0x20 || (code >= 0x7F && code < 0xA0);
        char utf8[4];
        json_t *o;

        for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
            blank = blank || code == marks[i];
        }
        encode(code, utf8);
        o = json_pack("[s]", utf8);
        view_clean(o);
        assert_string_equal(json_string_value(json_array_get(o, 0)), blank ? " " : utf8);
        json_decref(o);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_has_its_year_when_it_is_not_this_one),
        cmocka_unit_test(what_is_no_day_is_a_dash),
        cmocka_unit_test(a_day_is_so_far_from_today),
        cmocka_unit_test(without_today_no_day_is_far),
        cmocka_unit_test(the_day_at_the_head_of_a_page_has_its_year),
        cmocka_unit_test(an_instant_is_told_to_the_minute),
        cmocka_unit_test(months_have_their_names),
        cmocka_unit_test(minutes_become_hours_from_two_on),
        cmocka_unit_test(a_sentence_begins_large_and_ends_with_a_stop),
        cmocka_unit_test(an_alarm_is_marked_and_coloured_where_the_page_has_colour),
        cmocka_unit_test(a_field_that_is_missing_or_odd_counts_as_none),
        cmocka_unit_test(amounts_are_liquid_or_dry_as_the_product_is),
        cmocka_unit_test(units_are_those_of_the_room),
        cmocka_unit_test(a_heading_too_wide_takes_two_lines),
        cmocka_unit_test(things_are_counted_in_the_singular_and_the_plural),
        cmocka_unit_test(names_that_are_no_text_do_not_vanish),
        cmocka_unit_test(what_a_terminal_obeys_is_blanked_and_nothing_else),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
