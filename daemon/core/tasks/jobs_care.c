/* jobs_care.c - what comes at intervals: readings, calibrations, care; and looks at
 * what is wrong. */
#include "daemon/base/order.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/standing.h"
#include "daemon/core/state/trust.h"
#include "daemon/core/tasks/deriving.h"
#include "daemon/core/units/day.h"

#include <math.h>

/* Common practice, no source: how early and how late around the day that is due. Care
 * bears to be late, since its intervals are chosen with room to spare; a reading is
 * worth little beside the last one. */
#define READ_AROUND_D      2
#define CALIBRATE_AROUND_D 3
#define CARE_EARLY_D       3
#define CARE_LATE_D        7
#define LOOK_LATE_D        1
#define PH_AGAIN_D         1
#define PH_LEAST_D         2 /* more often nobody walks to a pH that drifts */
#define PH_EARLY_D         2
#define PH_LATE_D          1

/* The figures of a container were last known; after a change they are the mix's. Each has a clock
 * of its own, since a bump's strength says nothing of its pH; a room that never tells a pH has no
 * meter for it. */
static int64_t measured_s(const struct container_state *cs)
{
    int64_t ec_s = deriving_later(cs->changed_s, cs->ec.at_s);
    int64_t ph_s = deriving_later(cs->changed_s, cs->ph.at_s);

    return cs->ph.at_s ? deriving_earlier(ec_s, ph_s) : ec_s;
}

/* A walk to read tells the level too, so that a look at the level by then would be a second walk
 * for the same figure. Only the first reading counts: the looks before the float line are in the
 * first weeks. */
bool deriving_first_reading_by(const struct deriving *d, size_t i, int32_t day)
{
    const struct container_state *cs = &d->s->container[i];
    double every_day = d->room->care_every_day[CARE_READ];

    return every_day > 0 && cs->readings <= 1 &&
           deriving_day(d, deriving_days_after(measured_s(cs), every_day)) <= day;
}

/* Due by the figure that is oldest, known since last_s; read_s is the last reading of any. */
static void add_reading(const struct deriving *d, struct job *j, int64_t last_s, int64_t read_s)
{
    double every_day = d->room->care_every_day[CARE_READ];
    char day[DAY_WORDS_MAX];

    if (!(every_day > 0)) {
        return;
    }
    j->due = deriving_day(d, deriving_days_after(last_s, every_day));
    j->earliest = j->due - READ_AROUND_D;
    j->latest = j->due + READ_AROUND_D;
    deriving_done_at(d, j, read_s);
    j->minutes = d->room->labour.read_min;
    deriving_say_why(j, "last measured on %s", deriving_date(day, d, last_s));
    deriving_say_loss(j, "nobody knows what is in there");
    deriving_add(d, j);
}

/* Sooner than the usual reading, for the sake of the pH alone. */
static void add_ph_reading(const struct deriving *d, struct job *j, int64_t last_s,
                           double after_day)
{
    j->due = deriving_day(d, deriving_days_after(last_s, after_day));
    j->earliest = order_max(j->due - PH_EARLY_D, deriving_day(d, last_s) + 1);
    j->latest = j->due + PH_LATE_D;
    deriving_done_at(d, j, last_s);
    j->minutes = d->room->labour.read_min;
    deriving_say_why(j, "its pH is expected to leave its band by then");
    deriving_say_loss(j, "outside of its band the plant cannot take up what is there");
    deriving_add(d, j);
}

/* Days after which a container is read for the sake of its pH: when it is expected to leave its
 * band, and on the morrow of a step that did not bring it there, since half a unit a day is what
 * roots bear. */
static double ph_wants_day(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct forecast now = forecast_container(d->room, d->s, i, d->now_s);
    const struct stage *stage = &d->room->crop[cs->crop].stage[now.stage];
    bool stepped = cs->ph.at_s && cs->ph_set_s == cs->ph.at_s &&
                   (cs->ph.value < stage->ph_min || cs->ph.value > stage->ph_max);

    return stepped ? PH_AGAIN_D : fmax(PH_LEAST_D, deriving_ph_leaves_day(d, i, &now, stage));
}

void derive_container_reading(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_READ, SUBJECT_CONTAINER, i, cs->readings);
    double ph_day;

    if (cs->crop < 0 || cs->drained || standing_for_seedling(d->room, d->s, i, d->now_s)) {
        return; /* its second dose comes first, and is measured */
    }
    ph_day = ph_wants_day(d, i);
    if (cs->drift.from_s && ph_day < d->room->care_every_day[CARE_READ]) {
        add_ph_reading(d, &j, cs->drift.from_s, ph_day);
    } else {
        add_reading(d, &j, measured_s(cs),
                    deriving_later(cs->changed_s, deriving_later(cs->ec.at_s, cs->ph.at_s)));
    }
}

void derive_reservoir_reading(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = deriving_job(TASK_READ, SUBJECT_RESERVOIR, 0, r->readings);
    int64_t read_s = deriving_later(deriving_later(d->s->first_s, r->rinsed_s),
                                    deriving_later(r->ec.at_s, r->ph.at_s));

    if (r->at_s && !r->holds_mix) { /* a mix is measured when it is made, and used that day */
        add_reading(d, &j, read_s, read_s);
    }
}

