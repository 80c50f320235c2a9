/* jobs_solution.c - what a container's solution wants: a change when its life is
 * over, a bump when it is spent before, and its pH set right. */
#include "daemon/core/model/solution.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/tasks/deriving.h"
#include "daemon/core/units/day.h"

#include <math.h>

/* Common practice, no source, but where it is said. */
#define BUMP_AGAIN_D   2 /* or the day after, where it is as likely spent as not */
#define BUMP_LATE_D    1
#define BUMP_HARVEST_D 2    /* so near to the harvest the strength is let be */
#define BUMP_RISK      0.20 /* of being spent already on the day of a bump; our own choice */
#define SERVES_LEAST   0.5 /* of its least life: for less than that before a harvest none is made */
#define PH_LATE_D      1
#define PH_LEAVES_D    2.0

/* The strength that the next solution of a container is made to. Burnt tips hold it where it is. */
static double next_strength(const struct container_state *cs, const struct crop *crop,
                            const struct stage *stage)
{
    double step = cs->step_mood < 0 ? 0 : crop->step_ec_ms_cm;

    return solution_next_strength(stage->ec_ms_cm, cs->strength_ms_cm, step);
}

/* The strength below which the present solution is spent. */
static double spent_ec(const struct container_state *cs, const struct stage *stage)
{
    return stage->spent_frac * fmin(stage->ec_ms_cm, cs->strength_ms_cm);
}

/* The stage in which the present solution came on float, whose figures it lives by; NULL where that
 * never comes. */
static const struct stage *stage_of_solution(const struct deriving *d, size_t i,
                                             int64_t *out_since_s)
{
    const struct crop *crop = &d->room->crop[d->s->container[i].crop];
    int64_t since_s = forecast_solution_since_s(d->room, d->s, i);

    *out_since_s = since_s;
    if (since_s == FORECAST_NEVER) {
        return NULL;
    }
    return &crop->stage[forecast_container(d->room, d->s, i, deriving_later(since_s, d->now_s))
                            .stage];
}

/* The window of the next change: the life of a solution, which is used to its end,
 * since bumps keep it up until then and pour nothing away. False when none is made
 * before the harvest, since it would serve too short. */
static bool change_window(const struct deriving *d, size_t i, const struct stage *stage,
                          int64_t since_s, struct job *j)
{
    const struct container_state *cs = &d->s->container[i];
    int32_t serves = (int32_t)ceil(SERVES_LEAST * stage->life_min_day);

    if (cs->drained) {
        j->earliest = j->due = j->latest = deriving_day(d, cs->at_s);
        return true;
    }
    j->earliest = deriving_day(d, deriving_days_after(since_s, stage->life_min_day));
    j->due = j->latest = deriving_day(d, deriving_days_after(since_s, stage->life_max_day));
    return j->due <= deriving_harvest_window(d, i).due - serves;
}

void derive_change(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_CHANGE, SUBJECT_CONTAINER, i, cs->solution);
    const struct stage *stage = NULL;
    char wants[QUANTITY_TEXT_MAX];
    int64_t since_s = 0;

    if (cs->crop >= 0) {
        stage = stage_of_solution(d, i, &since_s);
    }
    if (!stage || !change_window(d, i, stage, since_s, &j)) {
        return;
    }
    deriving_done_at(d, &j, cs->changed_s);
    j.recipe = stage->recipe_at;
    j.ec_ms_cm = next_strength(cs, &d->room->crop[cs->crop], stage);
    j.volume_l = c->float_volume_l - c->remainder_l;
    /* Draining and looking take their time, and the filling takes as long as the pump does. */
    j.minutes = fmax(d->room->labour.change_min, j.volume_l / d->room->reservoir.flow_l_min);
    if (cs->drained) {
        deriving_say_why(&j, "it was drained and waits for its new solution");
    } else {
        deriving_say_why(
            &j, "%d days on float with this solution; %s keeps none for longer, and wants %s",
            (int)(j.due - deriving_day(d, since_s)), stage->name,
            deriving_strength(wants, d, stage->ec_ms_cm));
    }
    deriving_say_loss(&j, "the plant starves on water");
    deriving_add(d, &j);
}

/* From the moment of a bump on the strength falls: where the stage's target is
 * reached, it is made as strong as a shared mix might be, and lasts the longer. */
static double bump_strength(const struct deriving *d, const struct container_state *cs,
                            const struct stage *stage)
{
    double ec_ms_cm = next_strength(cs, &d->room->crop[cs->crop], stage);
    bool full = ec_ms_cm >= stage->ec_ms_cm && cs->step_mood >= 0;

    return full ? ec_ms_cm * (1 + d->room->tolerance_pct / 100) : ec_ms_cm;
}

