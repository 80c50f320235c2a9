/* Columns that stay straight whatever the letters, and nothing beyond column 80. */
#include "tests/cmocka_all.h"

#include "cli/layout.h"

#include <string.h>

static void assert_text(struct text *t, const char *expected)
{
    assert_string_equal(text_str(t), expected);
    text_deinit(t);
}

static void width_counts_columns_and_not_bytes(void **ctx)
{
    (void)ctx;
    assert_int_equal(layout_width("A3"), 2);
    assert_int_equal(layout_width("21.5 °C"), 7);
    assert_int_equal(layout_width("Gewächs"), 7);
    assert_int_equal(layout_width("Gewa\u0308chs"), 7); /* a and a combining diaeresis */
    assert_int_equal(layout_width("番茄"), 4);          /* two signs of two columns */
    assert_int_equal(layout_width("🍅"), 2);
}

static void broken_utf8_is_counted_and_never_read_past(void **ctx)
{
    (void)ctx;
    assert_int_equal(layout_width("\xC3"), 1);
    assert_int_equal(layout_width("\xF0\x9F"), 2);
    assert_int_equal(layout_width("\xFF\xFE"), 2);
}

static void padding_goes_by_width(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_pad(&t, "°C", 4, false);
    layout_pad(&t, "番", 4, true);
    layout_pad(&t, "long", 2, false);
    assert_text(&t, "°C    番long");
}

static void cutting_shows_that_something_is_missing(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_cut(&t, "strawberry", 6);
    layout_cut(&t, " basil", 6);
    layout_cut(&t, " 番茄番茄", 6);
    assert_text(&t, "straw… basil 番茄…");
}

static void text_wraps_at_80_columns_below_its_indent(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    text_add(&t, "  1. ");
    layout_wrap(&t,
                "Shut the valves of all containers but A1 and let the plain water run off, "
                "then rinse the reservoir.",
                5, 5);
    assert_text(&t,
                "  1. Shut the valves of all containers but A1 and let the plain water run off,\n"
                "     then rinse the reservoir.\n");
}

static void a_word_longer_than_the_line_is_kept_whole(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_wrap_to(&t, "see /a/very/long/path here", 0, 2, 10);
    assert_text(&t, "see\n  /a/very/long/path\n  here\n");
}

static void a_line_end_in_a_text_stays_one(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_wrap(&t, "one\ntwo", 2, 2);
    assert_text(&t, "one\n  two\n");
    layout_wrap(&t, "one\n two\n", 2,
                2); /* the blank before a first word is not one between words */
    assert_text(&t, "one\n  two\n\n");
}

static const struct layout_column columns[] = {
    {"Name",  false, false, false},
    {"Crop",  false, true,  false},
    {"L",     true,  false, false},
    {"Where", false, false, false},
};

static void add_row(struct layout_table *t, const char *a, const char *b, const char *c,
                    const char *d)
{
    layout_table_add(t, a);
    layout_table_add(t, b);
    layout_table_add(t, c);
    layout_table_add(t, d);
}

static void a_table_aligns_words_left_and_numbers_right(void **ctx)
{
    struct layout_table t = {.column = columns, .n_columns = 4};
    struct text out = {0};

    (void)ctx;
    add_row(&t, "A1", "Salat", "8.3", "here");
    add_row(&t, "Küche", "-", "18.9", "");
    layout_table_write(&t, 0, &out);
    layout_table_deinit(&t);
    assert_text(&out, "Name   Crop      L  Where\n"
                      "A1     Salat   8.3  here\n"
                      "Küche  -      18.9\n");
}

static void the_last_column_of_a_wide_table_wraps(void **ctx)
{
    struct layout_table t = {.column = columns, .n_columns = 4};
    struct text out = {0};

    (void)ctx;
    add_row(&t, "A1", "basil", "1",
            "on the upper shelf of the rack that stands beside the window "
            "to the garden");
    layout_table_write(&t, 0, &out);
    layout_table_deinit(&t);
    assert_text(&out,
                "Name  Crop   L  Where\n"
                "A1    basil  1  on the upper shelf of the rack that stands beside the window to\n"
                "                the garden\n");
}

