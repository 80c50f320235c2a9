/* Whole pages as people saw them and found them good, kept as files beside the answers they were
 * made of (tests/data/pages/NAME.json and NAME.COLUMNS.txt). A page that changes is looked at
 * again before its file is: with --print they are written anew. */
#include "cli/verb.h"
#include "tests/unit/a_screen.h"

#include <stdio.h>
#include <stdlib.h>

#define FOLDER TARN_SOURCE_DIR "/tests/data/pages/"

static bool printing;

static const struct {
    const char *name, *verb;
    size_t columns;
} pages[] = {
    {"today-6",    "today",   40 },
    {"today-6",    "today",   80 },
    {"today-6",    "today",   120},
    {"today-120",  "today",   40 },
    {"today-120",  "today",   80 },
    {"status-6",   "status",  40 },
    {"status-40",  "status",  80 },
    {"status-120", "status",  40 },
    {"status-120", "status",  80 },
    {"status-120", "status",  120},
    {"outlook-6",  "outlook", 40 },
    {"outlook-6",  "outlook", 80 },
};

static char *read_file(const char *path)
{
    FILE *f = fopen(path, "re");
    struct text t = {0};
    char chunk[4096];
    size_t n;

    if (!f) {
        fail_msg("there is no %s", path);
    }
    while ((n = fread(chunk, 1, sizeof chunk, f)) > 0) {
        text_add_bytes(&t, chunk, n);
    }
    (void)fclose(f);
    return text_take(&t);
}

static void write_file(const char *path, const char *text)
{
    FILE *f = fopen(path, "we");

    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

/* Nothing of a page is wider than it, but a word that has no blank in it. */
static void assert_narrow(const char *text, size_t columns)
{
    while (*text) {
        size_t len = strcspn(text, "\n");
        char line[1000];

        assert_true(len < sizeof line);
        memcpy(line, text, len);
        line[len] = '\0';
        if (layout_width(line) > columns) {
            fail_msg("wider than %zu columns: %s", columns, line);
        }
        text += len + (text[len] == '\n');
    }
}

static void a_page_is_as_it_was_looked_at(void **ctx)
{
    (void)ctx;
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++) {
        struct view v = a_view("L", "mS/cm");
        struct text t = {.columns = pages[i].columns};
        char path[256];
        json_t *answer;
        char *kept;

        (void)snprintf(path, sizeof path, FOLDER "%s.json", pages[i].name);
        answer = json_load_file(path, 0, NULL);
        assert_non_null(answer);
        v.today = 20553; /* 2026-04-10, on which the answers were given */
        verb_find(pages[i].verb)->show(&v, answer, &t);
        assert_narrow(text_str(&t), pages[i].columns);
        (void)snprintf(path, sizeof path, FOLDER "%s.%zu.txt", pages[i].name, pages[i].columns);
        if (printing) {
            write_file(path, text_str(&t));
        }
        kept = read_file(path);
        if (strcmp(kept, text_str(&t)) != 0) {
            fail_msg("%s is another now:\n%s", path, text_str(&t));
        }
        free(kept);
        json_decref(answer);
        text_deinit(&t);
    }
}

/* 120 containers are a page, also on a telephone, and what is off stands in front of the others. */
static void a_large_room_is_a_page(void **ctx)
{
    char *page = read_file(FOLDER "status-120.80.txt");
    size_t lines = 0;

    (void)ctx;
    for (const char *p = page; *p; p++) {
        lines += *p == '\n';
    }
    assert_true(lines <= 50);
    assert_true(strstr(page, "Told of above") < strstr(page, "The others"));
    free(page);
}

/* Sentences that growers found untrue or no sentences. */
static void nothing_reads_as_it_did(void **ctx)
{
    static const char *const gone[] = {
        "PH was",
        "and young wants",
        "care filter",
        "right?.",
        "keeps none for longer",
        "1970-01-01",
        "more like it",
        "let in ? of",
        "1 of the journal's entries are",
        "Enjoy the plants",
        "(null)",
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++) {
        char path[256];
        char *page;

        (void)snprintf(path, sizeof path, FOLDER "%s.%zu.txt", pages[i].name, pages[i].columns);
        page = read_file(path);
        for (size_t k = 0; k < sizeof gone / sizeof *gone; k++) {
            if (strstr(page, gone[k])) {
                fail_msg("'%s' is in %s", gone[k], path);
            }
        }
        free(page);
    }
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_page_is_as_it_was_looked_at),
        cmocka_unit_test(a_large_room_is_a_page),
        cmocka_unit_test(nothing_reads_as_it_did),
    };

    printing = argc > 1 && strcmp(argv[1], "--print") == 0;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
