#include "daemon/core/state/sighted.h"

#include "daemon/core/state/alarm_mark.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/heat.h"

#include <math.h>

#define SURE_PCT 95 /* a person looked */

/* How the last solution's strength is to be followed, in container_state.step_mood. */
enum { MOOD_HOLD = -1, MOOD_NONE = 0, MOOD_STEP = 1 };

static int mood_of(enum sighting seen)
{
    switch (sightings[seen].does) {
    case SIGHTING_HOLDS:
        return MOOD_HOLD;
    case SIGHTING_STEPS:
        return MOOD_STEP;
    case SIGHTING_TELLS:
    case SIGHTING_LOOKS:
        break;
    }
    return MOOD_NONE;
}

/* ALARM_KIND_N where it asks for no look. */
static enum alarm_kind alarm_of(enum sighting seen)
{
    switch (seen) {
    case SIGHTING_BLOSSOM_ROT:
        return ALARM_ROT;
    case SIGHTING_WILTING:
        return ALARM_WILT;
    case SIGHTING_BROWN_ROOTS:
        return ALARM_ROOTS;
    case SIGHTING_TIP_BURN:
    case SIGHTING_PALE_GROWTH:
    case SIGHTING_PESTS:
    case SIGHTING_DISEASE:
    case SIGHTING_ALGAE:
    case SIGHTING_LEAK:
    case SIGHTING_N:
        break;
    }
    return ALARM_KIND_N;
}

/* What is known of the solution at that hour and bears on it: the temperature of wilting and of
 * brown roots; of rot, the strength, and K to Ca. */
static struct alarm_state evidence_of(const struct room *room, const struct state *s, size_t i,
                                      enum sighting seen, int64_t t_s)
{
    const struct container_state *cs = &s->container[i];
    struct alarm_state m = {.seen = NAN, .expected = NAN, .sure_pct = SURE_PCT};

    if (seen == SIGHTING_BLOSSOM_ROT) {
        double ca = nutrients_feed_mg(&cs->feed, FEED_CA);

        m.seen = forecast_container(room, s, i, t_s).body.ec_ms_cm;
        m.expected = ca > 0 ? nutrients_feed_mg(&cs->feed, FEED_K) / ca : NAN;
    } else if (!heat_is_old(s, (struct subject){SUBJECT_CONTAINER, i}, t_s)) {
        m.seen = cs->temp.value;
    }
    return m;
}

static void ask_for_a_look(const struct room *room, struct state *s, size_t i, enum sighting seen,
                           int64_t t_s)
{
    struct alarm_states *m = &s->container[i].alarms;
    enum alarm_kind kind = alarm_of(seen);

    if (kind == ALARM_KIND_N) {
        return;
    }
    if (m->seen == m->opened || !sighted_s(s, (struct subject){SUBJECT_CONTAINER, i}, seen, t_s)) {
        m->of[kind] = (struct alarm_state){0}; /* looked at, or old: this is another one */
    }
    alarm_mark(m, kind, true, false, t_s, evidence_of(room, s, i, seen, t_s));
}

void sighted_take(const struct room *room, struct state *s, struct subject subject,
                  enum sighting seen, int64_t t_s)
{
    struct container_state *cs;

    if (subject.kind == SUBJECT_RESERVOIR) {
        s->reservoir.saw_s[seen] = t_s;
        return;
    }
    cs = &s->container[subject.at];
    if (cs->crop < 0 && sightings[seen].plant) {
        return;
    }
    if (mood_of(seen) != MOOD_NONE) {
        cs->step_mood = mood_of(seen);
    }
    ask_for_a_look(room, s, subject.at, seen, t_s);
    cs->saw_s[seen] = t_s;
}

int64_t sighted_s(const struct state *s, struct subject subject, enum sighting seen, int64_t now_s)
{
    const struct sighting_def *d = &sightings[seen];
    const struct container_state *cs;
    int64_t at_s;

    if (subject.kind == SUBJECT_RESERVOIR) {
        at_s = s->reservoir.saw_s[seen];
        return at_s && now_s - at_s <= d->day * 86400LL ? at_s : 0;
    }
    if (subject.kind != SUBJECT_CONTAINER) {
        return 0;
    }
    cs = &s->container[subject.at];
    at_s = cs->saw_s[seen];
    if (!at_s || (d->plant && cs->crop < 0)) {
        return 0;
    }
    if (d->day == 0) {
        return mood_of(seen) == cs->step_mood ? at_s : 0;
    }
    if (seen == SIGHTING_BROWN_ROOTS && cs->changed_s > at_s) {
        return 0;
    }
    return now_s - at_s <= d->day * 86400LL ? at_s : 0;
}
