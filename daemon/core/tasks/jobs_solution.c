/* jobs_solution.c - what a container's solution wants: a change when its life is
 * over, a bump when it is spent before, and its pH set right. */
#include "daemon/base/order.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/sighted.h"
#include "daemon/core/state/standing.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/tasks/bump.h"
#include "daemon/core/tasks/deriving.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>

/* Common practice, no source, but where it is said. */
#define BUMP_HARVEST_D 2 /* so near to the harvest the strength is let be */
#define BUMP_LACKS_D   2 /* what is short bears so much; what counts as short is no famine yet */
#define BUMP_EARLY                                                                                 \
    0.25                  /* … of its work, one that is early costs this: those that are bumped
                               together once are due together from then on … */
#define SERVES_LEAST  0.5 /* of its least life: for less before a harvest none is made */
#define SHORT_EARLY_D 3 /* a change that something short asks for joins others: so much sooner … */
#define SHORT_LATE_D  2   /* … or later; what counts as short is no famine yet */
#define PH_LATE_D     3   /* it drifts on … */
#define PH_FAR        0.5 /* … but so far out it does not wait: … */
#define PH_FAR_LATE_D 1   /* … a day */
#define SECOND_LATE_D 1   /* a seedling bears to wait in its tray */
#define PH_STEP_LEAST 0.3 /* less is not worth a dose */
#define PH_LEAVES_D   2.0
#define ROOTS_LATE_D  1 /* a day to get the containers and the water ready */

/* The stage in which the present solution came on float, whose figures it lives by; NULL where
 * that never comes. */
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

/* A present solution beside what it should be, until its life is over. */
struct present {
    const struct stage *stage;
    int64_t since_s, until_s; /* on float since, and kept no longer than */
    int64_t gathered_s;       /* too much of the water's own salts has gathered … */
    int64_t short_s;          /* … or this is short … */
    enum feed lacks;
    bool bump_mends; /* … which a bump mends */
    int64_t roots_s; /* its roots were seen brown; 0 = not that anybody told */
};

/* When brown roots were seen, which want a new solution in a clean container whatever the life of
 * this one; 0 where none were, or where the float line was not reached yet. */
static int64_t brown_roots_s(const struct deriving *d, size_t i, int64_t since_s)
{
    struct subject subject = {SUBJECT_CONTAINER, i};

    return since_s > d->now_s ? 0 : sighted_s(d->s, subject, SIGHTING_BROWN_ROOTS, d->now_s);
}

/* False where it never comes on float. */
static bool look_at(const struct deriving *d, size_t i, struct present *out)
{
    const struct container_state *cs = &d->s->container[i];
    struct forecast then;

    *out = (struct present){.short_s = FORECAST_NEVER, .gathered_s = FORECAST_NEVER};
    if (cs->crop < 0) {
        return false;
    }
    out->stage = stage_of_solution(d, i, &out->since_s);
    if (!out->stage) {
        return false;
    }
    out->roots_s = brown_roots_s(d, i, out->since_s);
    out->until_s = deriving_days_after(out->since_s, out->stage->life_max_day);
    if (cs->drained) {
        return true;
    }
    out->gathered_s =
        strength_gathered_s(d->room, d->s, i, d->room->ballast_pct / 100, cs->at_s, out->until_s);
    out->short_s =
        strength_short_s(d->room, d->s, i, out->stage, cs->at_s, out->until_s, &out->lacks);
    if (out->short_s != FORECAST_NEVER) {
        /* Before the float line a change has to wait, and a bump that adds anything is better. */
        double mends = out->short_s < out->since_s ? 1 : STRENGTH_BUMP_MENDS;
        double wanted = strength_food_ms_cm(d->room, strength_next_ms_cm(d->room, cs, out->stage));

        then = forecast_container(d->room, d->s, i, out->short_s);
        out->bump_mends = solution_food_ms_cm(then.body) <= mends * wanted;
    }
    return true;
}

/* The day on which its food falls to a share of what it is to be at a stage, as likely as not.
 * Before the float line it goes by the solution that it was started with: nobody steps that up. */
static int32_t falls_to(const struct deriving *d, size_t i, const struct present *p,
                        const struct stage *stage, double frac)
{
    const struct container_state *cs = &d->s->container[i];
    double of_next = strength_share_ms_cm(d->room, cs, stage, frac);
    double of_this = frac / p->stage->spent_frac * strength_spent_ms_cm(d->room, cs, p->stage);
    double food = p->since_s <= d->now_s ? of_next : fmin(of_next, of_this);
    int64_t t_s = predict_food_below_s(d->room, d->s, i, food, 0.5, cs->at_s);

    return deriving_day(d, t_s);
}

