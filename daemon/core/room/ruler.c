#include "daemon/core/room/ruler.h"

bool ruler_of(const struct room *room, struct subject s, struct ruler *out)
{
    struct ruler r = {0};

    if (s.kind == SUBJECT_CONTAINER) {
        const struct container *c = &room->container[s.at];

        r = (struct ruler){c->float_height_m, c->float_volume_l, c->start_height_m,
                           c->start_volume_l};
    } else if (s.kind == SUBJECT_RESERVOIR) {
        const struct reservoir *v = &room->reservoir;

        r = (struct ruler){v->outlet_height_m, v->remainder_l, v->full_height_m, v->capacity_l};
    }
    if (r.high_m <= 0) {
        return false;
    }
    if (r.low_m <= 0) {
        r.low_m = 0;
        r.low_l = 0;
    }
    *out = r;
    return true;
}

double ruler_volume_l(const struct ruler *r, double height_m)
{
    return r->low_l + (height_m - r->low_m) * (r->high_l - r->low_l) / (r->high_m - r->low_m);
}

double ruler_height_m(const struct ruler *r, double volume_l)
{
    return r->low_m + (volume_l - r->low_l) * (r->high_m - r->low_m) / (r->high_l - r->low_l);
}
