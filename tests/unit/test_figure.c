/* The figures that can be told, and the places outside of the table that a figure must have: its
 * column in the journal and its property in the schema of the answers. */
#include "tests/cmocka_all.h"

#include "daemon/core/words/figure.h"
#include "tests/unit/source_text.h"

#include <string.h>

static void every_figure_has_its_row(void **state)
{
    (void)state;
    for (int f = 0; f < FIGURE_N; f++) {
        if (!figure_defs[f].word) {
            fail_msg("figure %d of enum figure has no row in daemon/core/words/figure.c", f);
        }
    }
}

static void every_figure_has_its_column_in_the_journal(void **state)
{
    struct text schema = {0};

    (void)state;
    assert_true(source_text("daemon/store/schema.c", &schema) == 1);
    for (int f = 0; f < FIGURE_N; f++) {
        char column[64];

        (void)snprintf(column, sizeof column, " %s REAL", figure_defs[f].key);
        if (!strstr(text_str(&schema), column)) {
            fail_msg("figure '%s' has no column: add a step to daemon/store/schema.c that says "
                     "\"ALTER TABLE "
                     "entry ADD COLUMN %s REAL\"",
                     figure_defs[f].word, figure_defs[f].key);
        }
    }
    text_deinit(&schema);
}

static void every_figure_has_its_property_in_the_schema_of_the_answers(void **state)
{
    struct text schema = {0};
    const char *at;
    const char *end;

    (void)state;
    assert_true(source_text("config/answers.schema.json", &schema) == 1);
    at = strstr(text_str(&schema), "\"figures that were told\"");
    assert_non_null(at);
    end = strstr(at, "\"additionalProperties\"");
    assert_non_null(end);
    for (int f = 0; f < FIGURE_N; f++) {
        char property[64];
        const char *found;

        (void)snprintf(property, sizeof property, "\"%s\": {", figure_defs[f].key);
        found = strstr(at, property);
        if (!found || found > end) {
            fail_msg("figure '%s' has no property \"%s\" among the figures of an entry in "
                     "config/answers.schema.json",
                     figure_defs[f].word, figure_defs[f].key);
        }
    }
    text_deinit(&schema);
}

/* What is outside cannot be, what is unusual is asked about: the second span lies within the
 * first. */
static void what_is_usual_lies_within_what_can_be(void **state)
{
    (void)state;
    for (int f = 0; f < FIGURE_N; f++) {
        const struct figure_def *d = &figure_defs[f];

        assert_true(d->lo <= d->usual_lo && d->usual_lo < d->usual_hi && d->usual_hi <= d->hi);
    }
}

/* A pH is a number from 0 to 14 by the usual scale; a slope of a pH electrode of 85 to 105 % and
 * an offset within 30 mV are those of one that still serves (figure.c names the worked example). */
static void bounds_are_those_that_were_stated(void **state)
{
    (void)state;
    assert_true(figure_defs[FIGURE_PH].lo == 0 && figure_defs[FIGURE_PH].hi == 14);
    assert_true(figure_defs[FIGURE_SLOPE_PCT].usual_lo == 85);
    assert_true(figure_defs[FIGURE_SLOPE_PCT].usual_hi == 105);
    assert_true(figure_defs[FIGURE_OFFSET_MV].usual_lo == -30);
    assert_true(figure_defs[FIGURE_OFFSET_MV].usual_hi == 30);
}

/* A key carries its unit; a word does not, and a person never has to type an underscore. */
static void words_are_short_and_keys_carry_the_unit(void **state)
{
    (void)state;
    for (int f = 0; f < FIGURE_N; f++) {
        assert_null(strchr(figure_defs[f].word, '_'));
        assert_true(strncmp(figure_defs[f].key, figure_defs[f].word, strlen(figure_defs[f].word)) ==
                    0);
        assert_int_equal(figure_find(figure_defs[f].word), f);
        assert_int_equal(figure_find(figure_defs[f].key), f);
    }
    assert_int_equal(figure_find("ec_us_cm"), -1);
    assert_int_equal(figure_find(""), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_figure_has_its_row),
        cmocka_unit_test(every_figure_has_its_column_in_the_journal),
        cmocka_unit_test(every_figure_has_its_property_in_the_schema_of_the_answers),
        cmocka_unit_test(what_is_usual_lies_within_what_can_be),
        cmocka_unit_test(bounds_are_those_that_were_stated),
        cmocka_unit_test(words_are_short_and_keys_carry_the_unit),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
