#include "daemon/core/work/job.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/trust.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const task_words[TASK_KIND_N] = {
    [TASK_START] = "start",     [TASK_CHECK] = "check",
    [TASK_CHANGE] = "change",   [TASK_BUMP] = "bump",
    [TASK_PH] = "ph",           [TASK_READ] = "read",
    [TASK_FILL] = "fill",       [TASK_CALIBRATE] = "calibrate",
    [TASK_CARE] = "care",       [TASK_REORDER] = "reorder",
    [TASK_HARVEST] = "harvest", [TASK_LOOK] = "look",
};

/* Common practice, no source: how early and how late around the day that is due. */
#define START_LATE_D  7
#define WIDE_S        (6 * 86400LL) /* from as likely as not to all but sure */
#define CHECK_LATE_D  3
#define CHECK_AGAIN_D 2
#define FIRST_LOOK_FRAC                                                                            \
    0.4                    /* of the predicted drawdown: shows a slow or a thirsty plant in time   \
                            */
#define FIRST_LOOK_CLEAR 4 /* days between the first look and the one at the float line */
#define BUMP_AGAIN_D     2 /* or the day after, where it is as likely spent as not */
#define BUMP_LATE_D      1
#define BUMP_HARVEST_D   2    /* so near to the harvest the strength is let be */
#define BUMP_RISK        0.20 /* of being spent already on the day of a bump */
#define SERVES_LEAST     0.5 /* of its least life: for less than that before a harvest none is made */
#define READ_AROUND_D    2
#define CARE_EARLY_D     3
#define CARE_LATE_D      7
#define FILL_EARLY_D     3
#define FILL_AHEAD_D     2    /* a day may be forgotten, and the plants drink on */
#define FILL_RISK        0.05 /* of being at the low mark before it is filled */
#define FILL_WORTH_FRAC  0.25 /* of the usable volume: below that a fill is not worth the walk */
#define REORDER_LATE_D   3
#define REORDER_AHEAD_D  14
#define CLEAN_LATE_D     3
#define OFF_MOST_D       60 /* days off in a row; after more of them work is not put off */

struct deriving {
    const struct room *room;
    const struct state *s;
    int64_t now_s;
    int32_t today;
    int32_t end_day; /* first day that no longer matters */
    struct jobs *out;
};

char *job_word(char buf[ENTRY_WORD_MAX + 1], const struct job *j)
{
    (void)snprintf(buf, ENTRY_WORD_MAX + 1, "%s%s%s", task_words[j->kind],
                   j->kind == TASK_CARE ? " " : "", j->kind == TASK_CARE ? care_word(j->care) : "");
    return buf;
}

int job_compare_keys(const struct job *a, const struct job *b)
{
    if (a->kind != b->kind) {
        return a->kind < b->kind ? -1 : 1;
    }
    if (a->care != b->care) {
        return a->care < b->care ? -1 : 1;
    }
    if (a->subject.kind != b->subject.kind) {
        return a->subject.kind < b->subject.kind ? -1 : 1;
    }
    if (a->subject.at != b->subject.at) {
        return a->subject.at < b->subject.at ? -1 : 1;
    }
    return a->cycle < b->cycle ? -1 : a->cycle > b->cycle;
}

void jobs_deinit(struct jobs *js)
{
    free(js->job);
    *js = (struct jobs){0};
}

