/* The head record: what a power cut or a kill at any moment leaves of it is never less than was
 * told to anybody, and never more than is known. */
#include "daemon/store/head.h"
#include "tests/unit/a_journal.h"

#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>

enum { PLACE = 4096 }; /* bytes from one place to the other */

static struct standing so_far(int64_t entries)
{
    struct standing s = {.written = (uint64_t)entries, .entries = entries, .version = 3};

    s.last.byte[0] = (unsigned char)entries;
    return s;
}

static const char *head_path(const struct fixture *f, char out[128])
{
    (void)snprintf(out, 128, "%s/alone-head", f->dir);
    return out;
}

/* A head record of nothing, open. */
static struct head *a_head(struct fixture *f)
{
    struct standing fresh = so_far(0);
    struct head *h = NULL;
    char path[128];

    (void)snprintf(path, sizeof path, "%s/alone", f->dir); /* whose mode it gets */
    assert_int_equal(close(open(path, O_WRONLY | O_CREAT, 0600)), 0);
    assert_int_equal(head_create(head_path(f, path), NULL, &fresh, &h, &f->e), 0);
    return h;
}

static void tell_group(struct head *h, int64_t entries)
{
    struct standing s = so_far(entries);

    assert_int_equal(head_mean(h, &s, NULL), 0);
    assert_int_equal(head_done(h, &s, NULL), 0);
}

/* What the file says, as it lies there. */
static struct head_says says(struct fixture *f)
{
    struct head_says s = {0};
    char path[128];

    assert_true(head_look(head_path(f, path), &s));
    return s;
}

static void assert_says(struct fixture *f, int64_t sure, int64_t meant)
{
    struct head_says s = says(f);

    assert_int_equal(s.sure.entries, sure);
    assert_int_equal(s.meant.entries, meant);
}

static void a_group_is_meant_first_and_sure_when_it_is_done(void **ctx)
{
    struct fixture *f = *ctx;
    struct head *h = a_head(f);
    struct standing next;

    for (int64_t n = 1; n < 6; n++) {
        next = so_far(n);
        assert_int_equal(head_mean(h, &next, NULL), 0);
        assert_says(f, n - 1, n);
        assert_int_equal(head_done(h, &next, NULL), 0);
        assert_says(f, n, n);
    }
    head_close(h);
}

static void a_group_that_was_not_committed_is_forgotten(void **ctx)
{
    struct fixture *f = *ctx;
    struct head *h = a_head(f);
    struct standing next = so_far(3);
    struct standing now = so_far(2);

    tell_group(h, 2);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(head_mean(h, &next, NULL), 0);
        assert_int_equal(head_undo(h, &now, NULL), 0);
        assert_says(f, 2, 2);
    }
    tell_group(h, 3);
    assert_says(f, 3, 3);
    head_close(h);
}

static void read_place(struct fixture *f, int place, unsigned char out[STANDING_LEN])
{
    char path[128];
    int fd = open(head_path(f, path), O_RDONLY);

    assert_int_equal(pread(fd, out, STANDING_LEN, place * PLACE), STANDING_LEN);
    assert_int_equal(close(fd), 0);
}

static void write_place(struct fixture *f, int place, const unsigned char bytes[STANDING_LEN])
{
    char path[128];
    int fd = open(head_path(f, path), O_WRONLY);

    assert_int_equal(pwrite(fd, bytes, STANDING_LEN, place * PLACE), STANDING_LEN);
    assert_int_equal(close(fd), 0);
}

/* The place that a step writes is torn, keeps what it had, or has what it got: whatever a power cut
 * leaves, what was told to somebody before the step is sure. */
static void assert_sure_whatever_is_left(struct fixture *f, unsigned char before[2][STANDING_LEN],
                                         int64_t told)
{
    for (int place = 0; place < 2; place++) {
        unsigned char now[STANDING_LEN];
        unsigned char torn[STANDING_LEN] = {0};

        read_place(f, place, now);
        if (memcmp(now, before[place], STANDING_LEN) == 0) {
            continue;
        }
        memcpy(torn, now, STANDING_LEN / 2);
        write_place(f, place, torn);
        assert_true(says(f).sure.entries >= told);
        write_place(f, place, before[place]);
        assert_true(says(f).meant.entries >= told);
        write_place(f, place, now);
    }
}

static void a_power_cut_leaves_what_was_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct head *h = a_head(f);
    unsigned char before[2][STANDING_LEN];
    struct standing s;

    for (int64_t n = 1; n < 9; n++) {
        s = so_far(n);
        read_place(f, 0, before[0]);
        read_place(f, 1, before[1]);
        assert_int_equal(head_mean(h, &s, NULL), 0);
        assert_sure_whatever_is_left(f, before, n - 1);
        read_place(f, 0, before[0]);
        read_place(f, 1, before[1]);
        assert_int_equal(head_done(h, &s, NULL), 0); /* it is told from here on */
        assert_sure_whatever_is_left(f, before, n);
        if (n % 3 == 0) {
            assert_int_equal(head_rest(h, NULL), 0);
        }
    }
    head_close(h);
}

/* The journal with a record of two entries more that were meant. */
static void leave_in_the_middle(struct fixture *f)
{
    struct head_says says_now;
    struct head *h = NULL;
    struct standing more;
    char path[128];

    close_it(f);
    (void)snprintf(path, sizeof path, "%s" HEAD_NAME_TAIL, f->file);
    assert_true(head_look(path, &says_now));
    more = says_now.sure;
    more.written++;
    more.entries += 2;
    more.last.byte[0] ^= 1;
    assert_int_equal(head_open(path, NULL, &h, &f->e), 0);
    assert_true(head_read(h, &says_now));
    assert_int_equal(head_mean(h, &more, &f->e), 0);
    head_close(h);
}

static void what_was_on_its_way_and_is_not_there_is_said_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = entry_of(ENTRY_NOTE, "room", at(0, 9), at(0, 9));

    assert_int_equal(write_entries(f, &e, 1), 0);
    reopen(f);
    assert_int_equal(journal_left_off(f->j), 0);
    leave_in_the_middle(f);
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 1);
    assert_int_equal(journal_left_off(f->j), 3);
    e.seq = 0;
    assert_int_equal(write_entries(f, &e, 1), 0);
    reopen(f);
    assert_int_equal(journal_left_off(f->j), 0);
    assert_int_equal(journal_last_seq(f->j), 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_group_is_meant_first_and_sure_when_it_is_done),
        TEST(a_group_that_was_not_committed_is_forgotten),
        TEST(a_power_cut_leaves_what_was_told),
        TEST(what_was_on_its_way_and_is_not_there_is_said_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
