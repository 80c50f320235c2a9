/* A journal of which sensors' readings were thinned is as safe as another: a bit that flips is
 * noticed, also in what stands for the readings that are gone; it is copied, and brought back.
 * fault_thinned [FLIPS]; 300 where nothing else is said */
#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/base/num.h"
#include "daemon/core/units/day.h"
#include "daemon/store/backup.h"
#include "daemon/store/journal.h"
#include "daemon/store/recover.h"
#include "daemon/store/thinning.h"
#include "tests/cmocka_all.h"
#include "tests/fault/folder.h"
#include "tests/sim/dice.h"
#include "tests/unit/a_room.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define READINGS 200
#define FILES    2

static int64_t flips = 300;

static const char *const names[FILES] = {"tarn.db", "tarn.db-head"};

struct bytes {
    unsigned char at[1 << 20];
    size_t n;
};

struct fixture {
    char dir[FOLDER_MOST];
    struct bytes of[FILES]; /* closed, thinned */
    int64_t kept;           /* entries that are in it … */
    uint64_t says;          /* … and what they say */
};

static void path_of(const struct fixture *f, const char *name, char path[FOLDER_MOST + 32])
{
    (void)snprintf(path, FOLDER_MOST + 32, "%s/%s", f->dir, name);
}

/* Readings ten minutes apart, a note now and then, and life after it. */
static void tell_all(struct journal *j)
{
    struct err e = {0};

    for (int i = 0; i <= READINGS; i++) {
        struct entry entry = with(told_at(ENTRY_READING, "A1", "", at(0, 8) + 600LL * i), FIGURE_PH,
                                  5.5 + 0.001 * i);
        struct journal_batch b = {.entry = &entry, .n_entries = 1, .day_started = DAY_NONE};

        entry.sensor = true;
        if (i % 20 == 7 || i == READINGS) {
            entry = told_at(ENTRY_NOTE, "A1", "", entry.happened_s + (i == READINGS ? 86400 : 0));
            (void)snprintf(entry.note, sizeof entry.note, "note %d", i);
        }
        assert_int_equal(journal_write(j, &b, &e), 0);
    }
}

static void thin(struct journal *j)
{
    struct thinning t;
    struct err e = {0};
    bool done = false;

    assert_int_equal(thinning_begin(&t, j, INT64_MIN, INT64_MAX, &e), 0);
    while (!done) {
        assert_int_equal(thinning_some(&t, j, 16, &done, &e), 0);
    }
    assert_true(t.n_gone > READINGS / 2);
    thinning_deinit(&t);
}

static uint64_t what_it_says(struct journal *j, int64_t *out_n)
{
    struct journal_query q = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 10000};
    struct journal_row *row;
    struct err e = {0};
    uint64_t sum = 0;
    size_t n;

    assert_int_equal(journal_list(j, &q, &row, &n, &e), 0);
    for (size_t i = 0; i < n; i++) {
        const struct entry *one = &row[i].entry;

        sum = sum * 31 + entry_content(one) + (uint64_t)one->seq * 7 + (uint64_t)one->happened_s +
              one->sensor;
    }
    free(row);
    *out_n = (int64_t)n;
    return sum;
}

static void lay_down(const struct fixture *f)
{
    folder_empty(f->dir);
    for (int i = 0; i < FILES; i++) {
        char path[FOLDER_MOST + 32];
        int fd;

        path_of(f, names[i], path);
        fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
        assert_true(fd >= 0);
        assert_int_equal(write(fd, f->of[i].at, f->of[i].n), (ssize_t)f->of[i].n);
        (void)close(fd);
    }
}

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);
    struct journal *j;

    folder_make(f->dir);
    j = folder_open(f->dir);
    tell_all(j);
    thin(j);
    f->says = what_it_says(j, &f->kept);
    journal_close(j);
    for (int i = 0; i < FILES; i++) {
        char path[FOLDER_MOST + 32];
        ssize_t n;
        int fd;

        path_of(f, names[i], path);
        fd = open(path, O_RDONLY | O_CLOEXEC);
        assert_true(fd >= 0);
        n = read(fd, f->of[i].at, sizeof f->of[i].at);
        assert_true(n > 0);
        f->of[i].n = (size_t)n;
        (void)close(fd);
    }
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;
    char command[FOLDER_MOST + 16];

    (void)snprintf(command, sizeof command, "rm -rf '%s'", f->dir);
    free(f);
    return system(command); /* NOLINT(cert-env33-c): a folder that mkdtemp named */
}

