/* What can be told: kinds, figures, and the words for them. */

#include "daemon/base/err.h"
#include "daemon/base/text.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

static int set_up(void **ctx)
{
    struct room *r = mem_array(1, sizeof *r);

    *r = a_room();
    *ctx = r;
    return 0;
}

static int tear_down(void **ctx)
{
    room_deinit(*ctx);
    free(*ctx);
    return 0;
}

static void assert_refused(const struct room *r, struct entry e, int code, const char *message)
{
    struct err err = {0};

    assert_int_equal(entry_check_form(r, &e, false, &err), code);
    assert_string_equal(err.msg, message);
}

static void every_kind_and_figure_is_found_by_its_word(void **ctx)
{
    (void)ctx;
    for (int k = 0; k < ENTRY_KIND_N; k++) {
        assert_int_equal(entry_kind_find(entry_kinds[k].word), k);
    }
    for (int f = 0; f < FIGURE_N; f++) {
        assert_int_equal(figure_find(figure_defs[f].word), f);
        assert_int_equal(figure_find(figure_defs[f].key), f);
    }
    assert_int_equal(entry_kind_find("refiled"), -1);
    assert_int_equal(figure_find("ec_us_cm"), -1);
}

static void a_subject_of_the_wrong_kind_is_named_as_what_it_is(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_CALIBRATED, "A1", "", at(0, 9)), FIGURE_SLOPE_PCT, 97),
                   ERR_UNKNOWN, "A1 is a container; 'calibrated' is about a meter");
}

static void an_unknown_subject_gives_the_nearest(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_CALIBRATED, "ph-pan", "", at(0, 9)), FIGURE_SLOPE_PCT, 97);

    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_UNKNOWN);
    assert_non_null(strstr(err.msg, "'ph-pen'"));
}

static void a_figure_the_kind_does_not_take_is_refused(void **ctx)
{
    assert_refused(*ctx, with(told_at(ENTRY_DRAINED, "A1", "", at(0, 9)), FIGURE_PH, 6),
                   ERR_UNKNOWN, "'drained' takes no ph");
}

static void a_figure_the_kind_needs_is_asked_for(void **ctx)
{
    assert_refused(*ctx, told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), ERR_MISSING,
                   "'started' of A1 needs ec=…");
    assert_refused(*ctx, told_at(ENTRY_READING, "A1", "", at(0, 9)), ERR_MISSING,
                   "'reading' of A1 needs at least one of volume, ec, ph, temp");
}

static void an_unknown_word_gives_the_nearest_or_all(void **ctx)
{
    assert_refused(*ctx, told_at(ENTRY_OBSERVATION, "A1", "tip-bum", at(0, 9)), ERR_UNKNOWN,
                   "an observation 'tip-bum' is not known; did you mean 'tip-burn'?");
    assert_refused(*ctx, told_at(ENTRY_FLOAT_SEEN, "A1", "perhaps", at(0, 9)), ERR_UNKNOWN,
                   "float 'perhaps' is not known; it is one of yes, no");
    assert_refused(*ctx, with(told_at(ENTRY_STARTED, "A1", "vino", at(0, 9)), FIGURE_EC_MS_CM, 1),
                   ERR_UNKNOWN, "the room has no crop 'vino'; did you mean 'vine'?");
}

static void no_number_that_is_none_gets_in(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(0, 9)), FIGURE_PH, NAN);

    assert_int_equal(entry_check_form(*ctx, &e, true, &err), ERR_RANGE);
    e = with(e, FIGURE_PH, INFINITY);
    assert_int_equal(entry_check_form(*ctx, &e, true, &err), ERR_RANGE);
}

static void an_amount_is_of_a_product_and_not_below_nothing(void **ctx)
{
    struct err err = {0};
    struct entry e = with(told_at(ENTRY_BUMPED, "A1", "grow", at(0, 9)), FIGURE_EC_MS_CM, 1.4);

    e.n_amounts = 1;
    e.amount[0] = (struct amount){.product = "A2", .amount = 5};
    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_UNKNOWN);
    assert_string_equal(err.msg, "'A2' is not a product");
    e.amount[0] = (struct amount){.product = "grow-a", .amount = -5};
    assert_int_equal(entry_check_form(*ctx, &e, false, &err), ERR_RANGE);
}

static void an_entry_reads_as_a_line_for_a_person(void **ctx)
{
    struct entry e = with(told_at(ENTRY_BUMPED, "A1", "grow", at(0, 9)), FIGURE_EC_MS_CM, 1.4);
    struct text line = {0};

    e.n_amounts = 1;
    e.amount[0] = (struct amount){.product = "grow-a", .amount = 8};
    entry_describe(*ctx, &e, &line);
    assert_string_equal(text_str(&line), "A1 bumped grow: EC 1.40 mS/cm, 8 mL grow-a");
    text_deinit(&line);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(every_kind_and_figure_is_found_by_its_word),
        TEST(a_subject_of_the_wrong_kind_is_named_as_what_it_is),
        TEST(an_unknown_subject_gives_the_nearest),
        TEST(a_figure_the_kind_does_not_take_is_refused),
        TEST(a_figure_the_kind_needs_is_asked_for),
        TEST(an_unknown_word_gives_the_nearest_or_all),
        TEST(no_number_that_is_none_gets_in),
        TEST(an_amount_is_of_a_product_and_not_below_nothing),
        TEST(an_entry_reads_as_a_line_for_a_person),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
