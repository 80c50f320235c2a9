#include "daemon/serve/live/clock.h"

#include <errno.h>
#include <string.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

/* A timer is only told of a clock that is set while it is armed: far away stands for never. */
#define FAR_S (100LL * 365 * 86400)

static void on_timer(uv_poll_t *poll, int status, int events)
{
    struct clock *c = poll->data;
    uint64_t expired;
    ssize_t n = read(c->timer_fd, &expired, sizeof expired);

    (void)status;
    (void)events;
    if (n == (ssize_t)sizeof expired || (n < 0 && errno == ECANCELED)) {
        c->on_wake(c->owner);
    }
}

int clock_start_real(struct clock *c, uv_loop_t *loop, void (*on_wake)(void *), void *owner,
                     struct err *e)
{
    int rc;

    memset(c, 0, sizeof *c);
    c->on_wake = on_wake;
    c->owner = owner;
    c->timer_fd = timerfd_create(CLOCK_REALTIME, TFD_NONBLOCK | TFD_CLOEXEC);
    if (c->timer_fd < 0) {
        return err_set(e, -errno, "cannot make a timer: %s", strerror(errno));
    }
    rc = uv_poll_init(loop, &c->poll, c->timer_fd);
    if (rc == 0) {
        c->poll.data = c;
        rc = uv_poll_start(&c->poll, UV_READABLE, on_timer);
    }
    return rc < 0 ? err_set(e, rc, "cannot watch the timer: %s", uv_strerror(rc)) : 0;
}

void clock_start_simulated(struct clock *c, int64_t now_s)
{
    memset(c, 0, sizeof *c);
    c->simulated = true;
    c->simulated_s = now_s;
    c->timer_fd = -1;
}

static void on_closed(uv_handle_t *handle)
{
    struct clock *c = handle->data;

    (void)close(c->timer_fd);
    c->timer_fd = -1;
}

void clock_stop(struct clock *c)
{
    if (c->timer_fd >= 0 && !uv_is_closing((uv_handle_t *)&c->poll)) {
        uv_close((uv_handle_t *)&c->poll, on_closed);
    }
}

int64_t clock_now_s(const struct clock *c)
{
    struct timespec t;

    if (c->simulated) {
        return c->simulated_s;
    }
    (void)clock_gettime(CLOCK_REALTIME, &t);
    return t.tv_sec;
}

int clock_wake_at(struct clock *c, int64_t at_s, struct err *e)
{
    int64_t now_s = clock_now_s(c);
    struct itimerspec when = {0};

    if (c->simulated) {
        return 0;
    }
    when.it_value.tv_sec = at_s == CLOCK_NEVER || at_s > now_s + FAR_S ? now_s + FAR_S : at_s;
    if (timerfd_settime(c->timer_fd, TFD_TIMER_ABSTIME | TFD_TIMER_CANCEL_ON_SET, &when, NULL) <
        0) {
        return err_set(e, -errno, "cannot set the timer: %s", strerror(errno));
    }
    return 0;
}
