#include "daemon/serve/live/room_compared.h"

#include "daemon/core/tell/strength_changed.h"
#include "daemon/serve/live/server.h"

#include <unistd.h>

void room_compared_tell(struct server *s, const struct room *before)
{
    struct entries changed = {0};
    struct unwritten b;
    int64_t first;

    strength_changed(before, &s->live.room, &s->live.room, &s->live.state, server_now_s(s),
                     (uint32_t)geteuid(), &changed);
    if (changed.n) {
        s->keeps_room_file = true;
        unwritten_init(&b);
        live_room_tell(&s->live, &changed, &b, &first);
        server_submit(s, &b);
    } else {
        server_keep_room_file(s, s->reload.room_path);
    }
    entries_deinit(&changed);
}
