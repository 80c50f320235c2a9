/* Sensors' readings that are old go, but for those that ever counted: the state is the same to the
 * last bit, nothing that a person told is touched, and the journal is whole by its seals. */
#include "daemon/store/thinning.h"

#include "daemon/base/text.h"
#include "daemon/core/state/fold.h"
#include "daemon/serve/live/journal_find.h"
#include "daemon/serve/live/journal_job.h"
#include "tests/sim/dice.h"
#include "tests/unit/a_journal.h"

#include <string.h>

/* ---- a journal of sensors and people */

static size_t below(struct dice *d, size_t n)
{
    return (size_t)(dice_even(d) * (double)n);
}

static struct entry sensed(const char *subject, int64_t at_s, double ph)
{
    struct entry e = with(told_at(ENTRY_READING, subject, "", at_s), FIGURE_PH, ph);

    e.sensor = true;
    return e;
}

/* A reading every few minutes: most a sensor's, some late, some of a thing that the room does not
 * have; some are voided afterwards. */
static void tell_a_day(struct fixture *f, uint64_t seed)
{
    static const char *const subjects[] = {"A1", "A2", "reservoir", "gone"};
    struct dice d = dice_of(seed, 17, 0, 0);
    struct entry start = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 0)), FIGURE_VOLUME_L, 18);
    int64_t now_s = at(0, 0);

    assert_int_equal(write_entries(f, &start, 1), 0);
    for (int i = 0; i < 400; i++) {
        struct entry e = sensed(subjects[below(&d, 4)], now_s, 5.5 + dice_even(&d));

        now_s += (int64_t)below(&d, 600);
        e.told_s = now_s;
        e.happened_s = now_s - (below(&d, 10) == 0 ? 5400 : 0);
        e.sensor = below(&d, 6) != 0;
        if (below(&d, 3) == 0) {
            e = with(e, FIGURE_EC_MS_CM, 1 + dice_even(&d));
        }
        if (below(&d, 30) == 0) {
            name_it(e.note, sizeof e.note, "stirred");
        }
        assert_int_equal(write_entries(f, &e, 1), 0);
        if (below(&d, 25) == 0) {
            struct entry gone = told_at(ENTRY_VOIDED, "room", "", now_s);

            gone.voids = journal_last_seq(f->j);
            assert_int_equal(write_entries(f, &gone, 1), 0);
        }
    }
}

struct folding {
    struct fixture *f;
    struct state state;
    int people;
};

static bool fold_one(void *ctx, const struct entry *e)
{
    struct folding *to = ctx;

    fold_entry(&to->state, &to->f->room, e);
    to->people += !e->sensor;
    return true;
}

static struct folding fold_all(struct fixture *f)
{
    struct folding to = {.f = f};

    state_init(&to.state, &f->room);
    assert_int_equal(journal_fold(f->j, fold_one, &to, &f->e), 0);
    return to;
}

static int64_t thin(struct fixture *f, int64_t until_s)
{
    struct thinning t;
    bool done = false;
    int64_t gone;

    assert_int_equal(thinning_begin(&t, f->j, INT64_MIN, until_s, &f->e), 0);
    while (!done) {
        if (thinning_some(&t, f->j, 7, &done, &f->e) < 0) {
            fail_msg("%s", f->e.msg);
        }
    }
    gone = t.n_gone;
    thinning_deinit(&t);
    return gone;
}

static void assert_whole(struct fixture *f)
{
    bool done = false;

    reopen(f);
    while (!done) {
        if (journal_check_some(f->j, 5, &done, &f->e) < 0) {
            fail_msg("%s", f->e.msg);
        }
    }
}

static int64_t count(struct fixture *f)
{
    struct journal_query q = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 100000};
    struct journal_row *row;
    size_t n;

    assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
    free(row);
    return (int64_t)n;
}

/* ---- what holds */

static void assert_thinning_changes_no_state(uint64_t seed)
{
    void *ctx = NULL;
    struct fixture *f;
    struct folding before;
    struct folding after;
    struct text why = {0};
    int64_t n;
    int64_t gone;

    if (set_up(&ctx) < 0 || !ctx) {
        fail();
        return;
    }
    f = ctx;
    tell_a_day(f, seed);
    before = fold_all(f);
    n = count(f);
    gone = thin(f, at(90, 0));
    assert_true(gone > 100);
    assert_int_equal(count(f), n - gone);
    assert_whole(f);
    after = fold_all(f);
    if (!state_equal(&before.state, &after.state, &why)) {
        fail_msg("seed %d: %s", (int)seed, text_str(&why));
    }
    assert_int_equal(before.people, after.people);
    assert_int_equal(thin(f, at(90, 0)), 0); /* once is enough */
    state_deinit(&before.state);
    state_deinit(&after.state);
    text_deinit(&why);
    assert_int_equal(tear_down(&ctx), 0);
}