static int32_t max_day(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

static int32_t min_day(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

static int64_t latest_of(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

/* What never comes is after all days. */
static int32_t day_of_instant(const struct deriving *d, int64_t t_s)
{
    return t_s == FORECAST_NEVER ? INT32_MAX : zone_day(&d->room->zone, t_s);
}

static int64_t days_after(int64_t t_s, double days)
{
    return t_s + (int64_t)(days * 86400);
}

static const struct hold *find_hold(const struct state *s, const struct job *j)
{
    char word[ENTRY_WORD_MAX + 1];

    if (s->n_holds == 0) {
        return NULL;
    }
    (void)job_word(word, j);
    for (size_t i = 0; i < s->n_holds; i++) {
        const struct hold *h = &s->hold[i];

        if (h->subject.kind == j->subject.kind && h->subject.at == j->subject.at &&
            h->cycle == j->cycle && strcmp(h->what, word) == 0) {
            return h;
        }
    }
    return NULL;
}

bool job_is_dropped(const struct state *s, const struct job *j, int32_t today)
{
    const struct hold *h = find_hold(s, j);

    return h && h->dropped && h->until_day > today;
}

__attribute__((format(printf, 2, 3))) static void because(struct job *j, const char *fmt, ...)
{
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(j->why, sizeof j->why, fmt, ap);
    va_end(ap);
}

static void or_else(struct job *j, const char *loss)
{
    (void)snprintf(j->loss, sizeof j->loss, "%s", loss);
}

/* The working day that is nearest to `day`, sooner rather than later; DAY_NONE where there is none
 * from `from` to `to`. */
static int32_t working_day(const struct room *room, int32_t day, int32_t from, int32_t to)
{
    for (int32_t near = min_day(day, to); near >= from; near--) {
        if (!room_is_off(room, near)) {
            return near;
        }
    }
    for (int32_t near = max_day(day, from); near <= to; near++) {
        if (!room_is_off(room, near)) {
            return near;
        }
    }
    return DAY_NONE;
}

/* Nobody works on days off: what falls on them is done before, or else as soon as may be after. */
static void leave_days_off(const struct deriving *d, const struct hold *h, struct job *j)
{
    /* Not twice a day, nor before the day that it was put off to. */
    int32_t again = j->done_on >= d->today ? d->today + 1 : d->today;
    int32_t soonest = h ? max_day(again, h->until_day) : again;
    int32_t from = max_day(j->earliest, d->today);
    int32_t to = max_day(j->latest, from);
    int32_t due = working_day(d->room, j->due, from, to);

    if (due != DAY_NONE) {
        j->due = j->due < d->today ? j->due : due;
        j->latest = max_day(j->due, working_day(d->room, j->latest, from, to));
        return;
    }
    if (j->kind == TASK_LOOK || j->kind == TASK_FILL) { /* cannot wait: sooner, or all the same */
        due = working_day(d->room, from, soonest, from);
    } else {
        due = working_day(d->room, from, soonest, from + OFF_MOST_D);
    }
    if (due != DAY_NONE) {
        j->earliest = j->due = j->latest = due;
    }
}

static void add(const struct deriving *d, struct job *j)
{
    const struct hold *h = find_hold(d->s, j);

    if (h && h->dropped && h->until_day > d->today) {
        return;
    }
    if (h && !h->dropped) {
        j->earliest = max_day(j->earliest, h->until_day);
    }
    j->due = max_day(j->due, j->earliest);
    j->latest = max_day(j->latest, j->due);
    leave_days_off(d, h, j);
    if (j->earliest >= d->end_day) {
        return;
    }
    d->out->job = mem_grow(d->out->job, &d->out->cap, d->out->n + 1, sizeof *d->out->job);
    d->out->job[d->out->n++] = *j;
}

static char *volume(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double volume_l)
{
    return quantity_format(buf, QUANTITY_VOLUME, volume_l, &d->room->units);
}

static char *strength(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double ec_ms_cm)
{
    return quantity_format(buf, QUANTITY_EC, ec_ms_cm, &d->room->units);
}

static struct job job_for(enum task_kind kind, enum subject_kind subject, size_t at, int32_t cycle)
{
    return (struct job){
        .kind = kind, .subject = {subject, at},
             .cycle = cycle, .done_on = DAY_NONE
    };
}

static void done_at(const struct deriving *d, struct job *j, int64_t last_s)
{
    j->done_on = last_s ? day_of_instant(d, last_s) : DAY_NONE;
}

static void derive_start(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct container_state *cs = &d->s->container[i];
    const struct crop *crop = &d->room->crop[c->crop];
    struct job j = job_for(TASK_START, SUBJECT_CONTAINER, i, cs->planting);
    char ec[QUANTITY_TEXT_MAX];

    if (cs->crop >= 0 || cs->needs_cleaning) {
        return;
    }
    if (cs->planting == 0 && c->start_on != DAY_NONE) {
        j.due = c->start_on;
    } else if (cs->planting > 0 && c->replant && cs->cleaned_s) {
        j.due = day_of_instant(d, cs->cleaned_s) + 1;
    } else {
        return;
    }
    j.earliest = j.due;
    j.latest = j.due + START_LATE_D;
    j.recipe = crop->stage[0].recipe_at;
    j.ec_ms_cm = crop->start_ec_ms_cm;
    j.volume_l = c->start_volume_l;
    j.minutes = d->room->labour.start_min;
    because(&j, "%s starts with a weak solution of %s", crop->name, strength(ec, d, j.ec_ms_cm));
    or_else(&j, "the seedling outgrows its tray");
    add(d, &j);
}

/* The figures of a container were last known; after a change they are the mix's. */
static int64_t measured_s(const struct container_state *cs)
{
    return latest_of(cs->changed_s, latest_of(cs->ec.at_s, cs->ph.at_s));
}

/* Will the first reading of a planting, which tells the level too, come by then? */
static bool read_by(const struct deriving *d, const struct container_state *cs, int32_t day)
{
    double every_day = d->room->care_every_day[CARE_READ];

    return every_day > 0 && cs->readings <= 1 &&
           day_of_instant(d, days_after(measured_s(cs), every_day)) <= day;
}

/* When the level is to be looked at. A first look halfway is worth its walk only while the forecast
 * is wide; then not before the float is as likely as not to be open, and not after it is all but
 * sure, so that one look mostly serves. */
static void derive_check(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = job_for(TASK_CHECK, SUBJECT_CONTAINER, i, cs->looks);
    int64_t even_s;
    int64_t sure_s;
    char day[DAY_TEXT_MAX];

    if (cs->crop < 0 || cs->float_s || cs->drained) {
        return;
    }
    even_s = predict_float_s(d->room, d->s, i, 0.50);
    sure_s = predict_float_s(d->room, d->s, i, 0.95);
    if (even_s == FORECAST_NEVER || sure_s == FORECAST_NEVER) {
        return;
    }
    done_at(d, &j, cs->looked_s);
    j.minutes = d->room->labour.check_min;
    if (cs->looks == 0 && sure_s - even_s > WIDE_S &&
        d->today < day_of_instant(d, even_s) - FIRST_LOOK_CLEAR) {
        int64_t first_s =
            cs->started_s + (int64_t)(FIRST_LOOK_FRAC * (double)(even_s - cs->started_s));

        j.due = day_of_instant(d, first_s);
        j.earliest = j.due - 1;
        j.latest = max_day(
            j.due, min_day(j.due + CHECK_LATE_D, day_of_instant(d, even_s) - FIRST_LOOK_CLEAR));
        if (read_by(d, cs, j.latest)) {
            return;
        }
        because(&j, "a first look at the level shows a slow or a thirsty plant in time");
        or_else(&j, "the forecast of the float line stays a guess");
        add(d, &j);
        return;
    }
    j.earliest = day_of_instant(d, even_s);
    if (cs->looked_s) {
        j.earliest = max_day(j.earliest, day_of_instant(d, cs->looked_s) + CHECK_AGAIN_D);
    }
    j.due = max_day(j.earliest, day_of_instant(d, predict_float_s(d->room, d->s, i, 0.75)));
    j.latest = max_day(j.due, day_of_instant(d, sure_s)) + 1;
    because(&j, "the float line is expected on %s; see whether the valve works",
            day_format(day, day_of_instant(d, even_s)));
    or_else(&j, "a float that does not open lets the plant run dry");
    add(d, &j);
}

static struct job harvest_of(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    const struct crop *crop = &d->room->crop[cs->crop];
    struct job j = job_for(TASK_HARVEST, SUBJECT_CONTAINER, i, cs->planting);

    j.due = day_of_instant(d, days_after(cs->started_s, crop->harvest_day));
    j.earliest = j.due - (int32_t)crop->harvest_window_day;
    j.latest = j.due + (int32_t)crop->harvest_window_day;
    return j;
}

static void derive_harvest(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j;

    if (cs->needs_cleaning) {
        j = job_for(TASK_HARVEST, SUBJECT_CONTAINER, i, cs->planting);
        j.earliest = j.due = day_of_instant(d, cs->harvested_s);
        j.latest = j.due + CLEAN_LATE_D;
        because(&j, "it was harvested and waits to be cleaned");
        or_else(&j, "old roots rot, and the place stands empty");
    } else if (cs->crop >= 0) {
        j = harvest_of(d, i);
        because(&j, "%s is %.0f days old then", d->room->crop[cs->crop].name,
                d->room->crop[cs->crop].harvest_day);
        or_else(&j, "it grows past its best and takes the place of the next");
    } else {
        return;
    }
    j.minutes = d->room->labour.harvest_min;
    add(d, &j);
}

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

/* The window of the next change; false when there is none before the harvest. */
static bool change_window(const struct deriving *d, size_t i, struct job *j,
                          const struct stage **out_stage)
{
    const struct container_state *cs = &d->s->container[i];
    const struct crop *crop = &d->room->crop[cs->crop];
    int64_t since_s = forecast_solution_since_s(d->room, d->s, i);
    const struct stage *stage;
    struct forecast then;
    int32_t serves;

    if (since_s == FORECAST_NEVER) {
        return false;
    }
    then = forecast_container(d->room, d->s, i, since_s > d->now_s ? since_s : d->now_s);
    stage = &crop->stage[then.stage];
    j->earliest = day_of_instant(d, days_after(since_s, stage->life_min_day));
    j->latest = day_of_instant(d, days_after(since_s, stage->life_max_day));
    j->due = j->latest; /* until then bumps keep it up, and pour nothing away */
    if (cs->drained) {
        j->earliest = j->due = j->latest = day_of_instant(d, cs->at_s);
    }
    *out_stage = stage;
    serves = (int32_t)ceil(SERVES_LEAST * stage->life_min_day);
    return cs->drained || j->due <= harvest_of(d, i).due - serves;
}

static void derive_change(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct container_state *cs = &d->s->container[i];
    struct job j = job_for(TASK_CHANGE, SUBJECT_CONTAINER, i, cs->solution);
    const struct stage *stage;
    char wants[QUANTITY_TEXT_MAX];
    int64_t since_s;

    if (cs->crop < 0 || !change_window(d, i, &j, &stage)) {
        return;
    }
    since_s = forecast_solution_since_s(d->room, d->s, i);
    done_at(d, &j, cs->changed_s);
    j.recipe = stage->recipe_at;
    j.ec_ms_cm = next_strength(cs, &d->room->crop[cs->crop], stage);
    j.volume_l = c->float_volume_l - c->remainder_l;
    j.minutes = fmax(d->room->labour.change_min, j.volume_l / d->room->reservoir.flow_l_min);
    if (cs->drained) {
        because(&j, "it was drained and waits for its new solution");
    } else {
        because(&j, "%d days on float with this solution; %s keeps none for longer, and wants %s",
                (int)(j.due - day_of_instant(d, since_s)), stage->name,
                strength(wants, d, stage->ec_ms_cm));
    }
    or_else(&j, "the plant starves on water");
    add(d, &j);
}

/* From the moment of a bump on the strength falls: where the stage's target is reached, it is made as
 * strong as a shared mix might be, and lasts the longer. */
static double bump_strength(const struct deriving *d, const struct container_state *cs,
                            const struct stage *stage)
{
    double ec_ms_cm = next_strength(cs, &d->room->crop[cs->crop], stage);
    bool full = ec_ms_cm >= stage->ec_ms_cm && cs->step_mood >= 0;

    return full ? ec_ms_cm * (1 + d->room->tolerance_pct / 100) : ec_ms_cm;
}

/* Between changes: the strength is down, and the next change may not come yet. */
static void derive_bump(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job change = {0};
    struct job j = job_for(TASK_BUMP, SUBJECT_CONTAINER, i, cs->solution * 1000 + cs->bumps);
    const struct stage *stage = NULL;
    struct forecast now;
    char is[QUANTITY_TEXT_MAX];
    char wants[QUANTITY_TEXT_MAX];
    int64_t spent_s;
    int64_t even_s;
    int32_t again;
    int64_t last_s = cs->bumped_s > cs->changed_s ? cs->bumped_s : cs->changed_s;
    bool changes;

    if (cs->crop < 0 || cs->drained) {
        return;
    }
    changes = change_window(d, i, &change, &stage);
    if (!stage) { /* not on float yet */
        return;
    }
    spent_s = predict_ec_below_s(d->room, d->s, i, spent_ec(cs, stage), BUMP_RISK, cs->at_s);
    if (spent_s == FORECAST_NEVER) {
        return;
    }
    even_s = predict_ec_below_s(d->room, d->s, i, spent_ec(cs, stage), 0.5, cs->at_s);
    again = max_day(day_of_instant(d, last_s) + 1,
                    min_day(day_of_instant(d, even_s), day_of_instant(d, last_s) + BUMP_AGAIN_D));
    j.earliest = max_day(day_of_instant(d, spent_s), again);
    j.due = j.earliest;
    j.latest = j.earliest + BUMP_LATE_D;
    if (j.due > harvest_of(d, i).due - BUMP_HARVEST_D) {
        return;
    }
    now = forecast_container(
        d->room, d->s, i,
        zone_instant_s(&d->room->zone, max_day(j.due, d->today), d->room->day_start_s));
    done_at(d, &j, last_s);
    j.recipe = stage->recipe_at;
    j.ec_ms_cm = bump_strength(d, cs, stage);
    j.volume_l = now.body.volume_l;
    j.minutes = d->room->labour.bump_min;
    because(&j, "EC is down to %s, and %s wants %s; %s", strength(is, d, now.body.ec_ms_cm),
            stage->name, strength(wants, d, stage->ec_ms_cm),
            changes ? "the change comes later" : "no change comes before the harvest");
    or_else(&j, changes ? "growth slows until the change" : "growth slows until the harvest");
    add(d, &j);
}

static void derive_container_ph(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = job_for(TASK_PH, SUBJECT_CONTAINER, i, cs->readings);
    const struct stage *stage;
    struct forecast now;

    if (cs->crop < 0 || cs->drained || !cs->ph.at_s || cs->ph.at_s < cs->changed_s) {
        return;
    }
    now = forecast_container(d->room, d->s, i, d->now_s);
    stage = &d->room->crop[cs->crop].stage[now.stage];
    if (cs->ph.value >= stage->ph_min && cs->ph.value <= stage->ph_max) {
        return;
    }
    j.earliest = j.due = day_of_instant(d, cs->ph.at_s);
    j.latest = j.due + 1;
    j.volume_l = now.body.volume_l;
    j.minutes = d->room->labour.ph_min;
    because(&j, "pH was %.1f, and %s wants %.1f to %.1f", cs->ph.value, stage->name, stage->ph_min,
            stage->ph_max);
    or_else(&j, "outside of its band the plant cannot take up what is there");
    add(d, &j);
}

static void derive_reservoir_ph(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = job_for(TASK_PH, SUBJECT_RESERVOIR, 0, r->readings);

    if (!r->ph.at_s || r->holds_mix ||
        fabs(r->ph.value - d->room->reservoir.ph_target) <= d->room->reservoir.ph_tolerance) {
        return;
    }
    j.earliest = j.due = day_of_instant(d, r->ph.at_s);
    j.latest = j.due + 1;
    j.volume_l = forecast_reservoir(d->room, d->s, d->now_s).volume_l;
    j.minutes = d->room->labour.ph_min;
    because(&j, "pH was %.1f, and the reservoir is kept at %.1f", r->ph.value,
            d->room->reservoir.ph_target);
    or_else(&j, "every container on float drifts with it");
    add(d, &j);
}

static void add_reading(const struct deriving *d, struct job *j, int64_t last_s)
{
    double every_day = d->room->care_every_day[CARE_READ];
    char day[DAY_TEXT_MAX];

    j->due = day_of_instant(d, days_after(last_s, every_day));
    j->earliest = j->due - READ_AROUND_D;
    j->latest = j->due + READ_AROUND_D;
    done_at(d, j, last_s);
    j->minutes = d->room->labour.read_min;
    because(j, "last measured on %s", day_format(day, day_of_instant(d, last_s)));
    or_else(j, "nobody knows what is in there");
    add(d, j);
}

static void derive_read(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = job_for(TASK_READ, SUBJECT_RESERVOIR, 0, r->readings);

    if (!(d->room->care_every_day[CARE_READ] > 0)) {
        return;
    }
    for (size_t i = 0; i < d->s->n_containers; i++) {
        const struct container_state *cs = &d->s->container[i];
        struct job one = job_for(TASK_READ, SUBJECT_CONTAINER, i, cs->readings);

        if (cs->crop >= 0 && !cs->drained) {
            add_reading(d, &one, measured_s(cs));
        }
    }
    if (r->at_s && !r->holds_mix) {
        add_reading(
            d, &j,
            latest_of(latest_of(d->s->first_s, r->rinsed_s), latest_of(r->ec.at_s, r->ph.at_s)));
    }
}

/* The last day on which a fill is in time although it be forgotten once, or twice before days on which
 * nobody would see that it was. */
static int32_t in_good_time(const struct deriving *d, int32_t day)
{
    int worked = 0;
    int wanted = 2;

    for (int n = 0; n < OFF_MOST_D && worked < wanted; n++) {
        bool off = room_is_off(d->room, --day);

        worked += !off;
        wanted = off ? 3 : wanted;
    }
    return day;
}

/* The days on which plain water is to be let in. */
static void fill_window(const struct deriving *d, struct job *j)
{
    const struct reservoir *v = &d->room->reservoir;
    const struct reservoir_state *r = &d->s->reservoir;
    double worth_l = v->capacity_l - FILL_WORTH_FRAC * (v->capacity_l - v->remainder_l);
    int64_t low_s = predict_reservoir_s(d->room, d->s, v->low_l, FILL_RISK, r->at_s);
    int64_t rest_s = predict_reservoir_s(d->room, d->s, v->remainder_l, FILL_RISK, r->at_s);
    int64_t worth_s = forecast_reservoir_at_s(d->room, d->s, worth_l, r->at_s);
    char day[DAY_TEXT_MAX];
    char low[QUANTITY_TEXT_MAX];

    if (low_s == FORECAST_NEVER) {
        j->earliest = INT32_MAX;
        return;
    }
    j->due = min_day(day_of_instant(d, low_s) - FILL_AHEAD_D,
                     in_good_time(d, day_of_instant(d, rest_s)));
    j->due = max_day(j->due, day_of_instant(d, r->at_s));
    j->earliest = max_day(day_of_instant(d, worth_s), j->due - FILL_EARLY_D);
    j->earliest = min_day(j->earliest, j->due);
    j->latest =
        rest_s == FORECAST_NEVER ? j->due + 1 : max_day(j->due, day_of_instant(d, rest_s) - 1);
    because(j, "it may be down to its low mark of %s by %s", volume(low, d, v->low_l),
            day_format(day, day_of_instant(d, low_s)));
}

static void derive_fill(const struct deriving *d)
{
    const struct reservoir *v = &d->room->reservoir;
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = job_for(TASK_FILL, SUBJECT_RESERVOIR, 0, r->fills);
    struct liquid then;

    if (!r->at_s) {
        j.earliest = j.due = d->s->first_s ? day_of_instant(d, d->s->first_s) : d->today;
        j.latest = j.due + 1;
        because(&j, "the reservoir was never filled");
    } else if (r->holds_mix) {
        j.earliest = j.due = j.latest = day_of_instant(d, r->at_s);
        because(&j, "it still holds a mix: empty and rinse it, then fill it with plain water");
    } else if (r->body.volume_l <= v->remainder_l) {
        j.earliest = j.due = j.latest = day_of_instant(d, r->at_s);
        because(&j, "the reservoir is empty, and the floats wait for water");
    } else {
        fill_window(d, &j);
    }
    if (j.earliest == INT32_MAX) {
        return;
    }
    if (r->filled_s && !r->holds_mix) { /* the source had no more that day */
        j.earliest = max_day(j.earliest, day_of_instant(d, r->filled_s) + 1);
    }
    then = forecast_reservoir(
        d->room, d->s,
        zone_instant_s(&d->room->zone, max_day(j.due, d->today), d->room->day_start_s));
    j.volume_l = v->capacity_l - (r->holds_mix ? 0 : then.volume_l);
    done_at(d, &j, r->filled_s);
    j.minutes = d->room->labour.fill_min;
    or_else(&j, "every container on float runs dry");
    add(d, &j);
}

static void derive_calibrate(const struct deriving *d, size_t i)
{
    const struct meter *m = &d->room->meter[i];
    const struct meter_state *ms = &d->s->meter[i];
    struct job j = job_for(TASK_CALIBRATE, SUBJECT_METER, i, ms->calibrations);
    char day[DAY_TEXT_MAX];
    char why[TRUST_WHY_MAX];

    if (ms->calibrated_s && trust_of_meter(d->room, d->s, i, ms->calibrated_s, why) == TRUST_BAD) {
        j.due = day_of_instant(d, ms->calibrated_s); /* again, once it is clean or replaced */
        because(&j, "%s", why);
    } else if (ms->calibrated_s) {
        j.due = day_of_instant(d, days_after(ms->calibrated_s, m->calibrate_every_day));
        because(&j, "last calibrated on %s", day_format(day, day_of_instant(d, ms->calibrated_s)));
    } else {
        j.due = d->s->first_s ? day_of_instant(d, d->s->first_s) : d->today;
        because(&j, "never calibrated yet, as far as the journal knows");
    }
    j.earliest = j.due - CARE_EARLY_D;
    j.latest = j.due + CARE_EARLY_D;
    done_at(d, &j, ms->calibrated_s);
    j.minutes = d->room->labour.calibrate_min;
    or_else(&j, "every figure it gives is in doubt");
    add(d, &j);
}

static void add_care(const struct deriving *d, struct job *j, enum care_kind care, int64_t last_s)
{
    char day[DAY_TEXT_MAX];

    if (!(d->room->care_every_day[care] > 0) || last_s == 0) {
        return;
    }
    j->care = care;
    j->due = day_of_instant(d, days_after(last_s, d->room->care_every_day[care]));
    j->earliest = j->due - CARE_EARLY_D;
    j->latest = j->due + CARE_LATE_D;
    done_at(d, j, last_s);
    j->minutes = d->room->labour.care_min;
    because(j, "last seen to on %s", day_format(day, day_of_instant(d, last_s)));
    or_else(j, "it clogs or sticks when nobody looks");
    add(d, j);
}

static void derive_care(const struct deriving *d)
{
    static const enum care_kind each[] = {CARE_FLOAT, CARE_VALVE};
    struct job filter = job_for(TASK_CARE, SUBJECT_ROOM, 0, d->s->cares[CARE_FILTER]);
    struct job tank = job_for(TASK_CARE, SUBJECT_RESERVOIR, 0, d->s->cares[CARE_RESERVOIR]);

    for (size_t k = 0; k < sizeof each / sizeof *each; k++) {
        for (size_t i = 0; i < d->s->n_containers; i++) {
            const struct container_state *cs = &d->s->container[i];
            struct job j = job_for(TASK_CARE, SUBJECT_CONTAINER, i, cs->cares[each[k]]);

            if (cs->crop >= 0) {
                add_care(d, &j, each[k], latest_of(cs->care_s[each[k]], cs->started_s));
            }
        }
    }
    add_care(d, &filter, CARE_FILTER, latest_of(d->s->care_s[CARE_FILTER], d->s->first_s));
    add_care(d, &tank, CARE_RESERVOIR, latest_of(d->s->care_s[CARE_RESERVOIR], d->s->first_s));
}

/* What the jobs so far will take of each product in the coming days. */
static void expect_use(const struct deriving *d, double *need)
{
    for (size_t i = 0; i < d->out->n; i++) {
        const struct job *j = &d->out->job[i];
        const struct recipe *r = &d->room->recipe[j->recipe];
        double share;

        if ((j->kind != TASK_START && j->kind != TASK_CHANGE) ||
            j->due >= d->today + REORDER_AHEAD_D) {
            continue;
        }
        share = solution_dose(j->ec_ms_cm, d->room->source.ec_ms_cm, r->ec_gain_ms_cm);
        for (size_t k = 0; k < r->n_doses; k++) {
            need[r->dose[k].product] += share * r->dose[k].per_l * j->volume_l;
        }
    }
}

static void derive_reorder(const struct deriving *d)
{
    double *need = mem_array(d->s->n_products, sizeof *need);

    expect_use(d, need);
    for (size_t i = 0; i < d->s->n_products; i++) {
        const struct product *p = &d->room->product[i];
        const struct product_state *ps = &d->s->product[i];
        struct job j = job_for(TASK_REORDER, SUBJECT_PRODUCT, i, ps->receipts);
        enum quantity q = p->kind == PRODUCT_DRY ? QUANTITY_DRY : QUANTITY_LIQUID;
        char left[QUANTITY_TEXT_MAX];
        char wants[QUANTITY_TEXT_MAX];

        if (!(p->reorder_at > 0) || ps->ordered || ps->left - need[i] > p->reorder_at) {
            continue;
        }
        j.earliest = j.due = d->today;
        j.latest = d->today + REORDER_LATE_D;
        j.minutes = d->room->labour.reorder_min;
        because(&j, "%s left, and the next two weeks take %s",
                quantity_format(left, q, ps->left, &d->room->units),
                quantity_format(wants, q, need[i], &d->room->units));
        or_else(&j, "a mix cannot be made when it is due");
        add(d, &j);
    }
    free(need);
}

/* One job a subject, about the gravest of what is wrong with it. */
static void derive_looks(const struct deriving *d)
{
    struct alarms alarms;

    alarms_derive(d->room, d->s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];
        const struct alarm_states *m = alarm_states_of(d->s, a->subject);
        struct job j = job_for(TASK_LOOK, a->subject.kind, a->subject.at, m->opened);
        bool told = a->seen;

        for (size_t k = 0; k < i; k++) {
            told = told || (alarms.alarm[k].subject.kind == a->subject.kind &&
                            alarms.alarm[k].subject.at == a->subject.at);
        }
        if (told) {
            continue;
        }
        j.earliest = j.due = day_of_instant(d, a->since_s);
        j.latest = j.due + 1;
        j.minutes = d->room->labour.check_min;
        because(&j, "%s", a->says);
        (void)snprintf(j.loss, sizeof j.loss, "look first: %.100s", a->look);
        add(d, &j);
    }
    alarms_deinit(&alarms);
}

void jobs_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                 struct jobs *out)
{
    struct deriving d = {.room = room, .s = s, .now_s = now_s, .out = out};

    static void (*const of_container[])(const struct deriving *, size_t) = {
        derive_start, derive_check, derive_change, derive_bump, derive_container_ph, derive_harvest,
    };

    d.today = zone_day(&room->zone, now_s);
    d.end_day = d.today + horizon_days;
    for (size_t k = 0; k < sizeof of_container / sizeof *of_container; k++) {
        for (size_t i = 0; i < s->n_containers; i++) {
            of_container[k](&d, i);
        }
    }
    derive_reservoir_ph(&d);
    derive_read(&d);
    derive_fill(&d);
    for (size_t i = 0; i < s->n_meters; i++) {
        derive_calibrate(&d, i);
    }
    derive_care(&d);
    derive_reorder(&d);
    derive_looks(&d);
}

/* The container that a job is about; an idle one where it is about something else. */
static const struct container_state *container_of(const struct state *s, const struct job *j)
{
    static const struct container_state none = {.crop = -1};

    return j->subject.kind == SUBJECT_CONTAINER ? &s->container[j->subject.at] : &none;
}

/* The cycle at which the subject stands now. */
static int32_t cycle_now(const struct state *s, const struct job *j)
{
    bool pot = j->subject.kind == SUBJECT_CONTAINER;
    const struct container_state *cs = container_of(s, j);

    switch (j->kind) {
    case TASK_START:
        return cs->planting;
    case TASK_CHECK:
        return cs->float_s ? cs->looks + 1 : cs->looks;
    case TASK_CHANGE:
        return cs->solution;
    case TASK_BUMP:
        return cs->solution == j->cycle / 1000 ? cs->solution * 1000 + cs->bumps : j->cycle;
    case TASK_PH:
    case TASK_READ:
        return pot ? cs->readings : s->reservoir.readings;
    case TASK_FILL:
        return s->reservoir.fills;
    case TASK_CALIBRATE:
        return s->meter[j->subject.at].calibrations;
    case TASK_CARE:
        return pot ? cs->cares[j->care] : s->cares[j->care];
    case TASK_REORDER:
        return s->product[j->subject.at].receipts + s->product[j->subject.at].ordered;
    case TASK_HARVEST:
        return cs->crop < 0 && !cs->needs_cleaning ? cs->planting + 1 : cs->planting;
    case TASK_LOOK:
        return alarm_states_of(s, j->subject) && alarm_states_of(s, j->subject)->seen >= j->cycle
                   ? j->cycle + 1
                   : j->cycle;
    case TASK_KIND_N:
        break;
    }
    return j->cycle;
}

bool job_is_done(const struct state *s, const struct job *j)
{
    return cycle_now(s, j) > j->cycle;
}

void job_gone_reason(const struct room *room, const struct state *s, const struct job *j,
                     int64_t now_s, char *buf, size_t len)
{
    const char *name = room_subject_name(room, j->subject);
    const struct container_state *cs = container_of(s, j);
    char day[DAY_TEXT_MAX];

    if (cs->crop < 0 && cs->harvested_s && j->kind != TASK_START) {
        (void)snprintf(buf, len, "%s was harvested on %s", name,
                       day_format(day, zone_day(&room->zone, cs->harvested_s)));
    } else if (j->kind == TASK_BUMP && cs->solution != j->cycle / 1000) {
        (void)snprintf(buf, len, "%s was changed on %s", name,
                       day_format(day, zone_day(&room->zone, cs->changed_s)));
    } else if (j->kind == TASK_CHANGE && cs->solution < j->cycle) {
        (void)snprintf(buf, len, "the last change of %s was voided", name);
    } else if (j->kind == TASK_REORDER) {
        (void)snprintf(buf, len, "there is enough of %s again", name);
    } else {
        (void)snprintf(buf, len, "by what is known on %s, %s does not need it now",
                       day_format(day, zone_day(&room->zone, now_s)), name);
    }
}
