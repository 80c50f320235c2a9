/* The record of what happened: nothing told is lost, changed or told twice. */
#include "daemon/store/journal_inside.h"
#include "tests/unit/a_journal.h"

#include <string.h>
#include <sys/stat.h>

static void every_kind_comes_back_as_it_was_told(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry told[ENTRY_KIND_N];
    struct kept *k;
    size_t n = 0;

    for (int kind = 0; kind < ENTRY_KIND_N; kind++) {
        if (kind != ENTRY_VOIDED) {
            told[n++] = a_full_entry(kind);
        }
    }
    assert_int_equal(write_entries(f, told, n), 0);
    reopen(f);
    k = fold(f);
    assert_int_equal(k->n, n);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(told[i].seq, i + 1);
        assert_same(&told[i], &k->entry[i]);
    }
    assert_int_equal(journal_last_seq(f->j), n);
    free(k);
}

/* What was not told is not zero, and is not what the entry before it said. */
static void a_bare_entry_stays_bare_behind_a_full_one(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[2] = {a_full_entry(ENTRY_STARTED),
                         entry_of(ENTRY_NOTE, "A2", at(9, 9), at(9, 9))};
    struct kept *k;

    assert_int_equal(write_entries(f, e, 2), 0);
    k = fold(f);
    assert_same(&e[1], &k->entry[1]);
    assert_int_equal(k->entry[1].has, 0);
    assert_int_equal(k->entry[1].until_day, DAY_NONE);
    assert_int_equal(k->entry[1].n_amounts, 0);
    for (unsigned i = 0; i < FIGURE_N; i++) {
        assert_true(k->entry[1].figure[i] == 0);
    }
    free(k);
    close_it(f);
    assert_sql_says(f,
                    "SELECT count(*) FROM entry WHERE seq = 2 AND coalesce(what, ph, ec_ms_cm,"
                    " until_day, task, voids, note) IS NULL",
                    "1");
}

static void the_fold_goes_by_when_it_happened(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(5, 9)),
                         told_at(ENTRY_NOTE, "A1", "", at(2, 9)), /* told late */
                         told_at(ENTRY_NOTE, "A1", "", at(5, 9))};
    struct kept *k;

    assert_int_equal(write_entries(f, e, 3), 0);
    k = fold(f);
    assert_int_equal(k->entry[0].seq, 2);
    assert_int_equal(k->entry[1].seq, 1);
    assert_int_equal(k->entry[2].seq, 3);
    free(k);
    k = fold_most(f, 2); /* who has seen enough says so */
    assert_int_equal(k->n, 2);
    free(k);
}

static void a_voided_entry_is_listed_and_left_out_of_the_fold(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(1, 9)),
                         told_at(ENTRY_NOTE, "A2", "", at(2, 9)),
                         told_at(ENTRY_VOIDED, "A1", "", at(3, 9))};
    struct journal_query all = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 10};
    struct journal_row *row = NULL;
    struct kept *k;
    size_t n = 0;

    e[2].voids = 1;
    assert_int_equal(write_entries(f, e, 3), 0);
    k = fold(f);
    assert_int_equal(k->n, 1);
    assert_int_equal(k->entry[0].seq, 2);
    assert_int_equal(journal_list(f->j, &all, &row, &n, &f->e), 0);
    assert_int_equal(n, 3);
    assert_true(row[0].voided);
    assert_false(row[1].voided);
    assert_false(row[2].voided);
    assert_int_equal(row[2].entry.voids, 1);
    free(row);
    free(k);
}

static void one_entry_is_found_by_its_number(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {a_full_entry(ENTRY_PH_ADJUSTED), told_at(ENTRY_NOTE, "A2", "", at(40, 9)),
                         told_at(ENTRY_VOIDED, "A2", "", at(41, 9))};
    struct journal_row row;

    e[2].voids = 2;
    memset(&row, 0x5A, sizeof row); /* whatever was there before */
    assert_int_equal(write_entries(f, e, 3), 0);
    assert_int_equal(journal_get(f->j, 1, &row, &f->e), 0);
    assert_string_equal(row.entry.key, "");
    assert_same(&e[0], &row.entry);
    assert_false(row.voided);
    assert_int_equal(journal_get(f->j, 2, &row, &f->e), 0);
    assert_same(&e[1], &row.entry);
    assert_true(row.voided);
    assert_int_equal(journal_get(f->j, 4, &row, &f->e), ERR_UNKNOWN);
    assert_string_equal(f->e.msg, "there is no entry 4");
}