static void the_state_is_the_same_to_the_last_bit(void **ctx)
{
    (void)ctx;
    for (uint64_t seed = 1; seed <= 5; seed++) {
        assert_thinning_changes_no_state(seed);
    }
}

static void what_is_young_stays_and_so_does_the_last_hour(void **ctx)
{
    struct fixture *f = *ctx;

    for (int i = 0; i < 6; i++) {
        struct entry e = sensed("A1", at(0, 8) + 600LL * i, 5.8);

        assert_int_equal(write_entries(f, &e, 1), 0);
    }
    assert_int_equal(thin(f, at(90, 0)), 0); /* nothing happened since */
    for (int i = 0; i < 3; i++) {
        struct entry e = sensed("A1", at(0, 9) + 600LL * i, 5.8);

        assert_int_equal(write_entries(f, &e, 1), 0);
    }
    assert_int_equal(thin(f, at(0, 9) - 1), 0);
    assert_int_equal(thin(f, at(0, 9)), 5);
    assert_whole(f);
}

static void one_that_was_told_late_is_kept_as_long_as_others(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {sensed("A1", at(0, 8), 5.8), sensed("A1", at(0, 8) + 60, 5.8),
                         told_at(ENTRY_NOTE, "A1", "", at(60, 9))};

    e[1].told_s = at(50, 0);
    assert_int_equal(write_entries(f, e, 3), 0);
    assert_int_equal(thin(f, at(49, 0)), 0);
    assert_int_equal(thin(f, at(51, 0)), 1);
    assert_whole(f);
}

static void what_is_gone_says_so(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[4] = {sensed("A1", at(0, 8), 5.8), sensed("A1", at(0, 8) + 60, 5.8),
                         sensed("A1", at(0, 8) + 90, 5.8),
                         told_at(ENTRY_NOTE, "A1", "", at(60, 9))};
    struct journal_row row;
    struct journal_job job = {0};

    name_it(e[1].key, sizeof e[1].key, "k-1");
    name_it(e[2].key, sizeof e[2].key, "k-1");
    assert_int_equal(write_entries(f, e, 4), 0);
    assert_int_equal(thin(f, at(50, 0)), 2);
    assert_int_equal(journal_get(f->j, 2, &row, &f->e), ERR_UNKNOWN);
    assert_string_equal(f->e.msg, "entry 2 was a sensor's reading, and is thinned: the first of "
                                  "its hour stands for it");
    /* A request that is sent again is not told twice. */
    name_it(job.key, sizeof job.key, "k-1");
    journal_find_told(f->j, &job);
    assert_int_equal(job.rc, ERR_REFUSED);
    free(job.row);
    /* What a user told last is found behind it. */
    job = (struct journal_job){.uid = e[3].uid};
    journal_find_last(f->j, &job);
    assert_int_equal(job.rc, 0);
    assert_int_equal(job.n_rows, 1);
    assert_int_equal(job.row[0].entry.seq, 4);
    free(job.row);
}

static void what_a_person_told_cannot_be_deleted(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[2] = {told_at(ENTRY_NOTE, "A1", "", at(0, 8)), sensed("A1", at(0, 9), 5.8)};
    char said[160];

    assert_int_equal(write_entries(f, e, 2), 0);
    close_it(f);
    assert_int_equal(run_sql(f,
                             "INSERT INTO thinned VALUES (1, 1, randomblob(32));"
                             "DELETE FROM entry WHERE seq = 1",
                             said),
                     SQLITE_CONSTRAINT);
    assert_string_equal(said, "an entry is never deleted; void it");
    assert_int_equal(run_sql(f, "DELETE FROM entry WHERE seq = 2", said), SQLITE_CONSTRAINT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_state_is_the_same_to_the_last_bit),
        TEST(what_is_young_stays_and_so_does_the_last_hour),
        TEST(one_that_was_told_late_is_kept_as_long_as_others),
        TEST(what_is_gone_says_so),
        TEST(what_a_person_told_cannot_be_deleted),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
