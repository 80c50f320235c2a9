/* Entries may be told late, in any order, and be taken back: the fold by (happened, number),
 * without the voided, gives the room in which all was told in time and nothing by mistake. */
#include "daemon/base/text.h"
#include "tests/unit/a_story.h"

enum { N_TOLD = 14, TOLD_MAX = 32 };

/* All numbers are used, so that those of a late telling can be given to it. */
static void a_story(struct entry e[N_TOLD])
{
    size_t n = 0;

    e[n++] = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 90);
    e[n++] = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7);
    e[n++] = with(told_at(ENTRY_STARTED, "L1", "leaf", at(1, 9)), FIGURE_EC_MS_CM, 0.7);
    e[n++] = with(told_at(ENTRY_READING, "A1", "", at(9, 9)), FIGURE_VOLUME_L, 17.9);
    e[n++] = with(told_at(ENTRY_READING, "A1", "", at(25, 9)), FIGURE_VOLUME_L, 16.4);
    e[n++] = with(told_at(ENTRY_READING, "A1", "", at(28, 9)), FIGURE_EC_MS_CM, 0.6);
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
}

/* Keeps what was told as the daemon does: what comes in time is folded in; after a late entry, or
 * one that is taken back, all is folded anew. */
struct teller {
    struct room room;
    struct entry told[TOLD_MAX];
    bool voided[TOLD_MAX];
    size_t n;
    struct state s;
};

static void begin(struct teller *t)
{
    memset(t, 0, sizeof *t);
    t->room = a_room();
    state_init(&t->s, &t->room);
}

static void end(struct teller *t)
{
    state_deinit(&t->s);
    room_deinit(&t->room);
}

static bool is_before(const struct entry *a, const struct entry *b)
{
    return a->happened_s < b->happened_s || (a->happened_s == b->happened_s && a->seq < b->seq);
}

static void fold_anew(struct teller *t)
{
    const struct entry *next = NULL;
    const struct entry *last = NULL;

    state_deinit(&t->s);
    state_init(&t->s, &t->room);
    do {
        next = NULL;
        for (size_t i = 0; i < t->n; i++) {
            if (!t->voided[i] && (!last || is_before(last, &t->told[i])) &&
                (!next || is_before(&t->told[i], next))) {
                next = &t->told[i];
            }
        }
        if (next) {
            fold_entry(&t->s, &t->room, next);
            last = next;
        }
    } while (next);
}

static size_t add(struct teller *t, struct entry e)
{
    bool late = e.happened_s < t->s.latest_s;

    e.seq = (int64_t)t->n + 1;
    t->told[t->n] = e;
    if (late) {
        t->n++;
        fold_anew(t);
    } else {
        fold_entry(&t->s, &t->room, &t->told[t->n++]);
    }
    return t->n - 1;
}

static void take_back(struct teller *t, size_t i)
{
    t->voided[i] = true;
    fold_anew(t);
}

static void in_time(struct teller *t)
{
    struct entry e[N_TOLD];

    begin(t);
    a_story(e);
    for (size_t i = 0; i < N_TOLD; i++) {
        add(t, e[i]);
    }
    assert_int_equal(t->s.n_entries, N_TOLD);
    assert_int_equal(t->s.n_skipped, 0);
    assert_int_equal(t->s.n_asides, 0); /* they would bear the numbers of their telling */
}

static void assert_same(const struct state *a, const struct state *b)
{
    struct text why = {0};

    if (!state_equal(a, b, &why)) {
        fail_msg("%s", text_str(&why));
    }
    text_deinit(&why);
}

