/* same_entry.h - an entry comes back just as it was told. */
#ifndef TARN_TESTS_SAME_ENTRY_H
#define TARN_TESTS_SAME_ENTRY_H

#include "daemon/core/room/entry.h"
#include "tests/cmocka_all.h"

/* Holds every field of the two to each other. */
static inline void assert_same(const struct entry *a, const struct entry *b)
{
    assert_int_equal(a->seq, b->seq);
    assert_int_equal(a->happened_s, b->happened_s);
    assert_int_equal(a->told_s, b->told_s);
    assert_int_equal(a->kind, b->kind);
    assert_string_equal(a->subject, b->subject);
    assert_string_equal(a->what, b->what);
    assert_int_equal(a->has, b->has);
    for (unsigned i = 0; i < FIGURE_N; i++) {
        assert_true(!entry_has(a, i) || a->figure[i] == b->figure[i]);
    }
    assert_int_equal(a->n_amounts, b->n_amounts);
    for (size_t i = 0; i < a->n_amounts; i++) {
        assert_string_equal(a->amount[i].product, b->amount[i].product);
        assert_true(a->amount[i].amount == b->amount[i].amount);
    }
    assert_int_equal(a->until_day, b->until_day);
    assert_int_equal(a->cycle, b->cycle);
    assert_int_equal(a->task, b->task);
    assert_int_equal(a->voids, b->voids);
    assert_int_equal(a->sensor, b->sensor);
    assert_int_equal(a->uid, b->uid);
    assert_string_equal(a->who, b->who);
    assert_string_equal(a->note, b->note);
}

#endif
