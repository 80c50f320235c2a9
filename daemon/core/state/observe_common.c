#include "daemon/core/state/observe_common.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define DAY_S      86400.0
#define ASIDES_MAX 2000 /* at some 170 bytes each */

void observe_set_aside(struct state *s, const struct entry *e, const char *fmt, ...)
{
    struct aside *a;
    va_list ap;

    if (s->n_asides == ASIDES_MAX) { /* a broken sensor must not fill the memory */
        memmove(s->aside, s->aside + ASIDES_MAX / 2, ASIDES_MAX / 2 * sizeof *s->aside);
        s->n_asides = ASIDES_MAX / 2;
    }
    s->aside = mem_grow(s->aside, &s->cap_asides, s->n_asides + 1, sizeof *s->aside);
    a = &s->aside[s->n_asides++];
    a->seq = e->seq;
    va_start(ap, fmt);
    (void)vsnprintf(a->why, sizeof a->why, fmt, ap);
    va_end(ap);
}

double observe_sq(double x)
{
    return x * x;
}

double observe_age_day(const struct container_state *cs, int64_t t_s)
{
    return (double)(t_s - cs->started_s) / DAY_S;
}

const struct curve *observe_prior(const struct room *room, const struct container_state *cs)
{
    return &room->crop[cs->crop].use;
}

/* The curve that belongs to what is believed now. The room's factor moves with every plant's
 * reading; a curve keeps the one it was made with, and is made anew when its own plant is read. */
void observe_refresh(const struct room *room, const struct state *s, struct container_state *cs)
{
    cs->curve = belief_curve(&cs->belief, &s->common, observe_prior(room, cs));
    cs->appetite = exp(cs->belief.appetite.mean);
    memcpy(cs->made_with, s->common.mean, sizeof cs->made_with);
}

void observe_wander_room(struct state *s, int64_t t_s)
{
    if (s->wandered_s && t_s > s->wandered_s) {
        belief_room_drift(&s->common, (double)(t_s - s->wandered_s) / DAY_S);
    }
    if (t_s > s->wandered_s) {
        s->wandered_s = t_s;
    }
}

void observe_wander(const struct state *s, struct container_state *cs, int64_t t_s)
{
    double days = (double)(t_s - cs->wandered_s) / DAY_S;

    if (days > 0) {
        belief_drift(&cs->belief, days);
        belief_room_moved(&cs->belief, &s->common, days);
        cs->wandered_s = t_s;
    }
}
