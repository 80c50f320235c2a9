/* Faults: kept, sorted, and how one looks to a person. */
#include "tests/unit/room_text.h"

#include "config/read/fault.h"
#include "config/read/fault_print.h"

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
    assert_shown(3, 1, "a\nb\n", "r:3:1: no\n");
    assert_shown(2, 1, "a\nb", "r:2:1: no\n    b\n    ^\n");
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

static void a_fault_without_a_place_is_one_line(void **state)
{
    (void)state;
    assert_shown(0, 0, "a: 1\n", "r: no\n");
    assert_shown(1, 0, "a: 1\n", "r:1:0: no\n");
}

static void a_line_of_seventy_two_is_shown_from_its_start(void **state)
{
    char *line = repeat("", "0123456789", 8, "");

    (void)state;
    assert_shown(1, 72, line,
                 "r:1:72: no\n"
                 "    012345678901234567890123456789012345678901234567890123456789012345678901\n"
                 "                                                                           ^\n");
    assert_shown(1, 73, line,
                 "r:1:73: no\n"
                 "    34567890123456789012345678901234567890123456789\n"
                 "                                           ^\n");
    free(line);
}

static void twenty_faults_are_kept_and_the_others_counted(void **state)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};

    (void)state;
    for (unsigned i = 1; i <= 23; i++) {
        assert_int_equal(fault_is_full(&f), i > 20);
        fault_at(&f, (struct place){i, 2}, "the %u.", i);
        assert_int_equal(fault_count(&f), i);
    }
    assert_int_equal(faults.n, 20);
    assert_int_equal(faults.n_more, 3);
    assert_string_equal(faults.fault[19].msg, "the 20.");
    assert_int_equal(faults.fault[19].line, 20);
    assert_int_equal(faults.fault[19].column, 2);
    assert_int_equal(faults.fault[19].code, ERR_CONFIG);
}

static void note(struct room_faults *faults, const char *file, unsigned line, unsigned column,
                 const char *msg)
{
    struct faulty f = {file, faults};

    fault_at(&f, (struct place){line, column}, "%s", msg);
}

static void faults_are_told_in_the_order_of_the_files(void **state)
{
    static const char *const sorted[] = {"0", "1", "2", "3", "4", "5"};
    struct room_faults faults = {0};

    (void)state;
    note(&faults, "b", 1, 1, "5");
    note(&faults, "a", 10, 1, "4");
    note(&faults, "a", 2, 7, "3");
    note(&faults, "a", 2, 3, "2");
    note(&faults, "a", 2, 3, "1");
    note(&faults, "a", 1, 9, "0");
    faults_sort(&faults);
    for (size_t i = 0; i < faults.n; i++) {
        assert_string_equal(faults.fault[i].msg, sorted[i]);
    }
}

static void assert_printed(const struct room_faults *faults, const char *expected)
{
    char *text = NULL;
    size_t len = 0;
    FILE *to = open_memstream(&text, &len);

    assert_non_null(to);
    fault_print(faults, to);
    assert_int_equal(fclose(to), 0);
    assert_string_equal(text, expected);
    free(text);
}

static void each_fault_is_printed_with_the_line_of_its_own_file(void **state)
{
    struct room_faults faults = {0};

    (void)state;
    note(&faults, "/nowhere/x.yaml", 3, 1, "gone");
    note(&faults, DATA "rooms/small.yaml", 3, 9, "one");
    note(&faults, DATA "rooms/small.yaml", 7, 3, "two");
    note(&faults, DATA "rooms/us.yaml", 0, 0, "as a whole");
    faults.n_more = 2;
    assert_printed(&faults, "/nowhere/x.yaml:3:1: gone\n" DATA
                            "rooms/small.yaml:3:9: one\n      name: shelf\n            ^\n" DATA
                            "rooms/small.yaml:7:3: two\n      ph: 7.4\n      ^\n" DATA
                            "rooms/us.yaml: as a whole\nand 2 more\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fault_shows_its_line_and_a_caret_below_the_place),
        cmocka_unit_test(a_long_line_is_cut_to_fit_eighty_columns),
        cmocka_unit_test(a_fault_without_a_place_is_one_line),
        cmocka_unit_test(a_line_of_seventy_two_is_shown_from_its_start),
        cmocka_unit_test(twenty_faults_are_kept_and_the_others_counted),
        cmocka_unit_test(faults_are_told_in_the_order_of_the_files),
        cmocka_unit_test(each_fault_is_printed_with_the_line_of_its_own_file),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
