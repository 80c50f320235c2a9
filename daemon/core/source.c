#include "daemon/core/source.h"

#include "daemon/core/forecast.h"

#include <math.h>

#define PER_DEGREE 1.03
#define HOUR_S     3600.0

double source_flow_factor(double temp_c, double rated_c)
{
    return pow(PER_DEGREE, temp_c - rated_c);
}

double source_permeate(double feed, double rejection_frac)
{
    return (1 - rejection_frac) * feed;
}

double source_concentrate(double feed, double rejection_frac, double recovery_frac)
{
    return feed * (1 - recovery_frac * (1 - rejection_frac)) / (1 - recovery_frac);
}

double source_drain_l(const struct source_water *s, double made_l)
{
    return s->recovery_frac > 0 ? made_l * (1 - s->recovery_frac) / s->recovery_frac : 0;
}

int64_t source_start_s(const struct source_water *s, double need_l, int64_t by_s, int64_t now_s)
{
    double make_l = fmax(0, need_l - s->stored_l);
    int64_t start_s = by_s - (int64_t)ceil(make_l / s->rate_l_h * HOUR_S);

    return start_s > now_s ? start_s : now_s;
}

double source_has_l(const struct source_water *s, int64_t now_s, int64_t by_s)
{
    return s->stored_l + (by_s > now_s ? s->rate_l_h * (double)(by_s - now_s) / HOUR_S : 0);
}

/* A change takes its mix, and a reservoir of plain water when it is over. */
static double need_of(const struct room *room, const struct state *s, const struct task *t,
                      int64_t by_s)
{
    switch (t->kind) {
    case TASK_FILL:
        return t->job[0].volume_l;
    case TASK_START:
        return t->job[0].volume_l * (double)t->n_jobs;
    case TASK_CHANGE:
        if (t->by_hand || t->leaves_rest) {
            return t->mix_l;
        }
        return fmax(0, t->mix_l - forecast_reservoir(room, s, by_s).volume_l) +
               room->reservoir.capacity_l;
    default:
        return 0;
    }
}

bool source_next(const struct room *room, const struct state *s, const struct agenda *a,
                 int64_t now_s, struct source_need *out)
{
    int32_t today = zone_day(&room->zone, now_s);

    for (size_t i = 0; i < a->n; i++) {
        const struct task *t = &a->task[i];
        int64_t by_s =
            zone_instant_s(&room->zone, t->on > today ? t->on : today, room->day_start_s);
        double need_l = need_of(room, s, t, by_s);

        if (need_l > 0) {
            *out = (struct source_need){t, need_l, source_has_l(&room->source, now_s, by_s), by_s,
                                        source_start_s(&room->source, need_l, by_s, now_s)};
            return true;
        }
    }
    return false;
}