static void a_clients_key_finds_what_was_told_with_it(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[4] = {
        told_at(ENTRY_NOTE, "A1", "", at(1, 9)), told_at(ENTRY_NOTE, "A2", "", at(1, 9)),
        told_at(ENTRY_NOTE, "A3", "", at(1, 9)), told_at(ENTRY_NOTE, "A3", "", at(1, 9))};
    int64_t first = 0;
    int64_t last = 0;

    name_it(e[1].key, sizeof e[1].key, "k1");
    name_it(e[2].key, sizeof e[2].key, "k1");
    name_it(e[3].key, sizeof e[3].key, "k3");
    assert_int_equal(write_entries(f, e, 4), 0);
    reopen(f);
    assert_int_equal(journal_find_key(f->j, "k1", &first, &last, &f->e), 1);
    assert_int_equal(first, 2);
    assert_int_equal(last, 3);
    assert_int_equal(journal_find_key(f->j, "k3", &first, &last, &f->e), 1);
    assert_int_equal(first, 4);
    assert_int_equal(last, 4);
    assert_int_equal(journal_find_key(f->j, "k2", &first, &last, &f->e), 0);
}

static void a_number_out_of_turn_is_refused_and_nothing_is_written(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 9));

    e.seq = 5;
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE);
    assert_string_equal(f->e.msg, "entry 5 comes where 1 is due");
    e.seq = 1;
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE);
    assert_string_equal(f->e.msg, "the journal failed before; tarnd has to be started again");
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 0);
    assert_int_equal(write_entries(f, &e, 1), 0);
    e.seq = 2;
    assert_int_equal(write_entries(f, &e, 1), 0); /* numbers go on from group to group */
    assert_int_equal(journal_last_seq(f->j), 2);
}

/* Each of these would leave something that cannot be read back; one of them in a group spoils the
 * whole group, the day included. */
static void a_group_is_in_the_file_whole_or_not_at_all(void **ctx)
{
    struct fixture *f = *ctx;

    for (int fault = 0; fault < 4; fault++) {
        struct entry e[2] = {told_at(ENTRY_NOTE, "A1", "", at(1, 9)), a_full_entry(ENTRY_MIX_MADE)};
        struct journal_batch b = {.entry = e, .n_entries = 2, .day_started = 20551};
        struct kept *k;

        switch (fault) {
        case 0:
            e[1].amount[3].amount = -1; /* an amount is taken from a stock */
            break;
        case 1:
            e[1].kind = ENTRY_VOIDED; /* … of which entry? */
            break;
        case 2:
            e[1].voids = 1; /* only a voiding voids */
            break;
        default:
            e[1].kind = ENTRY_VOIDED;
            e[1].voids = 77; /* there is none */
            break;
        }
        assert_int_equal(journal_write(f->j, &b, &f->e), ERR_STORE);
        assert_non_null(strstr(f->e.msg, "the journal failed: "));
        assert_int_equal(journal_last_seq(f->j), 0);
        assert_int_equal(journal_latest_told_s(f->j), 0);
        assert_int_equal(journal_day_started(f->j), DAY_NONE);
        reopen(f);
        assert_int_equal(journal_last_seq(f->j), 0);
        assert_int_equal(journal_day_started(f->j), DAY_NONE);
        k = fold(f);
        assert_int_equal(k->n, 0);
        free(k);
    }
}

static void an_entry_is_voided_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(1, 9)),
                         told_at(ENTRY_VOIDED, "A1", "", at(2, 9)),
                         told_at(ENTRY_VOIDED, "A1", "", at(3, 9))};

    e[1].voids = 1;
    e[2].voids = 1;
    assert_int_equal(write_entries(f, e, 3), ERR_STORE);
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 0);
}

/* The clock must not go back behind the latest of them when it is set. */
static void the_latest_instant_of_telling_is_known(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[3] = {told_at(ENTRY_NOTE, "A1", "", at(3, 9)),
                         told_at(ENTRY_NOTE, "A1", "", at(8, 9)),
                         told_at(ENTRY_NOTE, "A1", "", at(5, 9))};
    struct entry earlier = told_at(ENTRY_NOTE, "A1", "", at(4, 9));

    assert_int_equal(journal_latest_told_s(f->j), 0);
    assert_int_equal(write_entries(f, e, 3), 0);
    assert_int_equal(journal_latest_told_s(f->j), at(8, 9));
    assert_int_equal(write_entries(f, &earlier, 1), 0);
    assert_int_equal(journal_latest_told_s(f->j), at(8, 9));
    reopen(f);
    assert_int_equal(journal_latest_told_s(f->j), at(8, 9));
}

static void the_day_stays_until_another_is_started(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(3, 9));
    struct journal_batch day = {.day_started = 20551};
    struct journal_batch next = {.day_started = 20552};

    assert_int_equal(journal_day_started(f->j), DAY_NONE);
    assert_int_equal(journal_write(f->j, &day, &f->e), 0);
    assert_int_equal(write_entries(f, &e, 1), 0);
    assert_int_equal(journal_day_started(f->j), 20551);
    assert_int_equal(journal_last_seq(f->j), 1);
    reopen(f);
    assert_int_equal(journal_day_started(f->j), 20551);
    assert_int_equal(journal_write(f->j, &next, &f->e), 0);
    assert_int_equal(journal_day_started(f->j), 20552);
    reopen(f);
    assert_int_equal(journal_day_started(f->j), 20552);
}

