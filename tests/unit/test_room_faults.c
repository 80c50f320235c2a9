/* What a person is told about a bad room file.
 *
 * tests/data/rooms-bad holds a file for each mistake, NAME.yaml, and beside it all that is said
 * about it, NAME.expect. */
#include "tests/unit/room_text.h"

#include <dirent.h>

static int is_yaml(const struct dirent *d)
{
    size_t len = strlen(d->d_name);

    return len > 5 && strcmp(d->d_name + len - 5, ".yaml") == 0;
}

static bool case_holds(const char *name)
{
    char path[600];
    size_t len;
    size_t expected_len;
    char *text;
    char *said;
    char *expected;
    bool same;

    (void)snprintf(path, sizeof path, BAD "%s", name);
    text = slurp(path, &len);
    (void)snprintf(path, sizeof path, BAD "%.*s.expect", (int)strlen(name) - 5, name);
    expected = slurp(path, &expected_len);
    said = said_about(name, text, len);
    same = strcmp(said, expected) == 0;
    if (!same) {
        print_error("%s\nexpected:\n%sgot:\n%s\n", name, expected, said);
    }
    free(text);
    free(said);
    free(expected);
    return same;
}

static void each_mistake_is_told_at_its_place(void **state)
{
    struct dirent **name = NULL;
    int n = scandir(BAD, &name, is_yaml, alphasort);
    int bad = 0;

    (void)state;
    assert_true(n >= 24);
    for (int i = 0; i < n; i++) {
        bad += !case_holds(name[i]->d_name);
        free(name[i]);
    }
    free(name);
    assert_int_equal(bad, 0);
}

/* ---- bytes that no editor should have saved ---- */

#define SAID(text, expected) assert_said(text, sizeof(text) - 1, expected)

static void bytes_that_are_no_text_are_refused_where_they_stand(void **state)
{
    (void)state;
    SAID("room:\n  name: a\0b\n",
         "x.yaml:2:10: the character U+0000 has no place in a room file; take it out\n");
    SAID("# \xC3\xA9t\xC3\xA9 \xE9t\xE9\n",
         "x.yaml:1:7: this is not UTF-8 (byte 0xe9); save the file as UTF-8\n");
    SAID("# \xC0\xAF\n", "x.yaml:1:3: this is not UTF-8 (byte 0xc0); save the file as UTF-8\n");
    SAID("# \xED\xA0\x80\n", "x.yaml:1:3: this is not UTF-8 (byte 0xed); save the file as UTF-8\n");
    SAID("# \xF4\x90\x80\x80\n",
         "x.yaml:1:3: this is not UTF-8 (byte 0xf4); save the file as UTF-8\n");
    SAID("\xFF\xFEr\0", "x.yaml:1:1: the file is UTF-16; save it as UTF-8\n");
    SAID("\xEF\xBB\xBFroom:\n",
         "x.yaml:1:1: the file begins with a byte order mark; save it as UTF-8 without one\n");
}

static void characters_that_hide_in_a_line_are_refused(void **state)
{
    (void)state;
    SAID("room:\n  name: a\xC2\x85z: b\n",
         "x.yaml:2:10: the character U+0085 has no place in a room file; take it out\n");
    SAID("room:\r\n  name: a\xE2\x80\xA8z: b\r\n",
         "x.yaml:2:10: the character U+2028 has no place in a room file; take it out\n");
    SAID("room:\r  name: \x1b[31m\r",
         "x.yaml:2:9: the character U+001B has no place in a room file; take it out\n");
}

static void assert_said_and_free(char *text, const char *expected)
{
    assert_said(text, strlen(text), expected);
    free(text);
}

static void what_is_larger_than_any_room_is_refused(void **state)
{
    (void)state;
    assert_said_and_free(repeat("", "#23456789\n", 26215, ""),
                         "x.yaml:1:1: the file has 262150 bytes; at most 262144 are read\n");
    assert_said_and_free(repeat("room: {name: ", "n", 4097, "}\n"),
                         "x.yaml:1:14: this text has 4097 bytes; at most 4096 are read\n");
    assert_said_and_free(repeat("room: {", "k", 129, ": 1}\n"),
                         "x.yaml:1:8: a key is one line of at most 128 bytes\n");
    assert_said_and_free(
        repeat("- [", "a,", 20000, "a]\n"), /* the stream, its document and two lists come first */
        "x.yaml:1:39996: the file has too many parts; use patterns such as A1..A12\n");
    assert_said_and_free(repeat("", "[", 64000, ""),
                         "x.yaml:1:17: this is nested more than 16 deep\n");
}

static void assert_file_said(const char *path, const char *expected)
{
    struct room_faults faults;
    struct room r;
    struct text said = {0};

    assert_int_equal(room_read(path, NULL, &r, &faults), ERR_CONFIG);
    assert_int_equal(faults.n, 1);
    room_fault_format(&faults.fault[0], NULL, 0, &said);
    assert_string_equal(said.s, expected);
    text_deinit(&said);
}

static void a_file_that_cannot_be_read_is_a_fault_without_a_line(void **state)
{
    (void)state;
    assert_file_said("/nowhere/room.yaml",
                     "/nowhere/room.yaml: it cannot be read: No such file or directory\n");
    assert_file_said("/dev/null", "/dev/null: it is not a file\n");
}

static void a_quoted_word_that_is_cut_stays_text(void **state)
{
    char *text = repeat("room: {", "\xE2\x82\xAC", 30, ": 1}\n");
    struct room_faults faults;
    struct room r;
    int n_seen = 0;

    (void)state;
    assert_int_equal(room_read_text("x", text, strlen(text), NULL, &r, &faults), ERR_CONFIG);
    for (size_t i = 0; i < faults.n; i++) {
        if (strncmp(faults.fault[i].msg, "unknown", 7) == 0) {
            n_seen++;
            assert_string_equal(faults.fault[i].msg,
                                "unknown key '\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC"
                                "\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC"
                                "\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC' in 'room'");
        }
    }
    assert_int_equal(n_seen, 1);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_mistake_is_told_at_its_place),
        cmocka_unit_test(bytes_that_are_no_text_are_refused_where_they_stand),
        cmocka_unit_test(characters_that_hide_in_a_line_are_refused),
        cmocka_unit_test(what_is_larger_than_any_room_is_refused),
        cmocka_unit_test(a_file_that_cannot_be_read_is_a_fault_without_a_line),
        cmocka_unit_test(a_quoted_word_that_is_cut_stays_text),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
