/* How wide a page is, and whether it may be coloured: a terminal is asked, a file is not one. */
#include "cli/terminal.h"
#include "tests/cmocka_all.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* A terminal with nobody in front of it. */
struct screen {
    int master;
    FILE *stream;
};

static void screen_open(struct screen *s, unsigned short columns)
{
    struct winsize size = {.ws_row = 24, .ws_col = columns};

    s->master = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(s->master >= 0);
    assert_int_equal(grantpt(s->master), 0);
    assert_int_equal(unlockpt(s->master), 0);
    s->stream = fopen(ptsname(s->master), "w");
    assert_non_null(s->stream);
    assert_int_equal(ioctl(s->master, TIOCSWINSZ, &size), 0);
}

static void screen_close(struct screen *s)
{
    (void)fclose(s->stream);
    (void)close(s->master);
}

static int forget_what_the_shell_says(void **ctx)
{
    (void)ctx;
    (void)unsetenv("COLUMNS");
    (void)unsetenv("NO_COLOR");
    return setenv("TERM", "xterm", 1);
}

static void a_page_is_as_wide_as_the_terminal(void **ctx)
{
    static const struct {
        unsigned short terminal;
        size_t page;
    } wide[] = {
        {100, 100},
        {40,  40 },
        {20,  40 }, /* narrower than a page can be */
        {300, 200}, /* and wider than lines are read */
        {0,   80 }, /* a serial line does not know */
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++) {
        struct screen s;

        screen_open(&s, wide[i].terminal);
        assert_int_equal(terminal_columns(s.stream), wide[i].page);
        screen_close(&s);
    }
}

static void a_file_has_80_columns_and_no_colour(void **ctx)
{
    FILE *f = tmpfile();

    (void)ctx;
    assert_non_null(f);
    assert_int_equal(terminal_columns(f), 80);
    assert_false(terminal_has_colour(f));
    (void)fclose(f);
}

static void who_sets_columns_gets_them(void **ctx)
{
    static const char *const none[] = {"", "wide", "0", "-40"};
    FILE *f = tmpfile();

    (void)ctx;
    assert_non_null(f);
    (void)setenv("COLUMNS", "60", 1);
    assert_int_equal(terminal_columns(f), 60);
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        (void)setenv("COLUMNS", none[i], 1);
        assert_int_equal(terminal_columns(f), 80);
    }
    (void)fclose(f);
}

/* no-color.org: any value but an empty one says no. */
static void colour_is_for_a_terminal_whose_owner_does_not_mind(void **ctx)
{
    struct screen s;

    (void)ctx;
    screen_open(&s, 80);
    assert_true(terminal_has_colour(s.stream));
    (void)setenv("NO_COLOR", "", 1);
    assert_true(terminal_has_colour(s.stream));
    (void)setenv("NO_COLOR", "1", 1);
    assert_false(terminal_has_colour(s.stream));
    (void)unsetenv("NO_COLOR");
    (void)setenv("TERM", "dumb", 1);
    assert_false(terminal_has_colour(s.stream));
    screen_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(a_page_is_as_wide_as_the_terminal, forget_what_the_shell_says),
        cmocka_unit_test_setup(a_file_has_80_columns_and_no_colour, forget_what_the_shell_says),
        cmocka_unit_test_setup(who_sets_columns_gets_them, forget_what_the_shell_says),
        cmocka_unit_test_setup(colour_is_for_a_terminal_whose_owner_does_not_mind,
                               forget_what_the_shell_says),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