/* Does its next solution reach what the stage wants, and does the plant bear that? */
static bool is_full(const struct deriving *d, const struct container_state *cs,
                    const struct stage *stage)
{
    return strength_next_ms_cm(d->room, cs, stage) >=
               strength_target_ms_cm(d->room, &d->room->crop[cs->crop], stage) &&
           cs->step_mood >= 0;
}

/* The share by which a new strength is above what is wanted: it falls from then on. */
static double above(const struct deriving *d, double tolerances)
{
    return tolerances * d->room->tolerance_pct / 100;
}

/* Where the last bump of a solution would be due shortly before its change, the change comes in its
 * place. */
static void draw_nearer(const struct deriving *d, size_t i, const struct present *p, struct job *j)
{
    int32_t bump = falls_to(d, i, p, p->stage, strength_bump_frac(d->room, p->stage));

    bump = order_max(bump, order_max(j->earliest, d->today));
    if (bump < j->due && j->due - bump <= DRAWN_D) {
        j->due = bump;
    }
}

/* The window of the next change: the life of a solution, which is used to its end,
 * since bumps keep it up until then and pour nothing away; but no longer than until the water's
 * salts have gathered, or something is short that a bump does not mend. False when none is made
 * before the harvest, since it would serve too short. */
static bool change_window(const struct deriving *d, size_t i, const struct present *p,
                          struct job *j)
{
    const struct container_state *cs = &d->s->container[i];
    int32_t serves = (int32_t)ceil(SERVES_LEAST * p->stage->life_min_day);
    int32_t soonest;
    int32_t lacks;
    int32_t roots;

    if (cs->drained) {
        j->earliest = j->due = j->latest = deriving_day(d, cs->at_s);
        return true;
    }
    j->earliest = deriving_day(d, deriving_days_after(p->since_s, p->stage->life_min_day));
    j->due = j->latest = order_min(deriving_day(d, p->until_s),
                                   order_max(j->earliest, deriving_day(d, p->gathered_s)));
    if (p->short_s != FORECAST_NEVER && !p->bump_mends) {
        /* Not twice a day, and not before the level is down to the float line. */
        soonest = order_max(deriving_day(d, cs->changed_s), deriving_day(d, p->since_s)) + 1;
        lacks = order_max(deriving_day(d, p->short_s), soonest);
        j->due = order_min(j->due, lacks);
        j->latest = order_min(j->latest, lacks + SHORT_LATE_D);
        j->earliest = order_min(j->earliest, order_max(j->due - SHORT_EARLY_D, soonest));
    }
    if (p->since_s <= d->now_s) {
        draw_nearer(d, i, p, j);
    }
    if (p->roots_s) {
        roots = deriving_day(d, p->roots_s);
        j->earliest = order_min(j->earliest, roots);
        j->due = j->latest = order_min(j->due, roots + ROOTS_LATE_D);
    }
    return j->due <= deriving_harvest_window(d, i).due - serves;
}

static bool change_comes(const struct deriving *d, size_t i, const struct present *p)
{
    struct job j = {0};

    return change_window(d, i, p, &j);
}

static char *wanted(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, size_t i,
                    const struct stage *stage)
{
    const struct crop *crop = &d->room->crop[d->s->container[i].crop];

    return deriving_strength(buf, d, strength_target_ms_cm(d->room, crop, stage));
}

static void say_why_change(const struct deriving *d, size_t i, const struct present *p,
                           struct job *j)
{
    char wants[QUANTITY_TEXT_MAX];

