#include "tests/fault/story.h"

#include "daemon/base/err.h"
#include "tests/unit/a_room.h"
#include "tests/unit/same_entry.h"

#include <stdio.h>

static void key_of(size_t k, char *key, size_t len)
{
    (void)snprintf(key, len, "told-%zu", k);
}

size_t story_entries(size_t k, struct entry out[STORY_MOST_ENTRIES])
{
    size_t n = 1 + k % STORY_MOST_ENTRIES;

    for (size_t i = 0; i < n; i++) {
        out[i] = with(with(told_at(ENTRY_READING, "A1", "", at((int)k, 8)), FIGURE_PH,
                           5.5 + 0.1 * (double)(k % 10)),
                      FIGURE_EC_MS_CM, 1 + 0.01 * (double)k + 0.1 * (double)i);
        (void)snprintf(out[i].note, sizeof out[i].note, "transaction %zu, leaf %zu", k, i);
    }
    key_of(k, out[0].key, sizeof out[0].key);
    if (k % 4 == 0) {
        out[0].amount[0] =
            (struct amount){.product = "calcium-part", .amount = 1.5 * (double)(k + 1)};
        out[0].n_amounts = 1;
    }
    return n;
}

int story_tell(struct journal *j, size_t k, struct err *e)
{
    struct entry entry[STORY_MOST_ENTRIES];
    struct journal_batch b = {.entry = entry, .day_started = 20513 + (int32_t)k};

    b.n_entries = story_entries(k, entry);
    return journal_write(j, &b, e);
}

int story_has(struct journal *j, size_t k, struct err *e)
{
    struct entry entry[STORY_MOST_ENTRIES];
    int64_t first;
    int64_t last;

    (void)story_entries(k, entry);
    return journal_find_key(j, entry[0].key, &first, &last, e);
}

/* Reading along: the entry that is due. */
struct reading {
    struct entry due[STORY_MOST_ENTRIES];
    size_t n, i, whole;
    int64_t seq;
};

static bool compare(void *ctx, const struct entry *got)
{
    struct reading *r = ctx;
    struct entry *due;

    if (r->i == r->n) {
        r->n = story_entries(r->whole, r->due);
        r->i = 0;
    }
    due = &r->due[r->i++];
    due->seq = ++r->seq;
    assert_same(due, got);
    r->whole += r->i == r->n;
    return true;
}

size_t story_assert_kept(struct journal *j, size_t least)
{
    struct reading r = {0};
    struct err e = {0};

    assert_int_equal(journal_fold(j, compare, &r, &e), 0);
    assert_int_equal(r.i, r.n); /* none is there by half */
    assert_int_equal(r.seq, journal_last_seq(j));
    assert_true(r.whole >= least);
    if (r.whole > 0) {
        assert_int_equal(journal_day_started(j), 20513 + (int32_t)r.whole - 1);
    }
    return r.whole;
}