static void a_name_too_long_for_the_table_gets_a_line_of_its_own(void **ctx)
{
    static const struct layout_column two[] = {
        {"Name",  false, false, false},
        {"Value", true,  false, false},
    };
    struct layout_table t = {.column = two, .n_columns = 2};
    struct text out = {0};
    char wide[71]; /* beside the 8 of a name and the gap there is just room for it */

    (void)ctx;
    memset(wide, '7', sizeof wide - 1);
    wide[sizeof wide - 1] = '\0';
    layout_table_add(&t, "the-long-name");
    layout_table_add(&t, wide);
    layout_table_write(&t, 0, &out);
    assert_non_null(strstr(text_str(&out), "\nthe-long-name\n          7777"));
    layout_table_deinit(&t);
    text_deinit(&out);
}

/* A telephone: every row in words, nothing lost, and no dash for what is not there. */
static void a_table_too_wide_for_the_page_is_folded(void **ctx)
{
    static const struct layout_column four[] = {
        {"Container", false, false, false},
        {"Water",     false, false, false},
        {"L",         true,  false, true },
        {"Float",     true,  false, false},
    };
    struct layout_table t = {.column = four, .n_columns = 4};
    struct text out = {.columns = 40};

    (void)ctx;
    add_row(&t, "A1..A12", "in drawdown since it began", "8.3", "Sun 1 Mar");
    add_row(&t, "B1", "-", "", "-");
    layout_table_write(&t, 0, &out);
    layout_table_deinit(&t);
    assert_text(&out, "A1..A12\n"
                      "  Water in drawdown since it began,\n"
                      "  8.3 L, Float Sun 1 Mar\n"
                      "B1\n");
}

static void a_page_is_neither_too_narrow_nor_too_wide_to_be_read(void **ctx)
{
    (void)ctx;
    assert_int_equal(layout_columns_of(0), 80); /* nobody said */
    assert_int_equal(layout_columns_of(1), 40);
    assert_int_equal(layout_columns_of(40), 40);
    assert_int_equal(layout_columns_of(133), 133);
    assert_int_equal(layout_columns_of(200), 200);
    assert_int_equal(layout_columns_of(1000), 200);
}

static void a_fact_wraps_below_its_value(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_fact(&t, "Water",
                "8.3 L now; start line 18.9 L, float line 7.6 L, 0.5 L stays after draining");
    assert_text(&t,
                "Water         8.3 L now; start line 18.9 L, float line 7.6 L, 0.5 L stays after\n"
                "              draining\n");
}

/* A terminal of any width: no line is wider unless a word is, and nothing is lost. */
static void text_wraps_at_the_width_that_is_asked_for(void **ctx)
{
    static const char said[] = "Shut the valves of all containers but A1 and let the plain water "
                               "run off, then rinse the reservoir and its lines.";

    (void)ctx;
    for (size_t wide = 10; wide <= 120; wide++) {
        struct text t = {0};
        struct text again = {0};

        layout_wrap_to(&t, said, 0, 0, wide);
        for (const char *line = text_str(&t); *line;) {
            size_t len = strcspn(line, "\n");
            size_t word = strcspn(line + len + (line[len] == '\n'), " \n");

            assert_true(len <= wide);
            if (line[len + 1]) { /* the next word would not have fitted */
                assert_true(len + 1 + word > wide);
            }
            text_add(&again, "%s", again.len ? " " : "");
            text_add_bytes(&again, line, len);
            line += len + 1;
        }
        assert_string_equal(text_str(&again), said);
        text_deinit(&t);
        text_deinit(&again);
    }
}

static void blanks_between_words_are_kept_inside_a_line(void **ctx)
{
    struct text t = {0};

    (void)ctx;
    layout_wrap_to(&t, "a  b   c", 0, 1, 6);
    assert_text(&t, "a  b\n c\n");
}

/* All but one of the cells fit; the widest that may shrink gives way first, and to 8
 * at the least. */
