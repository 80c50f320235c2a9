/* a_screen.h - what the daemon answers, as a test writes it, and what a person gets
 * to see of it. */
#ifndef TARN_TESTS_A_SCREEN_H
#define TARN_TESTS_A_SCREEN_H

#include "cli/layout.h"
#include "cli/screen.h"
#include "tests/cmocka_all.h"

#include <string.h>

typedef void a_screen(const struct view *v, const json_t *answer, struct text *out);

/* JSON with ' for ", so that a test can be read. A new reference. */
static inline json_t *an_answer(const char *text)
{
    struct text t = {0};
    json_error_t fault;
    json_t *o;

    for (const char *p = text; *p; p++) {
        text_add_bytes(&t, *p == '\'' ? "\"" : p, 1);
    }
    o = json_loads(text_str(&t), 0, &fault);
    if (!o) {
        fail_msg("%s at %d: %s", fault.text, fault.column, text_str(&t));
    }
    text_deinit(&t);
    return o;
}

/* A room called Cellar on Sunday 1 March 2026 at 07:00, with its units of volume and EC. */
static inline struct view a_view(const char *volume, const char *ec)
{
    json_t *hello = json_pack("{s:s, s:b, s:s, s:{s:s, s:s, s:s, s:b}}", "room", "Cellar",
                              "simulated", 0, "now", "2026-03-01T07:00:00+01:00", "units", "volume",
                              volume, "ec", ec, "temp", "C", "both", 1);
    struct view v;

    view_init(&v, hello);
    json_decref(hello);
    return v;
}

/* No line of a screen is wider than a terminal. */
static inline void assert_fits(const char *text)
{
    while (*text) {
        char line[1000];
        size_t len = strcspn(text, "\n");

        assert_true(len < sizeof line);
        memcpy(line, text, len);
        line[len] = '\0';
        if (layout_width(line) > LAYOUT_COLUMNS) {
            fail_msg("wider than 80 columns: %s", line);
        }
        text += len + (text[len] == '\n');
    }
}

/* The screen of an answer in litres and mS/cm is this text and fits. */
static inline void assert_shows(a_screen *screen, const char *answer, const char *expected)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = an_answer(answer);
    struct text t = {0};

    screen(&v, o, &t);
    assert_string_equal(text_str(&t), expected);
    assert_fits(text_str(&t));
    text_deinit(&t);
    json_decref(o);
}

/* The same of a part of a screen: the words are in it, and nothing is wider than a terminal. */
static inline void assert_says(a_screen *screen, const char *answer, const char *words)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = an_answer(answer);
    struct text t = {0};

    screen(&v, o, &t);
    assert_fits(text_str(&t));
    if (!strstr(text_str(&t), words)) {
        fail_msg("'%s' is not in:\n%s", words, text_str(&t));
    }
    text_deinit(&t);
    json_decref(o);
}

/* And the words are not in it. */
static inline void assert_silent(a_screen *screen, const char *answer, const char *words)
{
    struct view v = a_view("L", "mS/cm");
    json_t *o = an_answer(answer);
    struct text t = {0};

    screen(&v, o, &t);
    if (strstr(text_str(&t), words)) {
        fail_msg("'%s' is in:\n%s", words, text_str(&t));
    }
    text_deinit(&t);
    json_decref(o);
}

#endif
