/* Entries may be told late, in any order, and be voided: the fold by (happened, seq) gives the same
 * room. */

#include "daemon/base/text.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/state.h"
#include "daemon/core/state/state_diff.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

enum { N_TOLD = 12 };

static void a_story(struct entry e[N_TOLD])
{
    size_t n = 0;

    e[n++] = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 90);
    e[n++] = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7);
    e[n++] = with(told_at(ENTRY_STARTED, "L1", "leaf", at(1, 9)), FIGURE_EC_MS_CM, 0.7);
    e[n++] = with(told_at(ENTRY_READING, "A1", "", at(9, 9)), FIGURE_VOLUME_L, 17);
    e[n++] = told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(30, 9));
    e[n++] = told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(31, 9));
    e[n++] = told_at(ENTRY_OBSERVATION, "A1", "pale-growth", at(33, 9));
    e[n++] = with(told_at(ENTRY_MIX_MADE, "reservoir", "fruit", at(40, 9)), FIGURE_VOLUME_L, 20);
    e[n - 1] = with(e[n - 1], FIGURE_EC_MS_CM, 1.2);
    e[n++] = told_at(ENTRY_DRAINED, "A1", "", at(40, 10));
    e[n++] = with(told_at(ENTRY_REFILLED, "A1", "fruit", at(40, 11)), FIGURE_EC_MS_CM, 1.2);
    e[n++] = told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(40, 12));
    e[n++] = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(40, 13)), FIGURE_ADDED_L, 80);
    assert_int_equal(n, N_TOLD);
    for (size_t i = 0; i < n; i++) {
        e[i].seq = (int64_t)i + 1;
    }
}

static void the_same_story_gives_the_same_room_to_the_last_bit(void **ctx)
{
    struct room room = a_room();
    struct entry e[N_TOLD];
    struct state a;
    struct state b;
    struct text why = {0};

    (void)ctx;
    a_story(e);
    state_init(&a, &room);
    state_init(&b, &room);
    for (size_t i = 0; i < N_TOLD; i++) {
        struct state copy;

        fold_entry(&a, &room, &e[i]);
        state_copy(&copy, &b); /* b lives through copies, as the daemon's does */
        state_deinit(&b);
        b = copy;
        fold_entry(&b, &room, &e[i]);
        assert_true(state_equal(&a, &b, &room, &why));
    }
    assert_int_equal(a.n_entries, N_TOLD);
    assert_int_equal(a.n_skipped, 0);
    text_deinit(&why);
    state_deinit(&a);
    state_deinit(&b);
    room_deinit(&room);
}

static void leaving_out_a_voided_entry_is_as_if_it_was_never_told(void **ctx)
{
    struct room room = a_room();
    struct entry e[N_TOLD];
    struct state with_mistake;
    struct state without;
    struct entry mistake = with(told_at(ENTRY_READING, "A1", "", at(35, 9)), FIGURE_EC_MS_CM, 4);

    (void)ctx;
    a_story(e);
    state_init(&with_mistake, &room);
    state_init(&without, &room);
    for (size_t i = 0; i < N_TOLD; i++) {
        if (e[i].happened_s > at(35, 9) && with_mistake.n_entries == without.n_entries) {
            fold_entry(&with_mistake, &room, &mistake);
        }
        fold_entry(&with_mistake, &room, &e[i]);
        fold_entry(&without, &room, &e[i]);
    }
    assert_false(state_equal(&with_mistake, &without, &room, NULL));
    state_deinit(&with_mistake);

    state_init(&with_mistake, &room); /* the refold without it */
    for (size_t i = 0; i < N_TOLD; i++) {
        fold_entry(&with_mistake, &room, &e[i]);
    }
    assert_true(state_equal(&with_mistake, &without, &room, NULL));
    state_deinit(&with_mistake);
    state_deinit(&without);
    room_deinit(&room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_story_gives_the_same_room_to_the_last_bit),
        cmocka_unit_test(leaving_out_a_voided_entry_is_as_if_it_was_never_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
