/* How a fault looks to a person. */
#include "tests/unit/room_text.h"

#include "config/read/fault.h"

static void assert_shown(unsigned line, unsigned column, const char *text, const char *expected)
{
    struct err e = {.code = ERR_CONFIG, .line = line, .column = column, .file = "r", .msg = "no"};
    struct text out = {0};

    room_fault_format(&e, text, strlen(text), &out);
    assert_string_equal(out.s, expected);
    text_deinit(&out);
}

static void a_fault_shows_its_line_and_a_caret_below_the_place(void **state)
{
    (void)state;
    assert_shown(2, 3, "a: 1\nb: 2\nc: 3\n", "r:2:3: no\n    b: 2\n      ^\n");
    assert_shown(1, 9, "\xC3\xA9t\xC3\xA9: \xE2\x82\xAC 5\n",
                 "r:1:9: no\n    \xC3\xA9t\xC3\xA9: \xE2\x82\xAC 5\n            ^\n");
    assert_shown(1, 2, "\tx\r\n", "r:1:2: no\n     x\n     ^\n");
    assert_shown(3, 1, "a\nb", "r:3:1: no\n");
}

static void a_long_line_is_cut_to_fit_eighty_columns(void **state)
{
    char *line = repeat("", "0123456789", 20, "");

    (void)state;
    assert_shown(1, 101, line,
                 "r:1:101: no\n"
                 "    123456789012345678901234567890123456789012345678901234567890123456789012\n"
                 "                                           ^\n");
    free(line);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fault_shows_its_line_and_a_caret_below_the_place),
        cmocka_unit_test(a_long_line_is_cut_to_fit_eighty_columns),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
