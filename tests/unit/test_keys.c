/* A value of each type of key: what is read of it, and what is said of one that is not like it. */
#include "tests/unit/room_text.h"

#include "config/read/keys.h"
#include "daemon/core/units/day.h"

/* One member of each type, at the edges of what fits. */
struct all_types {
    double volume_l, above_l;
    char text[5], name[NAME_LEN_MAX + 1];
    int word;
    bool yes;
    int32_t day, clock;
};

static const char *const words[] = {"red", "green", "blue", NULL};

#define TO(m) .offset = offsetof(struct all_types, m), .size = sizeof(((struct all_types *)0)->m)
/* clang-format off */
static const struct key all_keys[] = {
    {.name = "volume", .type = KEY_QUANTITY, .quantity = QUANTITY_VOLUME, .lo = 1, .hi = 5,
     TO(volume_l), .preset = "2 L", .help = "a volume"},
    {.name = "above", .type = KEY_QUANTITY, .quantity = QUANTITY_VOLUME, .lo = 1, .hi = 5,
     .above_lo = true, TO(above_l), .help = "a volume"},
    {.name = "text", .type = KEY_TEXT, TO(text), .needed = true, .help = "a word or two"},
    {.name = "name", .type = KEY_NAME, TO(name), .help = "a name"},
    {.name = "word", .type = KEY_WORD, .words = words, TO(word), .help = "a colour"},
    {.name = "yes",  .type = KEY_BOOL, TO(yes), .preset = "true", .help = "or no"},
    {.name = "day",  .type = KEY_DAY, TO(day), .help = "a day"},
    {.name = "clock", .type = KEY_CLOCK, TO(clock), .help = "a time of day"},
    {.name = "part", .type = KEY_PART, .form = "a map", .help = "read elsewhere"},
};
/* clang-format on */
static const struct key_section section = {"all", all_keys, sizeof all_keys / sizeof *all_keys,
                                           "One of each."};

/* Reads "{key: value, …}"; what is said, a line each, for the caller to free. */
static char *read_all(const char *yaml, bool override, struct all_types *out)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};
    struct text said = {0};
    struct node tree;
    bool good;

    if (!yaml_tree_read(&f, yaml, strlen(yaml), &tree)) {
        fail_msg("%s", faults.fault[0].msg);
    }
    good = keys_read(&f, &tree, &section, "all", override, out);
    assert_int_equal(good, faults.n == 0);
    for (size_t i = 0; i < faults.n; i++) {
        text_add(&said, "%s\n", faults.fault[i].msg);
    }
    yaml_tree_free(&tree);
    text_add(&said, "%s", "");
    return text_take(&said);
}

static void assert_said_of(const char *yaml, const char *expected)
{
    struct all_types t = {0};
    char *said = read_all(yaml, true, &t);

    assert_string_equal(said ? said : "", expected);
    free(said);
}

static struct all_types good(const char *yaml)
{
    struct all_types t = {0};
    char *said = read_all(yaml, true, &t);

    assert_string_equal(said ? said : "", "");
    free(said);
    return t;
}

static void a_quantity_lies_in_its_range_with_both_ends(void **state)
{
    (void)state;
    assert_true(good("volume: 1 L").volume_l == 1);
    assert_true(good("volume: 5 L").volume_l == 5);
    assert_said_of("volume: 0.9 L", "volume: '0.9 L' cannot be; it lies between 1.0 L and 5.0 L\n");
    assert_said_of("volume: 5.1 L", "volume: '5.1 L' cannot be; it lies between 1.0 L and 5.0 L\n");
    assert_said_of("volume: 3", "volume: '3' needs a unit: L, mL, gal, impgal, qt, floz or m3\n");
    assert_said_of("volume: [3 L]", "'volume' is a list; a single value is wanted\n");
}

static void above_means_that_the_end_is_too_little(void **state)
{
    (void)state;
    assert_true(good("above: 1.01 L").above_l == 1.01);
    assert_true(good("above: 5 L").above_l == 5);
    assert_said_of("above: 1 L", "above: '1 L' cannot be; it is above 1.0 L and at most 5.0 L\n");
}