/* Opens it and looks at all of it; what is opened says what it said. */
static bool opens(const struct fixture *f)
{
    struct journal *j = NULL;
    struct err e = {0};
    bool done = false;
    int64_t n;
    int rc = journal_open(f->dir, &j, &e);

    while (rc == 0 && !done) {
        rc = journal_check_some(j, 16, &done, &e);
    }
    if (rc == 0) {
        assert_true(what_it_says(j, &n) == f->says);
        assert_int_equal(n, f->kept);
    } else {
        assert_true(strlen(e.msg) > 20);
    }
    journal_close(j);
    return rc == 0;
}

static void a_bit_that_flips_is_noticed(void **ctx)
{
    struct fixture *f = *ctx;
    struct bytes *b = &f->of[0];
    int64_t refused = 0;

    for (int64_t n = 0; n < flips; n++) {
        struct dice dice = dice_of((uint64_t)n, 23, 0, 0);
        unsigned char bit = (unsigned char)(1U << (unsigned)(dice_even(&dice) * 8));
        size_t at;

        do {
            at = (size_t)(dice_even(&dice) * (double)b->n);
        } while (folder_is_empty_at(b->at, b->n, at));
        b->at[at] ^= bit;
        lay_down(f);
        refused += !opens(f);
        b->at[at] ^= bit;
    }
    print_message("thinned tarn.db: of %lld flips %lld were refused, the others changed nothing\n",
                  (long long)flips, (long long)refused);
}

/* A sentence of a note is another: that one is lost, and nothing else. */
static void it_is_brought_back_with_what_was_thinned(void **ctx)
{
    struct fixture *f = *ctx;
    struct bytes *b = &f->of[0];
    unsigned char *note = memmem(b->at, b->n, "note 107", 8);
    struct recovery r = {0};
    struct journal *j;
    struct err e = {0};
    int64_t n;

    assert_non_null(note);
    note[0] = 'N';
    lay_down(f);
    note[0] = 'n';
    if (journal_recover(f->dir, NULL, &r, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    assert_int_equal(r.lost, 1);
    assert_int_equal(r.thinned, READINGS + 1 - f->kept);
    assert_non_null(strstr(text_str(&r.says), "entry 108 is lost"));
    assert_non_null(strstr(text_str(&r.says), "were sensors' readings and are thinned"));
    text_deinit(&r.says);
    j = folder_open(f->dir);
    assert_int_equal(journal_last_seq(j), READINGS + 1);
    (void)what_it_says(j, &n);
    assert_int_equal(n, f->kept); /* a note stands in the place of the lost one */
    journal_close(j);
}

static void a_copy_of_it_is_one_to_go_back_to(void **ctx)
{
    struct fixture *f = *ctx;
    char path[FOLDER_MOST + 32];
    char copy[FOLDER_MOST + 32];
    struct recovery r = {0};
    struct journal *j;
    struct err e = {0};
    int64_t n;

    lay_down(f);
    path_of(f, "copy.db", copy);
    (void)unlink(copy);
    j = folder_open(f->dir);
    if (journal_backup(j, copy, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    journal_close(j);
    path_of(f, "tarn.db", path);
    assert_int_equal(unlink(path), 0);
    if (journal_recover(f->dir, copy, &r, &e) < 0) {
        fail_msg("%s", e.msg);
    }
    assert_int_equal(r.lost, 0);
    text_deinit(&r.says);
    j = folder_open(f->dir);
    assert_true(what_it_says(j, &n) == f->says);
    journal_close(j);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_bit_that_flips_is_noticed, set_up, tear_down),
        cmocka_unit_test_setup_teardown(it_is_brought_back_with_what_was_thinned, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(a_copy_of_it_is_one_to_go_back_to, set_up, tear_down),
    };

    if (argc > 1 && num_parse_int(argv[1], 1, 10000000, &flips, NULL) < 0) {
        (void)fputs("fault_thinned [FLIPS]\n", stderr);
        return 2;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
