/* Errors as values: what a person is told, and what code branches on. */
#include "tests/cmocka_all.h"

#include "daemon/base/err.h"

#include <errno.h>
#include <string.h>

static void an_error_carries_its_code_and_its_message(void **state)
{
    struct err e;

    (void)state;
    assert_int_equal(err_set(&e, ERR_RANGE, "%d L is more than %s holds", 30, "A1"), ERR_RANGE);
    assert_int_equal(e.code, ERR_RANGE);
    assert_string_equal(e.msg, "30 L is more than A1 holds");
    assert_string_equal(e.field, "");
    assert_string_equal(e.file, "");
    assert_int_equal(e.line, 0);
}

static void an_error_about_a_figure_names_it(void **state)
{
    struct err e;

    (void)state;
    assert_int_equal(err_field(&e, ERR_MISSING, "ec", "say the EC"), ERR_MISSING);
    assert_string_equal(e.field, "ec");
    assert_string_equal(e.msg, "say the EC");
}

static void a_later_error_leaves_nothing_of_the_one_before(void **state)
{
    struct err e = {.line = 4, .column = 2, .file = "room.yaml"};

    (void)state;
    err_field(&e, ERR_MISSING, "ec", "say the EC");
    err_set(&e, -ENOENT, "no such file");
    assert_int_equal(e.code, -ENOENT);
    assert_string_equal(e.field, "");
    assert_string_equal(e.file, "");
    assert_int_equal(e.line + e.column, 0);
}

static void the_code_is_returned_where_nobody_wants_the_message(void **state)
{
    (void)state;
    assert_int_equal(err_set(NULL, ERR_BUSY, "busy"), ERR_BUSY);
    assert_int_equal(err_field(NULL, ERR_UNKNOWN, "crop", "no"), ERR_UNKNOWN);
}

static void context_is_put_in_front_and_keeps_code_and_figure(void **state)
{
    struct err e;

    (void)state;
    err_field(&e, ERR_RANGE, "ph", "a pH of 15 cannot be");
    assert_int_equal(err_prefix(&e, "line %d: ", 3), ERR_RANGE);
    assert_string_equal(e.msg, "line 3: a pH of 15 cannot be");
    assert_string_equal(e.field, "ph");
}

static void a_long_message_is_cut_to_fit(void **state)
{
    char word[600];
    struct err e;

    (void)state;
    memset(word, 'x', sizeof word - 1);
    word[sizeof word - 1] = '\0';
    err_set(&e, ERR_SYNTAX, "%s", word);
    assert_int_equal(strlen(e.msg), sizeof e.msg - 1);
    err_prefix(&e, "in front: ");
    assert_int_equal(strlen(e.msg), sizeof e.msg - 1);
    assert_memory_equal(e.msg, "in front: xxx", 13);
}

/* A precision counts bytes: it may cut a character of a quoted word in two. */
static void a_quoted_word_that_was_cut_keeps_whole_characters_only(void **state)
{
    struct err e;

    (void)state;
    err_set(&e, ERR_SYNTAX, "'%.3s' is not a number", "déé");
    assert_string_equal(e.msg, "'dé' is not a number");
    err_set(&e, ERR_SYNTAX, "'%.4s' is not a number", "déé");
    assert_string_equal(e.msg, "'dé' is not a number");
    err_set(&e, ERR_SYNTAX, "'%.5s' is not a number", "déé");
    assert_string_equal(e.msg, "'déé' is not a number");
}

static void context_does_not_leave_half_a_character_at_the_end(void **state)
{
    char word[400];
    struct err e;

    (void)state;
    memset(word, 'x', sizeof word);
    memcpy(word + 397, "é", 3); /* its two bytes are the last that fit */
    err_set(&e, ERR_SYNTAX, "%s", word);
    assert_int_equal(strlen(e.msg), 399);
    err_prefix(&e, "y");
    assert_int_equal(strlen(e.msg), 398);
    assert_int_equal(e.msg[397], 'x');
}

static void a_control_character_never_reaches_a_terminal(void **state)
{
    struct err e;

    (void)state;
    err_field(&e, ERR_UNKNOWN, "a\nb", "no '%s'", "\x1b[2Jtub\n1\x7f");
    assert_string_equal(e.msg, "no '?[2Jtub?1?'");
    assert_string_equal(e.field, "a?b");
    err_set(&e, ERR_UNKNOWN, "no '%s'",
            "\xC2\x9B"
            "2J21 °C"); /* CSI in one sign */
    assert_string_equal(e.msg, "no '?2J21 °C'");
    err_set(&e, ERR_UNKNOWN, "no '%s'", "\u202Elm5\u202C"); /* reads "5ml" */
    assert_string_equal(e.msg, "no '?lm5?'");
}

static void our_codes_never_meet_those_of_the_system(void **state)
{
    static const int ours[] = {ERR_SYNTAX, ERR_RANGE,   ERR_UNKNOWN, ERR_CONFIG, ERR_REFUSED,
                               ERR_UNSURE, ERR_MISSING, ERR_STORE,   ERR_BUSY};

    (void)state;
    for (size_t i = 0; i < sizeof ours / sizeof *ours; i++) {
        assert_in_range(-ours[i], 10001, 10999);
        for (size_t j = 0; j < i; j++) {
            assert_int_not_equal(ours[i], ours[j]);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_error_carries_its_code_and_its_message),
        cmocka_unit_test(an_error_about_a_figure_names_it),
        cmocka_unit_test(a_later_error_leaves_nothing_of_the_one_before),
        cmocka_unit_test(the_code_is_returned_where_nobody_wants_the_message),
        cmocka_unit_test(context_is_put_in_front_and_keeps_code_and_figure),
        cmocka_unit_test(a_long_message_is_cut_to_fit),
        cmocka_unit_test(a_quoted_word_that_was_cut_keeps_whole_characters_only),
        cmocka_unit_test(context_does_not_leave_half_a_character_at_the_end),
        cmocka_unit_test(a_control_character_never_reaches_a_terminal),
        cmocka_unit_test(our_codes_never_meet_those_of_the_system),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
