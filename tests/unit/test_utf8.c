/* Bytes as characters; the borders are those of RFC 3629. */
#include "tests/cmocka_all.h"

#include "daemon/base/utf8.h"

#include <string.h>

static unsigned code_of(const char *s)
{
    unsigned code = 0;

    assert_int_equal(utf8_at(s, strlen(s), &code), strlen(s));
    return code;
}

static void a_character_has_one_to_four_bytes(void **state)
{
    (void)state;
    assert_int_equal(code_of("\x7F"), 0x7F);
    assert_int_equal(code_of("\xC2\x80"), 0x80);
    assert_int_equal(code_of("\xDF\xBF"), 0x7FF);
    assert_int_equal(code_of("\xE0\xA0\x80"), 0x800);
    assert_int_equal(code_of("\xEF\xBF\xBF"), 0xFFFF);
    assert_int_equal(code_of("\xF0\x90\x80\x80"), 0x10000);
    assert_int_equal(code_of("\xF4\x8F\xBF\xBF"), 0x10FFFF);
}

static void what_is_no_character_has_no_length(void **state)
{
    static const char *const none[] = {
        "\x80",             /* begins nothing */
        "\xC3",             /* cut */
        "\xC3(",            /* goes on as something else */
        "\xC0\xAF",         /* overlong */
        "\xE0\x80\xAF",     /* overlong */
        "\xF0\x80\x80\xAF", /* overlong */
        "\xED\xA0\x80",     /* a surrogate */
        "\xF4\x90\x80\x80", /* beyond U+10FFFF */
        "\xFF",
    };
    unsigned code = 77;

    (void)state;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        assert_int_equal(utf8_at(none[i], strlen(none[i]), &code), 0);
    }
    assert_int_equal(code, 77);
}

static void mending_keeps_whole_characters_and_drops_the_rest(void **state)
{
    char s[] = "a\xC3\xA9\xC3-\x80-\xE2\x82\xAC\xE2\x82";

    (void)state;
    utf8_mend(s);
    assert_string_equal(s, "a\xC3\xA9--\xE2\x82\xAC");
    s[0] = '\0';
    utf8_mend(s);
    assert_string_equal(s, "");
}

static void what_an_editor_would_not_show_is_hidden(void **state)
{
    (void)state;
    assert_true(utf8_is_hidden(0) && utf8_is_hidden(0x1B) && utf8_is_hidden(0x7F));
    assert_true(utf8_is_hidden(0x9F) && utf8_is_hidden(0x2028) && utf8_is_hidden(0xFEFF));
    assert_false(utf8_is_hidden('\n') || utf8_is_hidden('\r') || utf8_is_hidden('\t'));
    assert_false(utf8_is_hidden(' ') || utf8_is_hidden(0xA0) || utf8_is_hidden(0xB0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_character_has_one_to_four_bytes),
        cmocka_unit_test(what_is_no_character_has_no_length),
        cmocka_unit_test(mending_keeps_whole_characters_and_drops_the_rest),
        cmocka_unit_test(what_an_editor_would_not_show_is_hidden),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
