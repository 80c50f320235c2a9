/* Moving the simulated clock: through every instant at which something is due, as the
 * real one does. */
#include "daemon/core/units/when.h"
#include "daemon/serve/api/shapes.h"
#include "daemon/serve/api/upkeep.h"
#include "daemon/serve/api/verbs.h"

#include <math.h>

#define CLOCK_MAX_DAYS 3660 /* ten years: each morning on the way is lived through */

static int parse_target(struct call *c, int64_t now_s, int64_t *out_s, struct err *e)
{
    const char *advance = rpc_text(&c->req, "advance");
    const char *to = rpc_text(&c->req, "to");
    double days;
    int rc;

    if (advance && to) {
        return err_field(e, ERR_SYNTAX, "to", "say either how far, or where to");
    }
    if (advance) {
        rc = quantity_parse(QUANTITY_SPAN, advance, &days, e);
        if (rc < 0) {
            return rc;
        }
        if (!(days > 0 && days <= CLOCK_MAX_DAYS)) {
            return err_field(e, ERR_RANGE, "advance", "the clock is moved by up to %d days",
                             CLOCK_MAX_DAYS);
        }
        *out_s = now_s + (int64_t)llround(days * 86400);
        return 0;
    }
    rc = when_parse(to, &c->s->live.room.zone, now_s, out_s, e);
    if (rc == 0 && (*out_s < now_s || *out_s > now_s + CLOCK_MAX_DAYS * 86400LL)) {
        rc = err_field(e, ERR_RANGE, "to", "the clock goes forward only, by up to %d days",
                       CLOCK_MAX_DAYS);
    }
    return rc;
}

json_t *answer_clock(struct call *c, struct err *e)
{
    struct server *s = c->s;
    int64_t now_s = server_now_s(s);
    int64_t to_s = now_s;

    if (rpc_part(&c->req, "advance") || rpc_part(&c->req, "to")) {
        if (!s->clock.simulated) {
            (void)err_set(e, ERR_REFUSED,
                          "the clock is the real one; only tarnd --simulate can be moved");
            return NULL;
        }
        if (parse_target(c, now_s, &to_s, e) < 0) {
            return NULL;
        }
        upkeep_until(s, to_s);
    }
    return json_pack("{s:o,s:b}", "now", out_instant(&s->live.room, server_now_s(s)), "simulated",
                     (int)s->clock.simulated);
}
