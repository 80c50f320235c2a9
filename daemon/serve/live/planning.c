#include "daemon/serve/live/planning.h"

#include "daemon/base/mem.h"
#include "daemon/serve/live/server.h"

#include <stdlib.h>
#include <time.h>

/* Chosen by us: a plan that takes no longer is made where it is asked for, since another thread may
 * be waited for as long on a busy machine; and nobody notices it. */
#define AT_ONCE_NS 10000000

/* What this thread has worked so far, whatever else the machine does. */
static int64_t worked_ns(void)
{
    struct timespec t;

    (void)clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return t.tv_sec * 1000000000LL + t.tv_nsec;
}

struct planning {
    uv_work_t work; /* first: libuv gives a pointer to it, and all of this is meant */
    struct server *server;
    struct live_room copy;
    struct unwritten batch;
    int64_t now_s;
    int64_t took_ns;
};

static void make(uv_work_t *work)
{
    struct planning *p = (struct planning *)work;
    int64_t from_ns = worked_ns();

    live_room_plan(&p->copy, p->now_s, &p->batch);
    p->took_ns = worked_ns() - from_ns;
}

static void on_made(uv_work_t *work, int status)
{
    struct planning *p = (struct planning *)work;
    struct server *s = p->server;

    (void)status; /* nobody cancels one */
    s->planning = false;
    s->plan_took_ns = p->took_ns;
    if (!s->stopping && !s->live.stale && live_room_take_plan(&s->live, &p->copy)) {
        s->n_plans++;
        server_submit(s, &p->batch);
    } else {
        unwritten_deinit(&p->batch);
    }
    live_room_drop_copy(&p->copy);
    free(p);
    if (!s->stopping) {
        s->hooks.on_due(s);
        server_look_at_requests(s);
    }
}

static void start(struct server *s)
{
    struct planning *p = mem_array(1, sizeof *p);

    p->server = s;
    p->now_s = server_now_s(s);
    unwritten_init(&p->batch);
    live_room_copy(&p->copy, &s->live);
    s->planning = true;
    if (uv_queue_work(&s->loop, &p->work, make, on_made) < 0) {
        make(&p->work); /* without a thread the others wait */
        on_made(&p->work, 0);
    }
}

/* A new day's plan is searched for anew. */
static bool takes_a_moment(const struct server *s)
{
    const struct zone *zone = &s->live.room.zone;

    return s->plan_took_ns && s->plan_took_ns <= AT_ONCE_NS &&
           zone_day(zone, s->live.planned_s) == zone_day(zone, server_now_s(s));
}

static bool may_plan(const struct server *s)
{
    return !s->planning && !s->folding && !s->stopping && !s->live.stale;
}

void planning_do_now(struct server *s)
{
    int64_t from_ns = worked_ns();
    struct unwritten b;

    unwritten_init(&b);
    live_room_plan(&s->live, server_now_s(s), &b);
    s->plan_took_ns = worked_ns() - from_ns;
    s->n_plans++;
    server_submit(s, &b);
}

bool planning_is_done(struct server *s, uint64_t *due)
{
    bool planned = live_room_is_planned(&s->live, server_now_s(s));

    if (!planned && may_plan(s) && takes_a_moment(s)) {
        planning_do_now(s);
        planned = true;
    }
    if (planned || (*due && s->n_plans >= *due)) {
        *due = 0;
        return true;
    }
    if (!*due) {
        *due = s->n_plans + 1 + s->planning; /* the one under way may not know of all */
    }
    if (may_plan(s)) {
        start(s);
    }
    return false;
}

void planning_look_at_waits(struct server *s)
{
    struct planning_wait **at = &s->plan_waits;

    while (*at) {
        struct planning_wait *w = *at;

        if (!s->stopping && !planning_is_done(s, &w->due)) {
            at = &w->next;
            continue;
        }
        *at = w->next;
        w->done(w->owner);
        free(w);
        at = &s->plan_waits; /* the list may be another now */
    }
}

void planning_wait(struct server *s, void (*done)(void *owner), void *owner)
{
    struct planning_wait *w = mem_array(1, sizeof *w);

    *w = (struct planning_wait){.done = done, .owner = owner, .next = s->plan_waits};
    s->plan_waits = w;
    planning_look_at_waits(s);
}
