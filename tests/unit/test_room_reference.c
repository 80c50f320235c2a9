/* The reference in tarn-room.5 says what the tables of keys say, and its example is a good room.
 *
 * With --print the reference is written out, to be put into the page between its two marks. */
#include "tests/cmocka_all.h"

#include "config/read/file_read.h"
#include "config/read/room_read.h"
#include "config/read/sections.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PAGE  TARN_SOURCE_DIR "/config/tarn-room.5"
#define BEGIN ".\\\" The tables of keys begin here: test_room_reference --print\n"
#define END   ".\\\" The tables of keys end here.\n"

/* What a figure of the kind is called at the head of its range. */
static const char *kind_word(enum quantity q)
{
    switch (q) {
    case QUANTITY_NUMBER:
        return "A number";
    case QUANTITY_PH:
        return "A pH";
    case QUANTITY_PERCENT:
        return "A share";
    case QUANTITY_VOLUME:
        return "A volume";
    case QUANTITY_EC:
        return "A strength";
    case QUANTITY_TEMP:
        return "A temperature";
    case QUANTITY_SPAN:
        return "A span of time";
    case QUANTITY_MINUTES:
        return "Minutes";
    case QUANTITY_FLOW:
        return "A flow";
    case QUANTITY_ALKALINITY:
        return "Alkalinity";
    case QUANTITY_LIQUID:
        return "An amount of a liquid";
    case QUANTITY_DRY:
        return "A weight";
    case QUANTITY_LENGTH:
        return "A length";
    case QUANTITY_CONTENT:
    case QUANTITY_DOSE_LIQUID:
    case QUANTITY_DOSE_DRY:
    case QUANTITY_MILLIVOLT:
    case QUANTITY_N:
        break;
    }
    fail_msg("the reference has no word for the quantity %d; give it one here", q);
    return "";
}

static void add_range(struct text *out, const struct key *k)
{
    static const struct units metric = {0};
    char lo[QUANTITY_TEXT_MAX];
    char hi[QUANTITY_TEXT_MAX];

    text_add(out, k->above_lo ? "%s above %s and at most %s" : "%s from %s to %s",
             kind_word(k->quantity), quantity_format(lo, k->quantity, k->lo, &metric),
             quantity_format(hi, k->quantity, k->hi, &metric));
}

static void add_words(struct text *out, const char *const *words)
{
    for (size_t i = 0; words[i]; i++) {
        text_add(out, "%s%s", i == 0 ? "" : words[i + 1] ? ", " : " or ", words[i]);
    }
}

static void add_form(struct text *out, const struct key *k)
{
    switch (k->type) {
    case KEY_QUANTITY:
        add_range(out, k);
        break;
    case KEY_TEXT:
        text_add(out, "A text of at most %zu bytes", k->size - 1);
        break;
    case KEY_NAME:
        text_add(out, "A name");
        break;
    case KEY_WORD:
        add_words(out, k->words);
        break;
    case KEY_BOOL:
        text_add(out, "true or false");
        break;
    case KEY_DAY:
        text_add(out, "A day, as 2026-03-01");
        break;
    case KEY_CLOCK:
        text_add(out, "A time of day in quotes, as \"07:00\"");
        break;
    case KEY_PART:
        text_add(out, "%c%s", toupper(k->form[0]), k->form + 1);
        break;
    }
}

static void add_key(struct text *out, const struct key *k)
{
    bool is_word = islower(k->help[0]) && (islower(k->help[1]) || k->help[1] == ' ');

    text_add(out, ".It Cm %s\n%c%s.\n", k->name, is_word ? toupper(k->help[0]) : k->help[0],
             k->help + 1);
    add_form(out, k);
    if (k->needed) {
        text_add(out, "; needed.\n");
    } else if (k->preset) {
        text_add(out, "; %s if not given.\n", k->preset);
    } else {
        text_add(out, ".\n");
    }
}

/* A new sentence begins on a new line, as mdoc wants it. */
static void add_sentences(struct text *out, const char *s)
{
    for (; *s; s++) {
        if (s[0] == '.' && s[1] == ' ') {
            text_add(out, ".\n");
            s++;
        } else {
            text_add_bytes(out, s, 1);
        }
    }
    text_add(out, "\n");
}

static char *reference(void)
{
    struct text out = {0};

    for (size_t i = 0; room_sections[i]; i++) {
        const struct key_section *s = room_sections[i];

        text_add(&out, ".Ss %c%s\n", i == 0 ? toupper(s->name[0]) : s->name[0], s->name + 1);
        add_sentences(&out, s->help);
        text_add(&out, ".Bl -tag -width Ds\n");
        for (size_t k = 0; k < s->n; k++) {
            add_key(&out, &s->key[k]);
        }
        text_add(&out, ".El\n");
    }
    return text_take(&out);
}

