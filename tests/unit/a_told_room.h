/* a_told_room.h - the room of a_room.h and its state, told entry by entry: the
 * fixture of most tests.
 *
 * A test program includes it, and writes TEST(name) into its list. One that wants the
 * room otherwise has a set-up of its own that calls set_up first. */
#ifndef TARN_TESTS_A_TOLD_ROOM_H
#define TARN_TESTS_A_TOLD_ROOM_H

#include "daemon/core/state/fold.h"
#include "daemon/core/state/state.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    int64_t n_told; /* entries are numbered as they are told */
};

/* For cmocka: a room of which nothing was told yet. */
static inline int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    *ctx = f;
    return 0;
}

/* Ends state and room. */
static inline int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* Tells an entry under the next number, which is given. */
static inline int64_t tell(struct fixture *f, struct entry e)
{
    e.seq = ++f->n_told;
    fold_entry(&f->s, &f->room, &e);
    return e.seq;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

#endif
