#include "daemon/core/room/water_source.h"

#include <math.h>

#define HOUR_S 3600.0

double water_source_drain_l(const struct source_water *s, double made_l)
{
    return s->recovery_frac > 0 ? made_l * (1 - s->recovery_frac) / s->recovery_frac : 0;
}

int64_t water_source_start_s(const struct source_water *s, double need_l, int64_t by_s,
                             int64_t now_s)
{
    double make_l = fmax(0, need_l - s->stored_l);
    double takes_s = ceil(make_l / s->rate_l_h * HOUR_S); /* a drip may take longer than time */

    return takes_s < (double)(by_s - now_s) ? by_s - (int64_t)takes_s : now_s;
}

double water_source_has_l(const struct source_water *s, int64_t now_s, int64_t by_s)
{
    return s->stored_l + (by_s > now_s ? s->rate_l_h * (double)(by_s - now_s) / HOUR_S : 0);
}