    (void)wanted(wants, d, i, p->stage);
    deriving_say_loss(j, "the plant starves on water");
    if (d->s->container[i].drained) {
        deriving_say_why(j, "it was drained and waits for its new solution");
    } else if (p->roots_s) {
        deriving_say_why(j, "its roots were seen brown: a new solution, in a scrubbed container");
        deriving_say_loss(j, "the rot spreads to all roots");
    } else if (!p->bump_mends && p->short_s != FORECAST_NEVER &&
               j->due >= deriving_day(d, p->short_s)) {
        deriving_say_why(j,
                         "%s runs short while the rest gathers, so a bump would not mend it; "
                         "stage %s wants %s",
                         feed_words[p->lacks], p->stage->name, wants);
    } else if (j->due >= deriving_day(d, p->gathered_s)) {
        deriving_say_why(j,
                         "salts of the water have gathered, more than %.0f %% of its strength; "
                         "stage %s wants %s",
                         d->room->ballast_pct, p->stage->name, wants);
    } else {
        deriving_say_why(
            j,
            "%d days on float with this solution, as long as one serves at stage %s; it wants %s",
            (int)(j->due - deriving_day(d, p->since_s)), p->stage->name, wants);
    }
}

void derive_change(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_CHANGE, SUBJECT_CONTAINER, i, cs->solution);
    struct present p;

    if (!look_at(d, i, &p) || !change_window(d, i, &p, &j)) {
        return;
    }
    deriving_done_at(d, &j, cs->changed_s);
    j.recipe = p.stage->recipe_at;
    j.ec_ms_cm = strength_next_ms_cm(d->room, cs, p.stage);
    if (is_full(d, cs, p.stage)) {
        j.ec_ms_cm *= 1 + above(d, CHANGE_ABOVE);
    }
    j.food_ms_cm = strength_food_ms_cm(d->room, j.ec_ms_cm);
    j.volume_l = c->float_volume_l - c->remainder_l;
    /* Draining and looking take their time, and the filling takes as long as the pump does. */
    j.minutes = fmax(d->room->labour.change_min, j.volume_l / d->room->reservoir.flow_l_min);
    say_why_change(d, i, &p, &j);
    deriving_add(d, &j);
}

/* From the moment of a bump on the strength falls: where the stage's target is reached, it is made
 * stronger by nearly what a shared mix may be off in all, and lasts the longer. */
static double bump_food(const struct deriving *d, const struct container_state *cs,
                        const struct stage *stage)
{
    return strength_food_ms_cm(d->room, strength_next_ms_cm(d->room, cs, stage)) *
           (is_full(d, cs, stage) ? 1 + above(d, BUMP_ABOVE) : 1);
}

/* The stage that comes next by its age, and its day; DAY_NEVER where none does. */
static int32_t next_stage(const struct deriving *d, size_t i, const struct present *p,
                          const struct stage **out_next)
{
    const struct container_state *cs = &d->s->container[i];
    const struct crop *crop = &d->room->crop[cs->crop];
    const struct stage *next = p->stage + 1;

    *out_next = next;
    if (p->since_s > d->now_s || next == crop->stage + crop->n_stages || next->seen_only) {
        return DAY_NEVER;
    }
    return deriving_day(d, deriving_days_after(cs->started_s, next->from_day));
}

/* When the solution is spent: then the plant suffers. */
static int32_t spent_day(const struct deriving *d, size_t i, const struct present *p)
{
    const struct container_state *cs = &d->s->container[i];
    double food = strength_spent_ms_cm(d->room, cs, p->stage);

    return deriving_day(d, predict_food_below_s(d->room, d->s, i, food, 0.5, cs->at_s));
}

/* From when a bump adds enough to be worth its work, over the day on which the share of the crop
 * file is reached, to that on which the solution may be spent: then the plant suffers. What is
 * short, and mended by a bump, moves the last two forward. Never twice a day. False when it does
 * not come within a year, or so near to the harvest that it is let be. */
static bool bump_window(const struct deriving *d, size_t i, const struct present *p, int64_t last_s,
                        struct job *j)
{
    double due = strength_bump_frac(d->room, p->stage);
    double full = 1 + above(d, BUMP_ABOVE);
    double worth = full - BUMP_WORTH * (full - due);
    int32_t again = deriving_day(d, last_s) + 1;
    int32_t lacks = p->bump_mends ? deriving_day(d, p->short_s) : DAY_NEVER;
    const struct stage *next;
    int32_t step_day = next_stage(d, i, p, &next);
    int32_t due_day = order_min(falls_to(d, i, p, p->stage, due), lacks);
    int32_t worth_day;
    double days;

    if (step_day < due_day) { /* what serves this stage may be too little for the next */
        due_day = order_min(due_day, order_max(step_day, falls_to(d, i, p, next, due)));
    }

