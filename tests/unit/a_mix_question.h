/* a_mix_question.h - a question for a mix, about a_room.h's room, and its answer. */
#ifndef TARN_TESTS_UNIT_A_MIX_QUESTION_H
#define TARN_TESTS_UNIT_A_MIX_QUESTION_H

#include "daemon/base/err.h"
#include "daemon/core/tell/mix_answer.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct mix_question q;
    struct mix_answer a;
    struct err err;
};

/* Asks nothing yet: every figure is a NaN. */
static inline int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    f->q = (struct mix_question){.recipe = -1,
                                 .crop = -1,
                                 .volume_l = NAN,
                                 .ec_ms_cm = NAN,
                                 .from_ms_cm = NAN,
                                 .water_ms_cm = NAN,
                                 .hard_ms_cm = NAN};
    *ctx = f;
    return 0;
}

static inline int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

/* 0, or what is wrong in f->err. */
static inline int ask(struct fixture *f)
{
    return mix_answer_reckon(&f->room, &f->s, &f->q, &f->a, &f->err);
}

#endif
