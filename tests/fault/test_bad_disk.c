/* Every single operation of the disk fails in its turn, once or from there on, from
 * the first start of the journal to its end: nothing that was acknowledged is lost,
 * and what was not may be told again and is there once. */
#include "daemon/base/err.h"
#include "daemon/store/journal.h"
#include "daemon/store/journal_open.h"
#include "tests/cmocka_all.h"
#include "tests/fault/disk.h"
#include "tests/fault/folder.h"
#include "tests/fault/story.h"

#include <string.h>

#define TOLD       9
#define SETTLES_AT 5 /* the disk rests before this one */
#define TRIES_MOST 4

struct life {
    char dir[FOLDER_MOST];
    struct journal *j; /* NULL: not open */
    size_t acked;
};

/* An error names what failed. */
static void assert_tells(int rc, const struct err *e)
{
    assert_true(rc == ERR_STORE || rc == ERR_FULL);
    assert_true(strlen(e->msg) > 10);
}

static bool is_open(struct life *l)
{
    struct err e = {0};
    int rc = l->j ? 0 : journal_open_with(l->dir, DISK_VFS, &l->j, &e);

    if (rc < 0) {
        l->j = NULL;
        assert_tells(rc, &e);
    }
    return rc == 0;
}

static void shut(struct life *l)
{
    journal_close(l->j);
    l->j = NULL;
}

/* As the daemon does it: after a full disk it tries again, after any other failure it
 * starts anew, and who told something asks then whether it is there. */
static bool tell(struct life *l, size_t k)
{
    for (int n = 0; n < TRIES_MOST; n++) {
        struct err e = {0};
        int rc;

        if (!is_open(l)) {
            continue;
        }
        rc = story_has(l->j, k, &e);
        if (rc == 0) {
            rc = story_tell(l->j, k, &e);
            rc = rc == 0 ? 1 : rc;
        }
        if (rc == 1) {
            l->acked++;
            return true;
        }
        assert_tells(rc, &e);
        if (rc != ERR_FULL) {
            shut(l);
        }
    }
    return false;
}

static void live(struct life *l)
{
    struct err e = {0};

    for (size_t k = 0; k < TOLD && l->acked == k; k++) {
        int rc = k == SETTLES_AT && is_open(l) ? journal_checkpoint(l->j, &e) : 0;

        if (rc < 0) {
            assert_tells(rc, &e);
        }
        (void)tell(l, k);
    }
    shut(l);
}

/* The disk is well again: what is left? */
static void look(struct life *l)
{
    size_t kept;

    disk_heal();
    assert_true(is_open(l));
    kept = story_assert_kept(l->j, l->acked);
    assert_true(kept <= l->acked + 1);
    while (l->acked < TOLD) {
        assert_true(tell(l, l->acked));
    }
    assert_int_equal(story_assert_kept(l->j, TOLD), TOLD);
    shut(l);
}

/* Returns false when there is no such operation in a whole life. */
static bool life_with(enum disk_fault how, size_t nth, bool for_ever)
{
    struct life l = {0};
    bool met;

    folder_make(l.dir);
    disk_init();
    disk_fail(how, nth, for_ever);
    live(&l);
    met = disk_has_failed();
    if (met && !for_ever) {
        assert_int_equal(l.acked, TOLD); /* once: all of it was told in the end */
    }
    look(&l);
    disk_deinit();
    folder_remove(l.dir);
    return met;
}

static void lives_with(enum disk_fault how, bool for_ever)
{
    size_t nth = 0;

    while (life_with(how, nth, for_ever)) {
        nth++;
    }
    assert_true(nth > 2 * (size_t)TOLD);
    print_message("%zu operations failed in their turn\n", nth);
}

static void an_error_of_the_disk_loses_nothing(void **ctx)
{
    (void)ctx;
    lives_with(DISK_IO_ERROR, false);
    lives_with(DISK_IO_ERROR, true);
}

static void a_full_disk_loses_nothing(void **ctx)
{
    (void)ctx;
    lives_with(DISK_IS_FULL, false);
    lives_with(DISK_IS_FULL, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_error_of_the_disk_loses_nothing),
        cmocka_unit_test(a_full_disk_loses_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
