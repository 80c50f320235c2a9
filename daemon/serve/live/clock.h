/* clock.h - what time it is, and waking up when it is due; the real clock or a simulated one.
 *
 * The real one sleeps on a timer of the wall clock that also fires when that clock is set or the
 * machine wakes, so there is no tick. The simulated one stands still until it is moved. */
#ifndef TARN_SERVE_LIVE_CLOCK_H
#define TARN_SERVE_LIVE_CLOCK_H

#include "daemon/base/err.h"

#include <stdbool.h>
#include <stdint.h>
#include <uv.h>

#define CLOCK_NEVER INT64_MAX

struct clock {
    bool simulated;
    int64_t simulated_s;
    int timer_fd; /* -1 when simulated */
    uv_poll_t poll;
    void (*on_wake)(void *owner); /* due, or the clock was set */
    void *owner;
};

/* Starts a clock that goes by itself and calls on_wake when asked to or when the system's clock is
 * set, or one that stands until it is moved. clock_stop ends either; {0} may be stopped too. */
int clock_start_real(struct clock *c, uv_loop_t *loop, void (*on_wake)(void *), void *owner,
                     struct err *e);
void clock_start_simulated(struct clock *c, int64_t now_s);
void clock_stop(struct clock *c);

/* What it shows, seconds since 1970. */
int64_t clock_now_s(const struct clock *c);

/* Asks to be woken at an instant (CLOCK_NEVER = only when the clock is set). Nothing when
 * simulated. */
int clock_wake_at(struct clock *c, int64_t at_s, struct err *e);

#endif