    if (due_day == DAY_NEVER) {
        return false;
    }
    worth_day = falls_to(d, i, p, p->stage, worth);
    if (due_day == step_day) { /* one before it would be the first of two */
        worth_day = order_max(worth_day, step_day);
    }
    j->due = order_max(due_day, again);
    j->earliest = order_min(j->due, order_max(worth_day, again));
    j->latest =
        order_max(j->due, order_min(spent_day(d, i, p), DAY_NEVER - BUMP_LATE_D) + BUMP_LATE_D);
    if (lacks != DAY_NEVER) {
        j->latest = order_min(j->latest, order_max(j->due, lacks + BUMP_LACKS_D));
    }
    /* It falls by (worth - due) from the first day to the due one, and by about as much a day all
     * along: so much of a bump is lost by each day that it is made earlier. */
    days = fmax(1, due_day - worth_day);
    j->early_per_day = BUMP_EARLY * d->room->labour.bump_min * (worth - due) / (full - due) / days;
    j->late_per_day = BUMP_PCT_MIN * 100 * fmin(BUMP_FALL_MOST, (worth - due) / days);
    return j->due <= deriving_harvest_window(d, i).due - BUMP_HARVEST_D;
}

static void say_why_bump(const struct deriving *d, size_t i, const struct present *p,
                         const struct forecast *then, struct job *j)
{
    const char *until =
        change_comes(d, i, p) ? "the change comes later" : "no change comes before the harvest";
    char is[QUANTITY_TEXT_MAX];
    char wants[QUANTITY_TEXT_MAX];
    char by[DAY_WORDS_MAX + 8] = "";
    char day[DAY_WORDS_MAX];
    const char *comes = j->due > d->today ? "comes" : "is";
    struct nutrients feed;

    if (j->due > d->today) {
        (void)snprintf(by, sizeof by, " by %s", day_words(day, j->due, d->today));
    }
    if (p->bump_mends && deriving_day(d, p->short_s) <= j->due) {
        feed = forecast_feed(d->room, d->s, i, deriving_morning_s(d, j->due));
        deriving_say_why(
            j, "%s %s down to about %.0f mg/L%s, and stage %s was fed %.0f; %s",
            feed_words[p->lacks], comes, nutrients_feed_mg(&feed, p->lacks), by, p->stage->name,
            crop_feed(&d->room->crop[d->s->container[i].crop],
                      (int)(p->stage - d->room->crop[d->s->container[i].crop].stage), p->lacks)
                .lo,
            until);
        return;
    }
    deriving_say_why(j, "EC %s down to %s%s, and stage %s wants %s; %s", comes,
                     deriving_strength(is, d, then->body.ec_ms_cm), by, p->stage->name,
                     wanted(wants, d, i, p->stage), until);
}

/* While an alarm of its level stands and nobody has looked, nobody knows how much a dose is for. */
static bool level_is_in_question(const struct container_state *cs)
{
    static const enum alarm_kind of_level[] = {ALARM_HIGH, ALARM_LOW, ALARM_ODD, ALARM_SWAP};
    bool open = false;

    for (size_t k = 0; k < sizeof of_level / sizeof *of_level; k++) {
        open = open || cs->alarms.of[of_level[k]].since_s;
    }
    return open && cs->alarms.seen != cs->alarms.opened;
}

/* Between changes: the strength is down, and the next change may not come yet. */
void derive_bump(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j =
        deriving_job(TASK_BUMP, SUBJECT_CONTAINER, i, job_bump_cycle(cs->solution, cs->bumps));
    int64_t last_s = deriving_later(cs->bumped_s, cs->changed_s);
    struct present p;
    struct forecast then;

    if (!look_at(d, i, &p) || cs->drained || level_is_in_question(cs) ||
        !bump_window(d, i, &p, last_s, &j)) {
        return;
    }
    if (p.roots_s && change_comes(d, i, &p)) { /* poured away by tomorrow */
        return;
    }
    then = forecast_container(d->room, d->s, i, deriving_morning_s(d, j.due));
    deriving_done_at(d, &j, last_s);
    j.recipe = p.stage->recipe_at;
    j.food_ms_cm = bump_food(d, cs, p.stage);
    j.ec_ms_cm = j.food_ms_cm + then.body.water_ms_cm;
    j.volume_l = then.body.volume_l;
    j.minutes = d->room->labour.bump_min;
    say_why_bump(d, i, &p, &then, &j);
    deriving_say_loss(&j, "growth slows until the %s",
                      change_comes(d, i, &p) ? "change" : "harvest");
    deriving_add(d, &j);
}

