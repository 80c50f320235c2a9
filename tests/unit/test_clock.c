/* The simulated clock stands still, the real one wakes when it is due. */
#include "tests/cmocka_all.h"

#include "daemon/serve/live/clock.h"

#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

struct woken {
    struct clock clock;
    int n;
};

static void on_wake(void *owner)
{
    struct woken *w = owner;

    w->n++;
    clock_stop(&w->clock);
}

static void a_simulated_clock_stands_until_it_is_moved(void **ctx)
{
    struct clock c;

    (void)ctx;
    clock_start_simulated(&c, 1772348400);
    assert_int_equal(clock_now_s(&c), 1772348400);
    assert_int_equal(clock_wake_at(&c, 1772348401, NULL), 0); /* nothing comes of it */
    assert_int_equal(clock_now_s(&c), 1772348400);
    clock_stop(&c);
}

static void the_real_clock_wakes_when_it_is_due(void **ctx)
{
    struct woken w = {.n = 0};
    uv_loop_t loop;

    (void)ctx;
    assert_int_equal(uv_loop_init(&loop), 0);
    assert_int_equal(clock_start_real(&w.clock, &loop, on_wake, &w, NULL), 0);
    assert_int_equal(clock_wake_at(&w.clock, clock_now_s(&w.clock) - 1, NULL), 0);
    assert_int_equal(uv_run(&loop, UV_RUN_DEFAULT), 0);
    assert_int_equal(w.n, 1);
    assert_int_equal(w.clock.timer_fd, -1);
    assert_int_equal(uv_loop_close(&loop), 0);
}

static void the_real_clock_tells_utc(void **ctx)
{
    struct clock c;
    uv_loop_t loop;
    int64_t before_s = time(NULL);
    int64_t now_s;

    (void)ctx;
    assert_int_equal(uv_loop_init(&loop), 0);
    assert_int_equal(clock_start_real(&c, &loop, on_wake, NULL, NULL), 0);
    now_s = clock_now_s(&c);
    assert_true(now_s >= before_s);
    assert_true(now_s <= time(NULL) + 1);
    clock_stop(&c);
    (void)uv_run(&loop, UV_RUN_DEFAULT);
    assert_int_equal(uv_loop_close(&loop), 0);
}

/* Without anything due it is still armed: only then does the kernel tell of a clock that is set. */
static void a_clock_with_nothing_due_is_still_armed(void **ctx)
{
    struct itimerspec when;
    struct clock c;
    uv_loop_t loop;

    (void)ctx;
    assert_int_equal(uv_loop_init(&loop), 0);
    assert_int_equal(clock_start_real(&c, &loop, on_wake, NULL, NULL), 0);
    assert_int_equal(clock_wake_at(&c, CLOCK_NEVER, NULL), 0);
    assert_int_equal(timerfd_gettime(c.timer_fd, &when), 0);
    assert_true(when.it_value.tv_sec > 50LL * 365 * 86400);
    assert_int_equal(when.it_interval.tv_sec, 0); /* no tick */
    clock_stop(&c);
    (void)uv_run(&loop, UV_RUN_DEFAULT);
    assert_int_equal(uv_loop_close(&loop), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_simulated_clock_stands_until_it_is_moved),
        cmocka_unit_test(the_real_clock_wakes_when_it_is_due),
        cmocka_unit_test(the_real_clock_tells_utc),
        cmocka_unit_test(a_clock_with_nothing_due_is_still_armed),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
