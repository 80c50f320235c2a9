/* a_story.h - short ways to tell what tests of the state begin with: a plant, its float, a reading.
 *
 * On top of a_told_room.h, with the same fixture. */
#ifndef TARN_TESTS_A_STORY_H
#define TARN_TESTS_A_STORY_H

#include "tests/unit/a_told_room.h"

/* The same room, in which nothing has happened yet. */
static inline void begin_again(struct fixture *f)
{
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
}

/* A vine started on day 0 at 9, 18 L of 0.7 mS/cm. */
static inline void start(struct fixture *f, const char *name)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
}

/* … and its float, whose line is at 8 L, seen working on day 31. */
static inline void on_float(struct fixture *f, const char *name)
{
    start(f, name);
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(31, 9)));
}

/* A figure read at 9 of a day. */
static inline int64_t reads(struct fixture *f, const char *name, int day, enum figure figure,
                            double v)
{
    return tell(f, with(told_at(ENTRY_READING, name, "", at(day, 9)), figure, v));
}

/* Plain water in the reservoir up to its mark, at 9 of a day. */
static inline void fills(struct fixture *f, int day, double volume_l)
{
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, 9)), FIGURE_VOLUME_L,
                 volume_l));
}

/* Fails unless got lies within so much of want, both ends taken in; NaN is near nothing. */
static inline void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g within %g", got, want, within);
    }
}

#endif