static void what_was_told_is_neither_changed_nor_deleted(void **ctx)
{
    static const char *const tried[][2] = {
        {"UPDATE entry SET ph = 5",      "an entry is never changed; void it"},
        {"DELETE FROM entry",            "an entry is never deleted; void it"},
        {"UPDATE amount SET amount = 1", "an entry is never changed; void it"},
        {"DELETE FROM amount",           "an entry is never deleted; void it"},
    };
    struct fixture *f = *ctx;
    struct entry e = a_full_entry(ENTRY_MIX_MADE);
    char said[160];

    assert_int_equal(write_entries(f, &e, 1), 0);
    close_it(f);
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
        assert_int_not_equal(run_sql(f, tried[i][0], said), SQLITE_OK);
        assert_string_equal(said, tried[i][1]);
    }
}

/* As a newer program would have written it: it would be folded without what it says. */
static void an_entry_of_a_kind_that_is_not_known_is_no_entry_to_skip(void **ctx)
{
    struct fixture *f = *ctx;

    close_it(f);
    assert_sql_says(f,
                    "INSERT INTO entry (seq, happened_s, told_s, kind, subject, n_amounts, cycle,"
                    " uid, who) VALUES (1, 5, 5, 'grafted', 'A1', 0, 0, 0, '')",
                    "");
    assert_int_equal(seal_anew(f), ERR_STORE);
    assert_string_equal(f->e.msg, "entry 1 is of a kind this program does not know");
}

static void takes_nothing_and_may_be_tried_again(struct fixture *f, int error, const char *says)
{
    struct entry e[2] = {a_full_entry(ENTRY_STARTED), a_full_entry(ENTRY_READING)};
    struct kept *k;

    assert_int_equal(write_entries(f, &e[0], 1), 0);
    break_writes(error);
    assert_int_equal(write_entries(f, &e[1], 1), ERR_FULL);
    assert_int_equal(journal_probe(f->j, &f->e), ERR_FULL);
    assert_non_null(strstr(f->e.msg, says));
    k = fold(f); /* reading goes on */
    assert_int_equal(k->n, 1);
    free(k);
    break_writes(0);
    assert_int_equal(journal_probe(f->j, &f->e), 0);
    assert_int_equal(write_entries(f, &e[1], 1), 0);
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 2);
}

static void a_full_disk_takes_nothing_and_may_be_tried_again(void **ctx)
{
    takes_nothing_and_may_be_tried_again(*ctx, ENOSPC, "the disk is full");
}

static void a_quota_that_is_used_up_is_a_full_disk(void **ctx)
{
    takes_nothing_and_may_be_tried_again(*ctx, EDQUOT, "the quota of the disk is used up");
}

static void after_an_error_of_the_disk_nothing_more_is_written(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_full_entry(ENTRY_STARTED);

    break_writes(EIO);
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE);
    assert_non_null(strstr(f->e.msg, "the disk failed"));
    assert_int_equal(journal_probe(f->j, &f->e), ERR_STORE);
    break_writes(0);
    assert_int_equal(write_entries(f, &e, 1), ERR_STORE);
    assert_string_equal(f->e.msg, "the journal failed before; tarnd has to be started again");
    reopen(f);
    assert_int_equal(write_entries(f, &e, 1), 0);
}

static off_t size_of_log(const struct fixture *f)
{
    char log[sizeof f->file + 8];
    struct stat st;

    (void)snprintf(log, sizeof log, "%s-wal", f->file);
    assert_int_equal(stat(log, &st), 0);
    return st.st_size;
}

static void a_checkpoint_empties_the_log_into_the_file(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = a_full_entry(ENTRY_STARTED);

    assert_int_equal(write_entries(f, &e, 1), 0);
    assert_true(size_of_log(f) > 0);
    assert_int_equal(journal_checkpoint(f->j, &f->e), 0);
    assert_int_equal(size_of_log(f), 0);
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(every_kind_comes_back_as_it_was_told),
        TEST(a_bare_entry_stays_bare_behind_a_full_one),
        TEST(the_fold_goes_by_when_it_happened),
        TEST(a_voided_entry_is_listed_and_left_out_of_the_fold),
        TEST(one_entry_is_found_by_its_number),
        TEST(a_clients_key_finds_what_was_told_with_it),
        TEST(a_number_out_of_turn_is_refused_and_nothing_is_written),
        TEST(a_group_is_in_the_file_whole_or_not_at_all),
        TEST(an_entry_is_voided_once),
        TEST(the_latest_instant_of_telling_is_known),
        TEST(the_day_stays_until_another_is_started),
        TEST(what_was_told_is_neither_changed_nor_deleted),
        TEST(an_entry_of_a_kind_that_is_not_known_is_no_entry_to_skip),
        TEST(a_full_disk_takes_nothing_and_may_be_tried_again),
        TEST(a_quota_that_is_used_up_is_a_full_disk),
        TEST(after_an_error_of_the_disk_nothing_more_is_written),
        TEST(a_checkpoint_empties_the_log_into_the_file),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