/* A tenth beyond the band is the meter's doubt. Of a solution that was just made too: but where it
 * only waits for its gas to leave, it rises by itself. */
static bool ph_is_out(const struct container_state *cs, const struct stage *stage)
{
    bool rises = cs->stirred_s == cs->ph.at_s && cs->drift.from_ph >= stage->ph_min;

    return cs->ph.value > stage->ph_max + PH_DOUBT ||
           (cs->ph.value < stage->ph_min - PH_DOUBT && !rises);
}

/* Will it leave its band before anybody comes again, and can be set so much further from there that
 * a meter tells the two apart? Whoever read it stands at the bucket: that saves a walk. One whose
 * gas takes it out of its band is set as low in there as can be (steps_ph.c). */
static bool ph_is_leaving(const struct deriving *d, size_t i, const struct forecast *now,
                          const struct stage *stage)
{
    const struct container_state *cs = &d->s->container[i];
    double aim = cs->drift.from_ph > stage->ph_max + PH_DOUBT
                     ? stage->ph_min
                     : ph_drift_aim(stage->ph_min, stage->ph_max, forecast_ph_day(d->s, i, now),
                                    stage->life_max_day);

    return cs->stirred_s != cs->ph.at_s && cs->drift.from_s == cs->ph.at_s &&
           fabs(cs->ph.value - aim) >= PH_STEP_LEAST &&
           deriving_ph_leaves_day(d, i, now, stage) <= PH_LEAVES_D;
}

static void say_why_ph(const struct container_state *cs, const struct stage *stage, struct job *j)
{
    deriving_say_why(j, "pH was %.1f, and %sstage %s wants%s %.1f to %.1f", cs->ph.value,
                     ph_is_out(cs, stage) ? "" : "drifts out of what ", stage->name,
                     ph_is_out(cs, stage) ? "" : ",", stage->ph_min, stage->ph_max);
}

/* Not yet with its plant: the second dose of a new solution, on the morrow. */
static void derive_second_dose(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_PH, SUBJECT_CONTAINER, i, cs->readings);

    j.earliest = deriving_day(d, cs->started_s) + 1;
    j.due = j.earliest + 1; /* two nights take nearly all of its gas */
    j.latest = j.due + SECOND_LATE_D;
    deriving_done_at(d, &j, cs->started_s);
    j.volume_l = cs->body.volume_l;
    j.minutes = d->room->labour.ph_min;
    deriving_say_why(&j,
                     "its gas has left by then, it comes to rest at pH %.1f, and its seedling "
                     "waits for the second dose",
                     cs->drift.from_ph);
    deriving_say_loss(&j, "with roots in it, it is set half a unit a day and no more");
    deriving_add(d, &j);
}

/* Due at once where it is out of its band, and on the next walk at the latest: whoever read it
 * stands at the bucket. Inside of it nothing is asked that can wait. The cycle is that of readings,
 * so that the next one asks anew. A step that was set is read on the morrow before another is
 * (jobs_care.c). */
void derive_container_ph(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_PH, SUBJECT_CONTAINER, i, cs->readings);
    const struct stage *stage;
    struct forecast now;
    bool far;

    if (standing_for_seedling(d->room, d->s, i, d->now_s)) {
        derive_second_dose(d, i);
        return;
    }
    /* A reading from before the change was of a solution that is gone. */
    if (cs->crop < 0 || cs->drained || !cs->ph.at_s || cs->ph.at_s < cs->changed_s ||
        cs->ph_set_s == cs->ph.at_s) {
        return;
    }
    now = forecast_container(d->room, d->s, i, d->now_s);
    stage = &d->room->crop[cs->crop].stage[now.stage];
    if (!ph_is_out(cs, stage) && !ph_is_leaving(d, i, &now, stage)) {
        return;
    }
    j.earliest = j.due = deriving_day(d, cs->ph.at_s);
    far = cs->ph.value > stage->ph_max + PH_FAR || cs->ph.value < stage->ph_min - PH_FAR;
    j.latest = j.due + (far ? PH_FAR_LATE_D : PH_LATE_D);
    j.volume_l = now.body.volume_l;
    j.minutes = d->room->labour.ph_min;
    say_why_ph(cs, stage, &j);
    deriving_say_loss(&j, "outside of its band the plant cannot take up what is there");
    deriving_add(d, &j);
}