/* The day from which a bump is asked for: when the solution may be spent, but not on the day
 * after the last was made unless it is as likely spent as not then, and never twice a day.
 * False when it is not spent within a year, or so near to the harvest that it is let be. */
static bool bump_window(const struct deriving *d, size_t i, const struct stage *stage,
                        int64_t last_s, struct job *j)
{
    const struct container_state *cs = &d->s->container[i];
    double spent_ms_cm = spent_ec(cs, stage);
    int64_t spent_s = predict_ec_below_s(d->room, d->s, i, spent_ms_cm, BUMP_RISK, cs->at_s);
    int32_t last = deriving_day(d, last_s);
    int64_t even_s;
    int32_t again;

    if (spent_s == FORECAST_NEVER) {
        return false;
    }
    even_s = predict_ec_below_s(d->room, d->s, i, spent_ms_cm, 0.5, cs->at_s);
    again =
        deriving_max_day(last + 1, deriving_min_day(deriving_day(d, even_s), last + BUMP_AGAIN_D));
    j->earliest = j->due = deriving_max_day(deriving_day(d, spent_s), again);
    j->latest = j->earliest + BUMP_LATE_D;
    return j->due <= deriving_harvest_window(d, i).due - BUMP_HARVEST_D;
}

/* Between changes: the strength is down, and the next change may not come yet. */
void derive_bump(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j =
        deriving_job(TASK_BUMP, SUBJECT_CONTAINER, i, job_bump_cycle(cs->solution, cs->bumps));
    const struct stage *stage;
    struct forecast then;
    struct job change = {0};
    char is[QUANTITY_TEXT_MAX];
    char wants[QUANTITY_TEXT_MAX];
    int64_t last_s = deriving_later(cs->bumped_s, cs->changed_s);
    int64_t since_s = 0;
    bool changes;

    if (cs->crop < 0 || cs->drained) {
        return;
    }
    stage = stage_of_solution(d, i, &since_s);
    if (!stage || !bump_window(d, i, stage, last_s, &j)) {
        return;
    }
    changes = change_window(d, i, stage, since_s, &change);
    then = forecast_container(d->room, d->s, i, deriving_morning_s(d, j.due));
    deriving_done_at(d, &j, last_s);
    j.recipe = stage->recipe_at;
    j.ec_ms_cm = bump_strength(d, cs, stage);
    j.volume_l = then.body.volume_l;
    j.minutes = d->room->labour.bump_min;
    deriving_say_why(&j, "EC is down to %s, and %s wants %s; %s",
                     deriving_strength(is, d, then.body.ec_ms_cm), stage->name,
                     deriving_strength(wants, d, stage->ec_ms_cm),
                     changes ? "the change comes later" : "no change comes before the harvest");
    deriving_say_loss(&j, "growth slows until the %s", changes ? "change" : "harvest");
    deriving_add(d, &j);
}

/* Of a solution that was just made too: but where it only waits for its gas to leave, it rises by
 * itself. */
static bool ph_is_out(const struct container_state *cs, const struct stage *stage)
{
    bool rises = cs->stirred_s == cs->ph.at_s && cs->drift.from_ph >= stage->ph_min;

    return cs->ph.value > stage->ph_max || (cs->ph.value < stage->ph_min && !rises);
}

/* Due at once where it is out of its band, or about to leave it before the next walk, and a day
 * later at the most: the drift goes on. The cycle is that of readings, so that the next one asks
 * anew. A step that was set is read on the morrow before another is (jobs_care.c). */
void derive_container_ph(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_PH, SUBJECT_CONTAINER, i, cs->readings);
    const struct stage *stage;
    struct forecast now;

    /* A reading from before the change was of a solution that is gone. */
    if (cs->crop < 0 || cs->drained || !cs->ph.at_s || cs->ph.at_s < cs->changed_s ||
        cs->ph_set_s == cs->ph.at_s) {
        return;
    }
    now = forecast_container(d->room, d->s, i, d->now_s);
    stage = &d->room->crop[cs->crop].stage[now.stage];
    if (!ph_is_out(cs, stage) && (cs->stirred_s == cs->ph.at_s || cs->drift.from_s != cs->ph.at_s ||
                                  ph_drift_days_within(&cs->drift, &d->s->drift, stage->ph_min,
                                                       stage->ph_max) > PH_LEAVES_D)) {
        return;
    }
    j.earliest = j.due = deriving_day(d, cs->ph.at_s);
    j.latest = j.due + PH_LATE_D;
    j.volume_l = now.body.volume_l;
    j.minutes = d->room->labour.ph_min;
    deriving_say_why(&j, "pH was %.1f, and %s wants %.1f to %.1f", cs->ph.value, stage->name,
                     stage->ph_min, stage->ph_max);
    deriving_say_loss(&j, "outside of its band the plant cannot take up what is there");
    deriving_add(d, &j);
}