static char *read_page(void)
{
    char *page = mem_array(ROOM_FILE_MAX, 1);
    FILE *f = fopen(PAGE, "re");

    if (!f) {
        fail_msg("there is no %s", PAGE);
    }
    page[fread(page, 1, ROOM_FILE_MAX - 1, f)] = 0;
    (void)fclose(f);
    return page;
}

/* What stands between two marks; cut out of the page itself. */
static char *between(char *page, const char *begin, const char *end)
{
    char *from = strstr(page, begin);
    char *to = from ? strstr(from, end) : NULL;

    if (to) {
        *to = '\0';
        return from + strlen(begin);
    }
    fail_msg("the page has no part between %s and %s", begin, end);
    return page;
}

/* The `.It Cm` lines below a section's heading, a line each, as the page has them. */
static bool page_has_key(const char *page, const struct key_section *s, const char *key)
{
    struct text heading = {0};
    struct text item = {0};
    const char *from;
    const char *end;
    const char *at;

    text_add(&heading, "\n.Ss %c%s\n", s == room_sections[0] ? toupper(s->name[0]) : s->name[0],
             s->name + 1);
    text_add(&item, "\n.It Cm %s\n", key);
    from = strstr(page, heading.s);
    end = from ? strstr(from, "\n.El\n") : NULL;
    at = from ? strstr(from, item.s) : NULL;
    text_deinit(&heading);
    text_deinit(&item);
    return at && end && at < end;
}

static size_t count(const char *text, const char *what)
{
    size_t n = 0;

    for (text = strstr(text, what); text; text = strstr(text + 1, what)) {
        n++;
    }
    return n;
}

/* The test below this one says so too; this one says which key it is. */
static void every_key_has_its_place_in_the_page_and_no_other_is_there(void **state)
{
    char *page = read_page();
    const char *tables = strstr(page, BEGIN);
    size_t n_keys = 0;
    size_t n_sections = 0;

    (void)state;
    assert_non_null(tables);
    for (; room_sections[n_sections]; n_sections++) {
        const struct key_section *s = room_sections[n_sections];

        for (size_t k = 0; k < s->n; k++) {
            if (!page_has_key(tables, s, s->key[k].name)) {
                fail_msg("%s of '%s' is not in tarn-room.5", s->key[k].name, s->name);
            }
        }
        n_keys += s->n;
    }
    tables = between(page, BEGIN, END);
    assert_int_equal(count(tables, ".Ss "), n_sections);
    assert_int_equal(count(tables, ".It Cm "), n_keys);
    free(page);
}

static void the_page_says_what_the_tables_say(void **state)
{
    char *page = read_page();
    char *wanted = reference();

    (void)state;
    assert_string_equal(between(page, BEGIN, END), wanted);
    free(page);
    free(wanted);
}

static void the_example_of_the_page_is_a_good_room(void **state)
{
    char *page = read_page();
    const char *example = between(page, ".Bd -literal\n", ".Ed\n");
    struct room_faults faults;
    struct room r;

    (void)state;
    if (room_read_text("example", example, strlen(example), NULL, &r, &faults) < 0) {
        fail_msg("%u:%u: %s", faults.fault[0].line, faults.fault[0].column, faults.fault[0].msg);
    }
    assert_int_equal(r.n_containers, 8);
    room_deinit(&r);
    free(page);
}

/* A preset is written as a person would write it; one that cannot be read would be left out
 * without a word. */
static void every_preset_can_be_read_and_lies_in_its_range(void **state)
{
    int n = 0;

    (void)state;
    for (size_t i = 0; room_sections[i]; i++) {
        for (size_t k = 0; k < room_sections[i]->n; k++) {
            const struct key *key = &room_sections[i]->key[k];
            struct room_faults faults = {0};
            struct faulty f = {"", &faults};
            char *preset = mem_strdup(key->preset);
            struct node value = {.kind = NODE_SCALAR, .text = preset};
            struct room *base = mem_array(1, sizeof *base);

            assert_true(!key->needed || !key->preset);
            if (preset && !key_read(&f, &value, key, base)) {
                fail_msg("%s.%s: %s", room_sections[i]->name, key->name, faults.fault[0].msg);
            }
            n += preset != NULL;
            free(preset);
            free(base);
        }
    }
    assert_true(n > 30);
}

/* What is missing in a table shows as that, in a page that people read. */
static void nothing_is_missing_in_the_page(void **state)
{
    char *page = read_page();

    (void)state;
    assert_null(strstr(page, "(null)"));
    free(page);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key_has_its_place_in_the_page_and_no_other_is_there),
        cmocka_unit_test(the_page_says_what_the_tables_say),
        cmocka_unit_test(nothing_is_missing_in_the_page),
        cmocka_unit_test(the_example_of_the_page_is_a_good_room),
        cmocka_unit_test(every_preset_can_be_read_and_lies_in_its_range),
    };

    if (argc == 2 && strcmp(argv[1], "--print") == 0) {
        char *text = reference();

        (void)fputs(text, stdout);
        free(text);
        return 0;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
