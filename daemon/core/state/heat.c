#include "daemon/core/state/heat.h"

#include "daemon/core/state/alarm_mark.h"

#define SURE_PCT 95 /* a kitchen thermometer is right to a degree; common practice, no source */

static bool is_old(const struct measured *temp, int64_t changed_s, int64_t now_s)
{
    return !temp->at_s || temp->at_s < changed_s || now_s - temp->at_s > HEAT_OLD_S;
}

/* Water that was let in is cooler, or warmer; a mix is another body of water. */
static int64_t reservoir_changed_s(const struct reservoir_state *r)
{
    return r->rinsed_s > r->filled_s ? r->rinsed_s : r->filled_s;
}

/* Evidence that has grown old opens nothing, and does not keep open what a new reading would not
 * open. */
static void judge(struct alarm_states *m, bool *warm, bool old, double temp_c, double warm_c,
                  double hot_c, int64_t t_s)
{
    if (old) {
        m->of[ALARM_HOT] = (struct alarm_state){0};
        *warm = false;
    }
    *warm = temp_c >= warm_c || (*warm && temp_c >= warm_c - HEAT_SHUT_C);
    alarm_mark(m, ALARM_HOT, temp_c >= hot_c, temp_c < hot_c - HEAT_SHUT_C, t_s,
               (struct alarm_state){.seen = temp_c, .expected = hot_c, .sure_pct = SURE_PCT});
}

void heat_container(const struct room *room, struct state *s, size_t i, double temp_c, int64_t t_s)
{
    struct container_state *cs = &s->container[i];

    if (cs->crop >= 0) {
        const struct crop *crop = &room->crop[cs->crop];

        judge(&cs->alarms, &cs->warm, is_old(&cs->temp, cs->changed_s, t_s), temp_c,
              crop_warm_c(crop), crop_hot_c(crop), t_s);
    }
}

void heat_reservoir(struct state *s, double temp_c, int64_t t_s)
{
    struct reservoir_state *r = &s->reservoir;

    judge(&r->alarms, &r->warm, is_old(&r->temp, reservoir_changed_s(r), t_s), temp_c,
          crop_warm_c(NULL), crop_hot_c(NULL), t_s);
}

bool heat_is_old(const struct state *s, struct subject subject, int64_t now_s)
{
    const struct reservoir_state *r = &s->reservoir;
    const struct container_state *cs;

    if (subject.kind == SUBJECT_RESERVOIR) {
        return is_old(&r->temp, reservoir_changed_s(r), now_s);
    }
    if (subject.kind != SUBJECT_CONTAINER) {
        return true;
    }
    cs = &s->container[subject.at];
    return is_old(&cs->temp, cs->changed_s, now_s);
}

bool heat_is_told(const struct state *s, struct subject subject, int64_t now_s)
{
    bool tank = subject.kind == SUBJECT_RESERVOIR;

    if (heat_is_old(s, subject, now_s)) {
        return false;
    }
    return tank ? s->reservoir.warm && !s->reservoir.alarms.of[ALARM_HOT].since_s
                : s->container[subject.at].crop >= 0 && s->container[subject.at].warm &&
                      !s->container[subject.at].alarms.of[ALARM_HOT].since_s;
}