static void what_is_told_late_counts_from_the_day_on_which_it_happened(void **ctx)
{
    static const size_t late[] = {3, 4, 5, 6, 8}; /* readings, the stage, what was seen */
    struct entry e[N_TOLD];
    struct teller good;
    struct teller t;

    (void)ctx;
    in_time(&good);
    a_story(e);
    for (size_t k = 0; k < sizeof late / sizeof *late; k++) {
        begin(&t);
        for (size_t i = 0; i < N_TOLD; i++) {
            if (i != late[k]) {
                add(&t, e[i]);
            }
        }
        assert_false(state_equal(&t.s, &good.s, NULL)); /* it is missed … */
        fold_entry(&t.s, &t.room, &e[late[k]]);
        assert_false(state_equal(&t.s, &good.s, NULL)); /* … and at the end it is not the same */
        add(&t, e[late[k]]);
        assert_same(&t.s, &good.s);
        end(&t);
    }
    end(&good);
}

static void in_whatever_order_it_is_told_the_room_is_the_same(void **ctx)
{
    struct entry e[N_TOLD];
    struct teller good;

    (void)ctx;
    in_time(&good);
    a_story(e);
    for (size_t step = 1; step < N_TOLD; step++) {
        struct teller t;

        if (step % 2 == 0 || step % 7 == 0) { /* not prime to 14: would not come by all of them */
            continue;
        }
        begin(&t);
        for (size_t i = 0; i < N_TOLD; i++) {
            add(&t, e[(5 + i * step) % N_TOLD]);
        }
        assert_same(&t.s, &good.s);
        end(&t);
    }
    end(&good);
}

static void of_two_at_the_same_instant_the_one_told_later_counts(void **ctx)
{
    struct teller t;
    struct entry e = with(told_at(ENTRY_READING, "A1", "", at(9, 9)), FIGURE_PH, 6.1);

    (void)ctx;
    begin(&t);
    add(&t, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    add(&t, e);
    add(&t, with(e, FIGURE_PH, 5.9));
    assert_true(t.s.container[A1].ph.value == 5.9);
    fold_anew(&t);
    assert_true(t.s.container[A1].ph.value == 5.9);
    end(&t);
}

static void what_is_taken_back_is_as_if_it_had_never_been_told(void **ctx)
{
    const struct entry mistakes[] = {
        with(told_at(ENTRY_READING, "A1", "", at(35, 9)), FIGURE_EC_MS_CM, 4),
        with(told_at(ENTRY_READING, "A1", "", at(27, 9)), FIGURE_VOLUME_L, 11),
        told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(32, 9)),
        told_at(ENTRY_HARVESTED, "L1", "final", at(36, 9)),
        with(told_at(ENTRY_CALIBRATED, "ec-pen", "", at(3, 9)), FIGURE_SLOPE_PCT, 98),
        told_at(ENTRY_DEFERRED, "A1", "change", at(39, 9)),
    };
    struct teller good;

    (void)ctx;
    in_time(&good);
    for (size_t k = 0; k < sizeof mistakes / sizeof *mistakes; k++) {
        struct teller t;
        size_t i;

        in_time(&t);
        i = add(&t, mistakes[k]);
        assert_false(state_equal(&t.s, &good.s, NULL));
        take_back(&t, i);
        assert_same(&t.s, &good.s);
        end(&t);
    }
    end(&good);
}

/* The daemon lays a copy aside before it tries something out. */
static void a_state_that_lives_through_copies_is_the_same_to_the_last_bit(void **ctx)
{
    struct entry e[N_TOLD];
    struct teller t;
    struct state b;

    (void)ctx;
    a_story(e);
    begin(&t);
    state_init(&b, &t.room);
    for (size_t i = 0; i < N_TOLD; i++) {
        struct state copy;

        add(&t, e[i]);
        state_copy(&copy, &b);
        state_deinit(&b);
        b = copy;
        fold_entry(&b, &t.room, &e[i]);
        assert_same(&t.s, &b);
    }
    state_deinit(&b);
    end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_told_late_counts_from_the_day_on_which_it_happened),
        cmocka_unit_test(in_whatever_order_it_is_told_the_room_is_the_same),
        cmocka_unit_test(of_two_at_the_same_instant_the_one_told_later_counts),
        cmocka_unit_test(what_is_taken_back_is_as_if_it_had_never_been_told),
        cmocka_unit_test(a_state_that_lives_through_copies_is_the_same_to_the_last_bit),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
