#include "daemon/core/state/dosed_water.h"

#include "daemon/core/state/forecast.h"
#include "daemon/core/state/standing.h"

#include <math.h>

/* Salts that the entry tells of, into volume_l: of acids and bases the balance itself knows. */
static void feed_of_entry(const struct room *room, const struct entry *e, double volume_l,
                          struct dissolved *w)
{
    struct nutrients mg_l = {0};

    for (size_t k = 0; k < e->n_amounts; k++) {
        struct subject p = room_find(room, e->amount[k].product);

        if (p.kind == SUBJECT_PRODUCT && room->product[p.at].kind != PRODUCT_ACID &&
            room->product[p.at].kind != PRODUCT_BASE) {
            nutrients_add(&mg_l, &room->product[p.at].contents, e->amount[k].amount / volume_l);
        }
    }
    if (!nutrients_none(&mg_l)) {
        waters_feed(w, &mg_l);
    }
}

struct dissolved dosed_water(const struct room *room, const struct state *s, const struct entry *e,
                             double *out_volume_l)
{
    struct subject subject = room_find(room, e->subject);
    struct dissolved w = {.alkalinity_meq_l = NAN, .temp_c = WATERS_ROOM_C};
    double now_l;

    *out_volume_l = 0;
    if (subject.kind == SUBJECT_CONTAINER && e->kind == ENTRY_PH_ADJUSTED) {
        const struct container_state *cs = &s->container[subject.at];
        bool read = cs->ph.at_s && e->happened_s >= cs->ph.at_s &&
                    e->happened_s - cs->ph.at_s <= WATERS_READ_BEFORE_S;

        *out_volume_l = forecast_container(room, s, subject.at, e->happened_s).body.volume_l;
        if (standing_for_seedling(room, s, subject.at, e->happened_s)) {
            return standing_solution(room, s, subject.at, e->happened_s);
        }
        return read ? waters_container(room, s, subject.at, cs->ph.value, cs->ph.at_s) : w;
    }
    if (subject.kind != SUBJECT_RESERVOIR) {
        return w;
    }
    now_l = forecast_reservoir(room, s, e->happened_s).volume_l;
    if (e->kind == ENTRY_PH_ADJUSTED) {
        *out_volume_l = now_l;
        w = waters_is_let_in(s, e->happened_s) ? waters_undosed(room, s)
                                               : waters_reservoir(room, s, e->happened_s);
    } else if (e->kind == ENTRY_RESERVOIR_FILLED) {
        double added_l = entry_figure_or(e, FIGURE_ADDED_L, 0);
        double total_l = entry_figure_or(e, FIGURE_VOLUME_L, now_l + added_l);
        double before_l = entry_has(e, FIGURE_ADDED_L) ? fmax(0, total_l - added_l) : now_l;

        *out_volume_l = total_l;
        w = waters_let_in(room, s, e->happened_s, before_l, total_l);
    } else if (e->kind == ENTRY_MIX_MADE) {
        *out_volume_l = e->figure[FIGURE_VOLUME_L];
        w = waters_let_in(room, s, e->happened_s, now_l, *out_volume_l);
        if (*out_volume_l > 0) {
            feed_of_entry(room, e, *out_volume_l, &w);
        }
    }
    return w;
}