static void the_widest_column_that_may_shrink_gives_way(void **ctx)
{
    static const struct layout_column three[] = {
        {"Name", false, false, false},
        {"Crop", false, true,  false},
        {"Kind", false, true,  false},
    };
    struct layout_table t = {.column = three, .n_columns = 3};
    struct text out = {0};
    char crop[61] = "";
    char kind[31] = "";

    (void)ctx;
    memset(crop, 'c', 60);
    memset(kind, 'k', 30);
    layout_table_add(&t, "A1");
    layout_table_add(&t, crop);
    layout_table_add(&t, kind);
    layout_table_write(&t, 0, &out);
    layout_table_deinit(&t);
    /* 4 and 30 and two gaps of 2 leave 42 of 80 */
    assert_text(&out, "Name  Crop                                        Kind\n"
                      "A1    ccccccccccccccccccccccccccccccccccccccccc…  "
                      "kkkkkkkkkkkkkkkkkkkkkkkkkkkkkk\n");
}

static void a_long_first_column_shrinks_to_16_before_the_others(void **ctx)
{
    static const struct layout_column two[] = {
        {"Name", false, true, false},
        {"Kind", true,  true, false},
    };
    struct layout_table t = {.column = two, .n_columns = 2};
    struct text out = {0};
    char kind[71] = "";

    (void)ctx;
    memset(kind, 'k', 70);
    layout_table_add(&t, "a-name-of-20-columns");
    layout_table_add(&t, kind);
    layout_table_write(&t, 0, &out);
    layout_table_deinit(&t);
    assert_text(&out, "Name                                                                        "
                      "Kind\n"
                      "a-name-of-20-co…  "
                      "kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk…\n");
}

static void an_indented_table_keeps_to_the_edge(void **ctx)
{
    struct layout_table t = {.column = columns, .n_columns = 4};
    struct text out = {0};

    (void)ctx;
    add_row(&t, "A1", "basil", "1", "on the upper shelf of the rack that stands beside the window");
    layout_table_write(&t, 4, &out);
    layout_table_deinit(&t);
    assert_text(
        &out, "    Name  Crop   L  Where\n"
              "    A1    basil  1  on the upper shelf of the rack that stands beside the window\n");
}

/* Unicode blocks by their first and last signs, and their neighbours outside. */
static void signs_at_the_edges_of_blocks_have_their_width(void **ctx)
{
    (void)ctx;
    assert_int_equal(layout_width("\u02FF"), 1);
    assert_int_equal(layout_width("\u0300"), 0);
    assert_int_equal(layout_width("\u036F"), 0);
    assert_int_equal(layout_width("\u0370"), 1);
    assert_int_equal(layout_width("\u200B\u200F"), 0);
    assert_int_equal(layout_width("\u2010"), 1);
    assert_int_equal(layout_width("\u4DFF"), 1); /* a hexagram, between two blocks of ideographs */
    assert_int_equal(layout_width("\u4E00\u9FFF"), 4);
    assert_int_equal(layout_width("\uFF60"), 2);
    assert_int_equal(layout_width("\uFF61"), 1); /* halfwidth */
    assert_int_equal(layout_width("\uFE0F"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(width_counts_columns_and_not_bytes),
        cmocka_unit_test(broken_utf8_is_counted_and_never_read_past),
        cmocka_unit_test(padding_goes_by_width),
        cmocka_unit_test(cutting_shows_that_something_is_missing),
        cmocka_unit_test(text_wraps_at_80_columns_below_its_indent),
        cmocka_unit_test(a_word_longer_than_the_line_is_kept_whole),
        cmocka_unit_test(a_line_end_in_a_text_stays_one),
        cmocka_unit_test(a_table_aligns_words_left_and_numbers_right),
        cmocka_unit_test(the_last_column_of_a_wide_table_wraps),
        cmocka_unit_test(a_name_too_long_for_the_table_gets_a_line_of_its_own),
        cmocka_unit_test(a_table_too_wide_for_the_page_is_folded),
        cmocka_unit_test(a_page_is_neither_too_narrow_nor_too_wide_to_be_read),
        cmocka_unit_test(a_fact_wraps_below_its_value),
        cmocka_unit_test(text_wraps_at_the_width_that_is_asked_for),
        cmocka_unit_test(blanks_between_words_are_kept_inside_a_line),
        cmocka_unit_test(the_widest_column_that_may_shrink_gives_way),
        cmocka_unit_test(a_long_first_column_shrinks_to_16_before_the_others),
        cmocka_unit_test(an_indented_table_keeps_to_the_edge),
        cmocka_unit_test(signs_at_the_edges_of_blocks_have_their_width),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
