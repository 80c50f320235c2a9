#include "daemon/serve/live/planning.h"

#include "daemon/base/mem.h"
#include "daemon/serve/live/server.h"

#include <stdlib.h>

struct planning {
    uv_work_t work; /* first: libuv gives a pointer to it, and all of this is meant */
    struct server *server;
    struct live_room copy;
    struct unwritten batch;
    int64_t now_s;
};

static void make(uv_work_t *work)
{
    struct planning *p = (struct planning *)work;

    live_room_plan(&p->copy, p->now_s, &p->batch);
}

static void on_made(uv_work_t *work, int status)
{
    struct planning *p = (struct planning *)work;
    struct server *s = p->server;

    (void)status; /* nobody cancels one */
    s->planning = false;
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

bool planning_is_done(struct server *s, uint64_t *due)
{
    if (live_room_is_planned(&s->live, server_now_s(s)) || (*due && s->n_plans >= *due)) {
        *due = 0;
        return true;
    }
    if (!*due) {
        *due = s->n_plans + 1 + s->planning; /* the one under way may not know of all */
    }
    if (!s->planning && !s->folding && !s->stopping && !s->live.stale) {
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

void planning_do_now(struct server *s)
{
    struct unwritten b;

    unwritten_init(&b);
    live_room_plan(&s->live, server_now_s(s), &b);
    server_submit(s, &b);
}
