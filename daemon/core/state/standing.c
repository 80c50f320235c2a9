#include "daemon/core/state/standing.h"

#include "daemon/core/state/root_gas.h"

#define DAY_S 86400.0

bool standing_for_seedling(const struct room *room, const struct state *s, size_t i, int64_t t_s)
{
    const struct container_state *cs = &s->container[i];

    return cs->crop >= 0 && t_s - cs->started_s < STANDING_MOST_D * (int64_t)DAY_S &&
           cs->stirred_s && cs->stirred_s == cs->started_s && !cs->ph_set_s &&
           cs->drift.from_s == cs->started_s && cs->ph.at_s == cs->started_s &&
           cs->drift.from_ph > room->crop[cs->crop].stage[0].ph_max + PH_DOUBT;
}

struct dissolved standing_solution(const struct room *room, const struct state *s, size_t i,
                                   int64_t t_s)
{
    const struct container_state *cs = &s->container[i];
    struct dissolved w = waters_container(room, s, i, cs->ph.value, cs->stirred_s);
    double days = t_s > cs->stirred_s ? (double)(t_s - cs->stirred_s) / DAY_S : 0;
    double ph = balance_ph_with_gas(&w, root_gas_mmol_l(cs->gas_mmol_l, days));

    w.carbonate_mmol_l = balance_carbonate_mmol_l(&w, ph);
    return w;
}

bool standing_reservoir(const struct room *room, const struct state *s, int64_t t_s)
{
    const struct reservoir_state *r = &s->reservoir;
    struct dissolved w;

    if (r->holds_mix || !r->ph.at_s || t_s - r->ph.at_s <= WATERS_READ_BEFORE_S) {
        return false;
    }
    w = waters_reservoir(room, s, t_s);
    return waters_known(&w) && w.alkalinity_meq_l > STANDING_LEFT_MEQ_L &&
           balance_ph_closed(&w) > room->reservoir.ph_target + room->reservoir.ph_tolerance;
}