static void a_text_fits_its_place_and_is_not_empty(void **state)
{
    (void)state;
    assert_string_equal(good("text: abcd").text, "abcd");
    assert_said_of("text: abcde", "text: the text has to have 1 to 4 bytes\n");
    assert_said_of("text: \"\"", "text: the text has to have 1 to 4 bytes\n");
    assert_said_of("text: {a: b}", "'text' is a map; a single value is wanted\n");
}

static void a_name_is_one(void **state)
{
    (void)state;
    assert_string_equal(good("name: A23").name, "A23");
    assert_said_of(
        "name: 23A",
        "name: '23A' is no name; a letter, then letters, digits, - _ or ., at most 31\n");
    assert_said_of("name: [A]", "'name' is a list; a single value is wanted\n");
}

static void a_word_is_one_of_the_list_by_its_place(void **state)
{
    (void)state;
    assert_int_equal(good("word: red").word, 0);
    assert_int_equal(good("word: blue").word, 2);
    assert_said_of("word: gren", "word: 'gren' is not known; did you mean 'green'?\n");
    assert_said_of("word: mauve", "word: 'mauve' is not known; it is one of red, green, blue\n");
    assert_said_of("word: [red]", "'word' is a list; a single value is wanted\n");
}

static void true_and_false_are_written_out(void **state)
{
    (void)state;
    assert_true(good("yes: true").yes);
    assert_false(good("yes: false").yes);
    assert_said_of("yes: yes", "yes: 'yes' is neither true nor false\n");
    assert_said_of("yes: {a: b}", "'yes' is a map; a single value is wanted\n");
}

static void a_day_is_one_of_the_calendar(void **state)
{
    (void)state;
    assert_int_equal(good("day: 2028-02-29").day, day_of(2028, 2, 29));
    assert_said_of("day: 2026-02-29", "day: there is no day 2026-02-29 in the calendar\n");
    assert_said_of("day: [2026-02-28]", "'day' is a list; a single value is wanted\n");
    assert_said_of("clock: [a]", "'clock' is a list; a single value is wanted\n");
}

static void a_part_is_known_and_left_to_its_reader(void **state)
{
    (void)state;
    assert_said_of("part: [anything]", "");
    assert_said_of("past: 1", "unknown key 'past' in 'all'; did you mean 'part'?\n");
    assert_said_of("quite: 1", "unknown key 'quite' in 'all'\n");
}

static void what_is_not_said_is_preset_or_needed(void **state)
{
    struct all_types t = {.volume_l = 7, .above_l = 7};
    char *said = read_all("above: 2 L", false, &t);

    (void)state;
    assert_string_equal(said, "'all' needs the key 'text': a word or two\n");
    assert_true(t.volume_l == 2 && t.yes && t.above_l == 2);
    free(said);
}

static void what_overrides_changes_what_it_says_alone(void **state)
{
    struct all_types t = {.volume_l = 3, .above_l = 4, .text = "old", .yes = false};
    char *said = read_all("above: 2 L", true, &t);

    (void)state;
    assert_string_equal(said ? said : "", "");
    assert_true(t.volume_l == 3 && t.above_l == 2 && !t.yes);
    assert_string_equal(t.text, "old");
    free(said);
}

static void without_a_map_the_presets_alone_are_there(void **state)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};
    struct all_types t = {0};

    (void)state;
    assert_true(keys_read(&f, NULL, &section, "all", false, &t));
    assert_true(t.volume_l == 2 && t.yes);
}

static void a_list_in_place_of_the_map_is_said(void **state)
{
    (void)state;
    assert_said_of("[a]", "'all' is a list; a map of keys is wanted\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_quantity_lies_in_its_range_with_both_ends),
        cmocka_unit_test(above_means_that_the_end_is_too_little),
        cmocka_unit_test(a_text_fits_its_place_and_is_not_empty),
        cmocka_unit_test(a_name_is_one),
        cmocka_unit_test(a_word_is_one_of_the_list_by_its_place),
        cmocka_unit_test(true_and_false_are_written_out),
        cmocka_unit_test(a_day_is_one_of_the_calendar),
        cmocka_unit_test(a_part_is_known_and_left_to_its_reader),
        cmocka_unit_test(what_is_not_said_is_preset_or_needed),
        cmocka_unit_test(what_overrides_changes_what_it_says_alone),
        cmocka_unit_test(without_a_map_the_presets_alone_are_there),
        cmocka_unit_test(a_list_in_place_of_the_map_is_said),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