void derive_calibrate(const struct deriving *d, size_t i)
{
    const struct meter *m = &d->room->meter[i];
    const struct meter_state *ms = &d->s->meter[i];
    struct job j = deriving_job(TASK_CALIBRATE, SUBJECT_METER, i, ms->calibrations);
    char day[DAY_WORDS_MAX];
    char why[TRUST_WHY_MAX];

    /* Judged at the calibration itself: one that was good then and is old by now is no bad one. */
    if (ms->calibrated_s && trust_of_meter(d->room, d->s, i, ms->calibrated_s, why) == TRUST_BAD) {
        j.due = deriving_day(d, ms->calibrated_s); /* again, once it is clean or replaced */
        deriving_say_why(&j, "%s", why);
    } else if (ms->calibrated_s) {
        j.due = deriving_day(d, deriving_days_after(ms->calibrated_s, m->calibrate_every_day));
        deriving_say_why(&j, "last calibrated on %s", deriving_date(day, d, ms->calibrated_s));
    } else {
        /* Since the journal began, and not since today: else it would never become late. */
        j.due = d->s->first_s ? deriving_day(d, d->s->first_s) : d->today;
        deriving_say_why(&j, ms->n_calibrated
                                 ? "this one was never calibrated yet; the one before was"
                                 : "never calibrated yet, as far as the journal knows");
    }
    j.earliest = j.due - CALIBRATE_AROUND_D;
    j.latest = j.due + CALIBRATE_AROUND_D;
    deriving_done_at(d, &j, ms->calibrated_s);
    j.minutes = d->room->labour.calibrate_min;
    deriving_say_loss(&j, "every figure it gives is in doubt");
    deriving_add(d, &j);
}

static void add_care(const struct deriving *d, enum care_kind care, struct job *j, int64_t last_s)
{
    char day[DAY_WORDS_MAX];

    /* 0 days is how the room file says never; a thing of which nothing was told has no day to
     * count from. */
    if (!(d->room->care_every_day[care] > 0) || last_s == 0) {
        return;
    }
    j->care = care;
    j->due = deriving_day(d, deriving_days_after(last_s, d->room->care_every_day[care]));
    j->earliest = j->due - CARE_EARLY_D;
    j->latest = j->due + CARE_LATE_D;
    deriving_done_at(d, j, last_s);
    j->minutes = d->room->labour.care_min;
    deriving_say_why(j, "last seen to on %s", deriving_date(day, d, last_s));
    deriving_say_loss(j, "it clogs or sticks when nobody looks");
    deriving_add(d, j);
}

/* A new plant gets a float and a valve that were seen to when it was set in. */
static void care_of_each(const struct deriving *d, enum care_kind care)
{
    for (size_t i = 0; i < d->s->n_containers; i++) {
        const struct container_state *cs = &d->s->container[i];
        struct job j = deriving_job(TASK_CARE, SUBJECT_CONTAINER, i, cs->cares[care]);

        if (cs->crop >= 0) {
            add_care(d, care, &j, deriving_later(cs->care_s[care], cs->started_s));
        }
    }
}

/* What there is once is taken for seen to when the journal began. */
static void care_of_one(const struct deriving *d, enum care_kind care, enum subject_kind subject)
{
    struct job j = deriving_job(TASK_CARE, subject, 0, d->s->cares[care]);

    add_care(d, care, &j, deriving_later(d->s->care_s[care], d->s->first_s));
}

void derive_care(const struct deriving *d)
{
    for (int k = 0; k < CARE_KIND_N; k++) {
        enum care_kind care = (enum care_kind)k;

        switch (care) {
        case CARE_FLOAT:
        case CARE_VALVE:
            care_of_each(d, care);
            break;
        case CARE_FILTER:
            care_of_one(d, care, SUBJECT_ROOM);
            break;
        case CARE_RESERVOIR:
            care_of_one(d, care, SUBJECT_RESERVOIR);
            break;
        case CARE_READ:      /* a task of its own kind: TASK_READ … */
        case CARE_OVERNIGHT: /* … and TASK_OVERNIGHT */
        case CARE_KIND_N:
            break;
        }
    }
}

/* Alarms come by how grave they are: one of the same subject before this one is graver. */
static bool graver_is_told(const struct alarms *alarms, size_t i)
{
    struct subject subject = alarms->alarm[i].subject;

    for (size_t k = 0; k < i; k++) {
        if (alarms->alarm[k].subject.kind == subject.kind &&
            alarms->alarm[k].subject.at == subject.at) {
            return true;
        }
    }
    return false;
}

/* One job a subject, about the gravest of what is wrong with it, until a person has
 * looked at that. */
void derive_looks(const struct deriving *d)
{
    struct alarms alarms;

    alarms_derive(d->room, d->s, d->now_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];
        const struct alarm_states *as = alarm_states_of(d->s, a->subject);
        struct job j = deriving_job(TASK_LOOK, a->subject.kind, a->subject.at, as->opened);

        /* One fault shows in more than one figure, and a walk for each would be the same walk. */
        if (a->seen || graver_is_told(&alarms, i)) {
            continue;
        }
        j.earliest = j.due = deriving_day(d, a->since_s);
        j.latest = j.due + LOOK_LATE_D;
        j.minutes = d->room->labour.check_min;
        deriving_say_why(&j, "%s. Look first: %s", a->says, a->look);
        deriving_say_loss(&j, "what is wrong goes on");
        deriving_add(d, &j);
    }
    alarms_deinit(&alarms);
}
