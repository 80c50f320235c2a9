#include "daemon/serve/live/room_reload.h"

#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/serve/net/sd.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Chosen by us: an editor is through with a file in less, and nobody waits for it. */
#define SOON_MS 300

static void on_soon(uv_timer_t *timer)
{
    room_reload_now(timer->data);
}

static void reload_soon(struct room_reload *r)
{
    (void)uv_timer_start(&r->soon, on_soon, SOON_MS, 0);
}

static void refuse(struct room_reload *r, const struct room_faults *faults)
{
    const struct err *first = &faults->fault[0];

    (void)snprintf(r->fault, sizeof r->fault, "%s:%u:%u: %.250s%s", first->file, first->line,
                   first->column, first->msg, faults->n > 1 ? "; and more" : "");
    (void)fprintf(stderr, "tarnd: the room file is faulty, the old one stays: %s\n", r->fault);
}

void room_reload_now(struct room_reload *r)
{
    struct room_faults *faults;
    struct room *room;

    if (uv_is_closing((uv_handle_t *)&r->soon)) {
        return;
    }
    if (!r->may_reload(r->owner)) {
        reload_soon(r);
        return;
    }
    (void)uv_timer_stop(&r->soon);
    sd_notify_reloading();
    faults = mem_array(1, sizeof *faults);
    room = mem_array(1, sizeof *room);
    if (room_read(r->room_path, r->crops_dir, room, faults) < 0) {
        refuse(r, faults);
        free(room);
        sd_notify("READY=1");
    } else {
        r->fault[0] = '\0';
        r->on_room(r->owner, room);
    }
    free(faults);
}

static void on_change(uv_fs_event_t *watch, const char *name, int events, int status)
{
    struct room_reload *r = watch->data;
    const char *base = strrchr(r->room_path, '/');

    (void)events;
    base = base ? base + 1 : r->room_path;
    if (status == 0 && name && strcmp(name, base) == 0) {
        reload_soon(r);
    }
}

int room_reload_start(struct room_reload *r, uv_loop_t *loop, struct err *e)
{
    char *dir = mem_strdup(r->room_path);
    char *slash = strrchr(dir, '/');
    int rc = uv_fs_event_init(loop, &r->watch);

    rc = rc < 0 ? rc : uv_timer_init(loop, &r->soon);
    r->watch.data = r;
    r->soon.data = r;
    if (slash) {
        *slash = '\0';
    }
    /* The folder, not the file: editors put a new file in its place. */
    if (rc == 0) {
        (void)uv_fs_event_start(&r->watch, on_change, slash ? (*dir ? dir : "/") : ".", 0);
    }
    free(dir);
    return rc < 0 ? err_set(e, rc, "cannot watch the room file: %s", uv_strerror(rc)) : 0;
}

void room_reload_stop(struct room_reload *r)
{
    uv_close((uv_handle_t *)&r->watch, NULL);
    uv_close((uv_handle_t *)&r->soon, NULL);
}
