#include "daemon/serve/live/room_reload.h"

#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/serve/live/server.h"
#include "daemon/serve/net/sd.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SOON_MS 300

static void on_soon(uv_timer_t *timer)
{
    reload_now(timer->loop->data);
}

static void reload_soon(struct server *s)
{
    (void)uv_timer_start(&s->reload.soon, on_soon, SOON_MS, 0);
}

static void refuse(struct server *s, const struct room_faults *faults)
{
    const struct err *first = &faults->fault[0];

    (void)snprintf(s->reload.fault, sizeof s->reload.fault, "%s:%u:%u: %.250s%s", first->file,
                   first->line, first->column, first->msg, faults->n > 1 ? "; and more" : "");
    (void)fprintf(stderr, "tarnd: the room file is faulty, the old one stays: %s\n",
                  s->reload.fault);
}

void reload_now(struct server *s)
{
    struct room_faults *faults;
    struct room *room;

    if (s->stopping) {
        return;
    }
    if (s->folding) { /* it is read once the fold is through */
        reload_soon(s);
        return;
    }
    (void)uv_timer_stop(&s->reload.soon);
    sd_notify_reloading();
    faults = mem_array(1, sizeof *faults);
    room = mem_array(1, sizeof *room);
    if (room_read(s->options.room_path, s->options.crops_dir, room, faults) < 0) {
        refuse(s, faults);
        free(room);
        sd_notify("READY=1");
    } else {
        s->reload.fault[0] = '\0';
        s->reload.under_way = true;
        server_refold(s, room);
    }
    free(faults);
}

void reload_done(struct server *s)
{
    if (s->reload.under_way) {
        s->reload.under_way = false;
        sd_notify("READY=1");
    }
}

static void on_change(uv_fs_event_t *watch, const char *name, int events, int status)
{
    struct server *s = watch->loop->data;
    const char *base = strrchr(s->options.room_path, '/');

    (void)events;
    base = base ? base + 1 : s->options.room_path;
    if (status == 0 && name && strcmp(name, base) == 0) {
        reload_soon(s);
    }
}

int reload_start(struct server *s, struct err *e)
{
    char *dir = mem_strdup(s->options.room_path);
    char *slash = strrchr(dir, '/');
    int rc = uv_fs_event_init(&s->loop, &s->reload.watch);

    rc = rc < 0 ? rc : uv_timer_init(&s->loop, &s->reload.soon);
    if (slash) {
        *slash = '\0';
    }
    /* The folder, not the file: editors put a new file in its place. Without a watch SIGHUP still
     * serves. */
    if (rc == 0) {
        (void)uv_fs_event_start(&s->reload.watch, on_change, slash ? (*dir ? dir : "/") : ".", 0);
    }
    free(dir);
    return rc < 0 ? err_set(e, rc, "cannot watch the room file: %s", uv_strerror(rc)) : 0;
}

void reload_stop(struct server *s)
{
    uv_close((uv_handle_t *)&s->reload.watch, NULL);
    uv_close((uv_handle_t *)&s->reload.soon, NULL);
}
