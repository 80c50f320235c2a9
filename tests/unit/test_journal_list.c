/* The journal's lists: what is in a page, and what it costs to find. */
#include "daemon/store/journal_inside.h"
#include "tests/unit/a_journal.h"

static void a_list_is_read_page_by_page(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[7];
    struct journal_query q = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 3};
    struct journal_row *row = NULL;
    int64_t next = 1;
    size_t n = 3;

    for (int i = 0; i < 7; i++) {
        e[i] = told_at(ENTRY_NOTE, "A1", "", at(1, 9)); /* all at one instant: the number decides */
    }
    assert_int_equal(write_entries(f, e, 7), 0);
    while (n == 3) {
        assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(row[i].entry.seq, next++);
        }
        q.after_happened_s = row[n - 1].entry.happened_s;
        q.after_seq = row[n - 1].entry.seq;
        free(row);
    }
    assert_int_equal(next, 8);
}

static void a_list_is_of_one_thing_and_a_span(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[4] = {
        told_at(ENTRY_NOTE, "A1", "", at(1, 9)), told_at(ENTRY_NOTE, "A2", "", at(2, 9)),
        told_at(ENTRY_NOTE, "A1", "", at(3, 9)), told_at(ENTRY_NOTE, "A1", "", at(4, 9))};
    struct journal_part a1 = journal_part_of("A1");
    struct journal_query q = {.part = &a1,
                              .n_parts = 1,
                              .since_s = at(1, 9),
                              .until_s = at(4, 9),
                              .limit = 9,
                              .newest_first = true};
    struct journal_row *row = NULL;
    size_t n = 0;

    assert_int_equal(write_entries(f, e, 4), 0);
    assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
    assert_int_equal(n, 2); /* the end of the span is not in it */
    assert_int_equal(row[0].entry.seq, 3);
    assert_int_equal(row[1].entry.seq, 1);
    free(row);
}

/* A plant stood in A1 up to entry 3, and stands in A2 since. */
static void a_list_is_of_parts_of_what_was_told(void **ctx)
{
    static const char *const of[] = {"A1", "A2", "A1", "A1", "A2", "A2"};
    struct fixture *f = *ctx;
    struct entry e[6];
    struct journal_part part[2] = {journal_part_of("A2"), journal_part_of("A1")};
    struct journal_query q = {
        .part = part, .n_parts = 2, .since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 9};
    struct journal_row *row = NULL;
    size_t n = 0;

    for (size_t i = 0; i < 6; i++) { /* all but the last in the same second */
        e[i] = told_at(ENTRY_NOTE, of[i], "", at(i < 5 ? 1 : 2, 9));
    }
    assert_int_equal(write_entries(f, e, 6), 0);
    part[0].from_s = part[1].to_s = at(1, 9);
    part[0].from_seq = part[1].to_seq = 3;
    assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
    assert_int_equal(n, 4);
    assert_int_equal(row[0].entry.seq, 1);
    assert_int_equal(row[1].entry.seq, 3);
    assert_int_equal(row[2].entry.seq, 5);
    assert_int_equal(row[3].entry.seq, 6);
    free(row);
}

static void a_listed_entry_is_whole(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e[2] = {a_full_entry(ENTRY_MIX_MADE), told_at(ENTRY_NOTE, "A1", "", at(99, 9))};
    struct journal_query all = {.since_s = INT64_MIN, .until_s = INT64_MAX, .limit = 10};
    struct journal_row *row = NULL;
    size_t n = 0;

    assert_int_equal(write_entries(f, e, 2), 0);
    assert_int_equal(journal_list(f->j, &all, &row, &n, &f->e), 0);
    assert_int_equal(n, 2);
    assert_same(&e[0], &row[0].entry);
    assert_same(&e[1], &row[1].entry);
    free(row);
}

static int count_step(void *n)
{
    ++*(int64_t *)n;
    return 0;
}

/* Instructions of SQLite's machine for a page of the list behind an entry. */
static int64_t steps_of_page(struct fixture *f, const char *of, const char *or_of,
                             const struct entry *after)
{
    struct journal_part part[2] = {journal_part_of(of ?: ""), journal_part_of(or_of ?: "")};
    struct journal_query q = {.part = part,
                              .n_parts = of ? 2 : 0,
                              .since_s = INT64_MIN,
                              .until_s = INT64_MAX,
                              .after_happened_s = after->happened_s,
                              .after_seq = after->seq,
                              .limit = 20};
    struct journal_row *row = NULL;
    size_t n = 0;
    int64_t steps = 0;

    sqlite3_progress_handler(f->j->db, 1, count_step, &steps);
    assert_int_equal(journal_list(f->j, &q, &row, &n, &f->e), 0);
    sqlite3_progress_handler(f->j->db, 0, NULL, NULL);
    assert_int_equal(n, 20);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(row[i].entry.seq, after->seq + 1 + (int64_t)i);
    }
    free(row);
    return steps;
}

static bool stop_at_once(void *ctx, const struct entry *e)
{
    *(int64_t *)ctx = e->seq;
    return false;
}

static int64_t steps_to_fold_on(struct fixture *f, const struct entry *after)
{
    int64_t steps = 0;
    int64_t seq = 0;

    sqlite3_progress_handler(f->j->db, 1, count_step, &steps);
    assert_int_equal(
        journal_fold_after(f->j, after->happened_s, after->seq, stop_at_once, &seq, &f->e), 0);
    sqlite3_progress_handler(f->j->db, 0, NULL, NULL);
    assert_int_equal(seq, after->seq + 1);
    return steps;
}

/* A journal of years is listed page by page, and folded part by part: each has to cost as much as
 * the first, also of a container that had another name. */
static void costs_as_much_as_the_first(struct fixture *f, int64_t apart_s)
{
    static const struct entry none = {0};
    struct entry e[1000];
    int64_t first;

    for (size_t i = 0; i < 1000; i++) {
        e[i] = told_at(ENTRY_NOTE, i % 2 ? "A1" : "A2", "", at(1, 9) + apart_s * (int64_t)i);
    }
    assert_int_equal(write_entries(f, e, 1000), 0);
    first = steps_of_page(f, NULL, NULL, &none);
    assert_true(steps_of_page(f, NULL, NULL, &e[899]) < 2 * first);
    assert_true(steps_of_page(f, "A1", "A2", &none) < 2 * first);
    assert_true(steps_of_page(f, "A1", "A2", &e[899]) < 2 * first);
    assert_true(steps_to_fold_on(f, &e[899]) < first);
}

static void a_page_is_found_without_reading_those_before_it(void **ctx)
{
    costs_as_much_as_the_first(*ctx, 1);
}

/* As sensors tell them. */
static void a_page_is_found_among_many_of_the_same_second(void **ctx)
{
    costs_as_much_as_the_first(*ctx, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_list_is_read_page_by_page),
        TEST(a_list_is_of_one_thing_and_a_span),
        TEST(a_list_is_of_parts_of_what_was_told),
        TEST(a_listed_entry_is_whole),
        TEST(a_page_is_found_without_reading_those_before_it),
        TEST(a_page_is_found_among_many_of_the_same_second),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
