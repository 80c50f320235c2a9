/* The room file: what a good one gives, and what a person is told about a bad one.
 *
 * tests/data/rooms-bad holds a file for each mistake, NAME.yaml, and beside it all that is said
 * about it, NAME.expect. */
#include "tests/cmocka_all.h"

#include "config/room_read.h"
#include "config/sections.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/core/day.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CROPS TARN_SOURCE_DIR "/config/crops"
#define ROOMS TARN_SOURCE_DIR "/config/rooms/"
#define DATA  TARN_SOURCE_DIR "/tests/data/"
#define BAD   DATA "rooms-bad/"

static struct room read_good(const char *path)
{
    struct room_faults faults;
    struct room r;

    if (room_read(path, CROPS, &r, &faults) < 0) {
        fail_msg("%s:%u:%u: %s", faults.fault[0].file, faults.fault[0].line, faults.fault[0].column,
                 faults.fault[0].msg);
    }
    return r;
}

/* The whole of a file; the caller frees it. */
static char *slurp(const char *path, size_t *out_len)
{
    FILE *f = fopen(path, "re");
    char *text = mem_array(ROOM_FILE_MAX, 1);

    if (!f) {
        fail_msg("there is no %s", path);
    }
    *out_len = fread(text, 1, ROOM_FILE_MAX - 1, f);
    (void)fclose(f);
    return text;
}

/* All that is said about a text, a line each; the caller frees it. */
static char *said_about(const char *name, const char *text, size_t len)
{
    struct room_faults faults;
    struct room r;
    struct text said = {0};

    if (room_read_text(name, text, len, CROPS, &r, &faults) == 0) {
        room_deinit(&r);
    }
    for (size_t i = 0; i < faults.n; i++) {
        room_fault_format(&faults.fault[i], NULL, 0, &said);
    }
    if (faults.n_more) {
        text_add(&said, "and %zu more\n", faults.n_more);
    }
    return text_take(&said);
}

static void assert_said(const char *text, size_t len, const char *expected)
{
    char *said = said_about("x.yaml", text, len);

    assert_string_equal(said, expected);
    free(said);
}

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_mistake_is_told_at_its_place),
    };

    (void)read_good;
    (void)assert_said;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
