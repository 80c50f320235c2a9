#include "daemon/core/tasks/job.h"

#include "daemon/base/order.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* More bumps than any solution gets: one comes two days after the other at the soonest, and no
 * solution is kept for years. */
#define BUMPS_A_SOLUTION 1000

char *job_word(char buf[ENTRY_WORD_MAX + 1], const struct job *j)
{
    (void)snprintf(buf, ENTRY_WORD_MAX + 1, "%s%s%s", task_kinds[j->kind].word,
                   j->kind == TASK_CARE ? " " : "", j->kind == TASK_CARE ? care_word(j->care) : "");
    return buf;
}

/* Subjects by their place in the room file and not by name: both jobs are of one room, and a
 * plan compares keys thousands of times. */
int job_compare_keys(const struct job *a, const struct job *b)
{
    return ORDER(a->kind, b->kind)
               ?: ORDER(a->care, b->care)
               ?: ORDER(a->subject.kind, b->subject.kind)
               ?: ORDER(a->subject.at, b->subject.at)
               ?: ORDER(a->cycle, b->cycle);
}

const struct hold *job_hold(const struct state *s, const struct job *j)
{
    char word[ENTRY_WORD_MAX + 1];

    /* Mostly nobody said anything, and this is asked of every job. */
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
    const struct hold *h = job_hold(s, j);

    return h && h->dropped && h->until_day > today;
}

/* The container that a job is about; an idle one where it is about something else. */
static const struct container_state *container_of(const struct state *s, const struct job *j)
{
    static const struct container_state none = {.crop = -1};

    return j->subject.kind == SUBJECT_CONTAINER ? &s->container[j->subject.at] : &none;
}

int32_t job_bump_cycle(int32_t solution, int32_t bumps)
{
    return solution * BUMPS_A_SOLUTION + bumps;
}

/* Which solution a bump was for: one that is gone needs none any more. */
static int32_t solution_of_bump(const struct job *j)
{
    return j->cycle / BUMPS_A_SOLUTION;
}

/* An alarm that a person looked at is looked at; one that went by itself was not. */
static int32_t cycle_of_look(const struct state *s, const struct job *j)
{
    const struct alarm_states *alarms = alarm_states_of(s, j->subject);

    return alarms && alarms->seen >= j->cycle ? j->cycle + 1 : j->cycle;
}

/* The cycle at which the subject stands now. */
static int32_t cycle_now(const struct state *s, const struct job *j)
{
    bool pot = j->subject.kind == SUBJECT_CONTAINER;
    const struct container_state *cs = container_of(s, j);

    switch (j->kind) {
    case TASK_START:
        return cs->planting;
    case TASK_CHECK: /* also when the float was seen to work otherwise, as by a reading */
        return cs->float_s ? cs->looks + 1 : cs->looks;
    case TASK_CHANGE:
        return cs->solution;
    case TASK_BUMP: /* a change does not do it: it takes its place */
        return cs->solution == solution_of_bump(j) ? job_bump_cycle(cs->solution, cs->bumps)
                                                   : j->cycle;
    case TASK_PH:
    case TASK_READ:
        return pot ? cs->readings : s->reservoir.readings;
    case TASK_FILL:
        return s->reservoir.fills;
    case TASK_CALIBRATE:
        return s->meter[j->subject.at].calibrations;
    case TASK_CARE:
        return pot ? cs->cares[j->care] : s->cares[j->care];
    case TASK_REORDER: /* ordered is as good as come */
        return s->product[j->subject.at].receipts + s->product[j->subject.at].ordered;
    case TASK_HARVEST: /* over when the container is clean too */
        return cs->crop < 0 && !cs->needs_cleaning ? cs->planting + 1 : cs->planting;
    case TASK_LOOK:
        return cycle_of_look(s, j);
    case TASK_OVERNIGHT:
        return s->reservoir.nights;
    case TASK_KIND_N:
        break;
    }
    return j->cycle;
}

/* Cycles only ever go up, but for a void: then the job is open again, as it should be. */
bool job_is_done(const struct state *s, const struct job *j)
{
    return cycle_now(s, j) > j->cycle;
}

/* Days that the room lets pass between two jobs of a kind; 0 where nothing says. */
static double interval_day(const struct room *room, const struct state *s, const struct job *j)
{
    const struct container_state *cs = container_of(s, j);

    switch (j->kind) {
    case TASK_CHANGE: /* the shortest life of a solution at this stage */
        return cs->crop >= 0 ? room->crop[cs->crop].stage[cs->stage].life_min_day : 0;
    case TASK_READ:
        return room->care_every_day[CARE_READ];
    case TASK_CARE:
        return room->care_every_day[j->care];
    case TASK_OVERNIGHT:
        return room->care_every_day[CARE_OVERNIGHT];
    case TASK_CALIBRATE:
        return room->meter[j->subject.at].calibrate_every_day;
    case TASK_START:
    case TASK_CHECK:
    case TASK_BUMP:
    case TASK_PH:
    case TASK_FILL:
    case TASK_REORDER:
    case TASK_HARVEST:
    case TASK_LOOK:
    case TASK_KIND_N:
        break;
    }
    return 0;
}

int32_t job_rests_until(const struct room *room, const struct state *s, const struct job *j,
                        int32_t today)
{
    double rest_day = 0;

    switch (task_kinds[j->kind].rest) {
    case TASK_RESTS_CYCLE:
        return DAY_NONE;
    case TASK_RESTS_DAYS:
        rest_day = task_kinds[j->kind].rest_day;
        break;
    case TASK_RESTS_INTERVAL:
        rest_day = interval_day(room, s, j);
        break;
    }
    /* A job that was dropped does not come back on the same day: the person who dropped it would
     * have to drop it again at once. */
    return today + (int32_t)fmax(1, ceil(rest_day));
}

void job_gone_reason(const struct room *room, const struct state *s, const struct job *j,
                     int64_t now_s, char *buf, size_t len)
{
    const char *name = room_subject_name(room, j->subject);
    const struct container_state *cs = container_of(s, j);
    char day[DAY_WORDS_MAX];
    int32_t today = zone_day(&room->zone, now_s);

    /* The harvest is looked at first: it ends everything else that a container wanted. */
    if (cs->crop < 0 && cs->harvested_s && j->kind != TASK_START) {
        (void)snprintf(buf, len, "%s was harvested on %s", name,
                       day_words(day, zone_day(&room->zone, cs->harvested_s), today));
    } else if (j->kind == TASK_BUMP && cs->solution != solution_of_bump(j)) {
        (void)snprintf(buf, len, "%s was changed on %s", name,
                       day_words(day, zone_day(&room->zone, cs->changed_s), today));
    } else if (j->kind == TASK_CHANGE && cs->solution < j->cycle) {
        (void)snprintf(buf, len, "the last change of %s was voided", name);
    } else if (j->kind == TASK_REORDER) {
        (void)snprintf(buf, len, "there is enough of %s again", name);
    } else {
        (void)snprintf(buf, len, "by what is known on %s, %s does not need it now",
                       day_words(day, today, today), name);
    }
}
