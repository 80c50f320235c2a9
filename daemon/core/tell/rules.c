#include "daemon/core/tell/rules.h"

#include "daemon/base/err.h"
#include "daemon/base/suggest.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/twice.h"
#include "daemon/core/tell/rules_amounts.h"
#include "daemon/core/units/day.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* What is refused outright is wrong by whoever tells it; what is asked about (ERR_UNSURE) is a
 * slip of the finger or a meter that is off, as a rule. Set by us, no source, each wider than
 * meters and scales differ. */
/* clang-format off */
#define LEVEL_EPSILON_L   1e-6 /* gallons to litres and back */
#define NIGHT_FAR_FRAC 0.25 /* of the reservoir: more is asked back (our own choice, no source) */
#define OVER_START_FRAC   1.10 /* a level this far above the start line is hardly one */
#define FILL_STRANGE_FRAC 1.05 /* more than the forecast says there is room for */
#define HELD_FRAC         1.50 /* above its start line no vessel goes on so far */
#define HARVEST_LEAST_FRAC 0.25 /* of the age at which the crop is taken out */
#define BEFORE_FIRST_S    (86400)
#define BUMP_FALLS_MS_CM  0.05 /* concentrate cannot weaken a solution; meters differ by this */
/* clang-format on */

static char *litres(char buf[QUANTITY_TEXT_MAX], const struct rule_case *j, double volume_l)
{
    return quantity_format(buf, QUANTITY_VOLUME, volume_l, &j->room->units);
}

/* A date with a slip in it; what a person catches up with when the journal begins is no such
 * thing. */
static int rule_time(const struct rule_case *j)
{
    char day[DAY_WORDS_MAX];
    char first[DAY_WORDS_MAX];
    int32_t now = zone_day(&j->room->zone, j->e->told_s);

    if (j->sure || !j->s->first_s || j->e->happened_s >= j->s->first_s - BEFORE_FIRST_S) {
        return 0;
    }
    return err_field(
        j->err, ERR_UNSURE, "at",
        "%s is before the room began: its first entry is of %s; say so if you are sure",
        day_words(day, zone_day(&j->room->zone, j->e->happened_s), now),
        day_words(first, zone_day(&j->room->zone, j->s->first_s), now));
}

/* Typed twice, it is two entries, and twice the acid. */
static int rule_twice(const struct rule_case *j)
{
    if (j->sure || !twice_told(j->s, j->room, j->e)) {
        return 0;
    }
    return err_field(j->err, ERR_UNSURE, "subject",
                     "the same was told of %s a moment ago; if it was done twice, say so",
                     j->e->subject);
}

static int rule_planted(const struct rule_case *j)
{
    assert(j->pot); /* kinds about containers alone: entry_check_form has seen to it */
    if (j->pot->crop >= 0) {
        return 0;
    }
    return err_field(j->err, ERR_REFUSED, "subject", "nothing grows in %s: %s", j->e->subject,
                     j->pot->needs_cleaning ? "its plant is out, and it waits to be cleaned"
                                            : "start it first");
}

/* The rule that must never give way: air roots that are put under water die, and the plant with
 * them. */
static int rule_safe_level(const struct rule_case *j, double after_l)
{
    double safe_l = forecast_safe_volume_l(j->room, j->s, j->at, j->e->happened_s);
    char after[QUANTITY_TEXT_MAX];
    char safe[QUANTITY_TEXT_MAX];
    bool floated;

    assert(j->pot && j->vessel);
    floated = safe_l <= j->vessel->float_volume_l;
    if (after_l <= safe_l + LEVEL_EPSILON_L) {
        return 0;
    }
    litres(after, j, after_l);
    litres(safe, j, safe_l);
    if (j->pot->crop < 0 || safe_l == j->vessel->start_volume_l) { /* no air roots yet */
        return err_field(j->err, ERR_REFUSED, "volume", "%s in %s is above its start line of %s",
                         after, j->e->subject, safe);
    }
    return err_field(j->err, ERR_REFUSED, "volume",
                     "%s in %s would drown its air roots: it must not rise above %s, %s", after,
                     j->e->subject, safe, floated ? "the float line" : "the level it has now");
}

static int rule_started(const struct rule_case *j)
{
    double volume_l;
    char got[QUANTITY_TEXT_MAX];
    char line[QUANTITY_TEXT_MAX];

    assert(j->pot && j->vessel);
    volume_l = entry_has(j->e, FIGURE_VOLUME_L) ? j->e->figure[FIGURE_VOLUME_L]
                                                : j->vessel->start_volume_l;
    if (j->pot->crop >= 0) {
        return err_field(j->err, ERR_REFUSED, "subject",
                         "%s grows %s already; harvest it before the next start", j->e->subject,
                         j->room->crop[j->pot->crop].name);
    }
    if (j->pot->needs_cleaning) {
        return err_field(j->err, ERR_REFUSED, "subject", "%s was not cleaned since its harvest",
                         j->e->subject);
    }
    if (volume_l <= j->vessel->float_volume_l) {
        return err_field(j->err, ERR_REFUSED, "volume",
                         "%s in %s is not above the float line of %s: there would be no drawdown",
                         litres(got, j, volume_l), j->e->subject,
                         litres(line, j, j->vessel->float_volume_l));
    }
    return rule_safe_level(j, volume_l);
}

static int rule_reading(const struct rule_case *j)
{
    double most_l =
        j->pot ? j->vessel->start_volume_l * OVER_START_FRAC : j->room->reservoir.capacity_l;
    char got[QUANTITY_TEXT_MAX];
    char most[QUANTITY_TEXT_MAX];

    if (j->pot && j->pot->crop < 0) {
        return rule_planted(j);
    }
    if (entry_has(j->e, FIGURE_VOLUME_L) &&
        j->e->figure[FIGURE_VOLUME_L] >
            most_l * (j->pot ? HELD_FRAC / OVER_START_FRAC : 1) + LEVEL_EPSILON_L) {
        return err_field(j->err, ERR_REFUSED, "volume", "%s in %s is more than it can hold (%s)",
                         litres(got, j, j->e->figure[FIGURE_VOLUME_L]), j->e->subject,
                         litres(most, j, j->pot ? j->vessel->start_volume_l : most_l));
    }
    if (!entry_has(j->e, FIGURE_VOLUME_L) || j->e->figure[FIGURE_VOLUME_L] <= most_l || j->sure) {
        return 0;
    }
    return err_field(j->err, ERR_UNSURE, "volume",
                     "%s in %s is more than it holds (%s); say so if you are sure",
                     litres(got, j, j->e->figure[FIGURE_VOLUME_L]), j->e->subject,
                     litres(most, j, j->pot ? j->vessel->start_volume_l : most_l));
}

static int rule_refilled(const struct rule_case *j)
{
    int rc = rule_planted(j);

    if (rc < 0) {
        return rc;
    }
    rc = rule_safe_level(j, entry_has(j->e, FIGURE_VOLUME_L) ? j->e->figure[FIGURE_VOLUME_L]
                                                             : j->vessel->float_volume_l);
    if (rc < 0) {
        return rc;
    }
    if (!j->pot->drained) {
        return err_field(
            j->err, ERR_REFUSED, "subject",
            "%s was not drained since its last filling; tell that it was drained first",
            j->e->subject);
    }
    return 0;
}

static int rule_bumped(const struct rule_case *j)
{
    bool seen = entry_has(j->e, FIGURE_WAS_MS_CM);
    double before_ms_cm;
    char got[QUANTITY_TEXT_MAX];
    char now[QUANTITY_TEXT_MAX];
    int rc = rule_planted(j);

    if (rc < 0 || j->sure) {
        return rc;
    }
    before_ms_cm = seen ? j->e->figure[FIGURE_WAS_MS_CM]
                        : forecast_container(j->room, j->s, j->at, j->e->happened_s).body.ec_ms_cm;
    if (j->e->figure[FIGURE_EC_MS_CM] >= before_ms_cm - BUMP_FALLS_MS_CM) {
        return 0;
    }
    return err_field(
        j->err, ERR_UNSURE, "ec",
        "a bump cannot weaken %s: %s after it, %s before%s; say so if you are sure", j->e->subject,
        quantity_format(got, QUANTITY_EC, j->e->figure[FIGURE_EC_MS_CM], &j->room->units),
        quantity_format(now, QUANTITY_EC, before_ms_cm, &j->room->units),
        seen ? "" : " by forecast");
}

static int rule_topped_up(const struct rule_case *j)
{
    struct forecast f;
    int rc = rule_planted(j);

    if (rc < 0) {
        return rc;
    }
    f = forecast_container(j->room, j->s, j->at, j->e->happened_s);
    return rule_safe_level(j, f.body.volume_l + j->e->figure[FIGURE_ADDED_L]);
}

static int rule_mix_made(const struct rule_case *j)
{
    char got[QUANTITY_TEXT_MAX];
    char holds[QUANTITY_TEXT_MAX];

    if (j->e->figure[FIGURE_VOLUME_L] <= j->room->reservoir.capacity_l + LEVEL_EPSILON_L) {
        return rule_acid_told(j);
    }
    return err_field(j->err, ERR_REFUSED, "volume", "the reservoir holds %s, not %s",
                     litres(holds, j, j->room->reservoir.capacity_l),
                     litres(got, j, j->e->figure[FIGURE_VOLUME_L]));
}

/* A night says nothing of a reservoir that holds no plain water, and a jug has its size. */
static int rule_stood(const struct rule_case *j)
{
    char got[QUANTITY_TEXT_MAX];

    if (!j->s->reservoir.at_s || j->s->reservoir.holds_mix) {
        return err_field(j->err, ERR_REFUSED, "subject", "the reservoir %s: a night says nothing",
                         j->s->reservoir.at_s ? "holds a mix" : "was never filled");
    }
    if (j->sure || j->e->figure[FIGURE_ADDED_L] <= NIGHT_FAR_FRAC * j->room->reservoir.capacity_l) {
        return 0;
    }
    return err_field(j->err, ERR_UNSURE, "added",
                     "%s is what it took to fill the reservoir up to its tape, and not what it "
                     "holds? Say so if you are sure",
                     litres(got, j, j->e->figure[FIGURE_ADDED_L]));
}

static int rule_reservoir_filled(const struct rule_case *j)
{
    struct liquid now = forecast_reservoir(j->room, j->s, j->e->happened_s);
    double capacity_l = j->room->reservoir.capacity_l;
    bool told = entry_has(j->e, FIGURE_VOLUME_L);
    double put_l = told ? j->e->figure[FIGURE_VOLUME_L] : j->e->figure[FIGURE_ADDED_L];
    double after_l = told ? put_l : now.volume_l + put_l;
    char got[QUANTITY_TEXT_MAX];
    char holds[QUANTITY_TEXT_MAX];

    if (put_l > capacity_l + LEVEL_EPSILON_L) {
        return err_field(j->err, ERR_REFUSED, told ? "volume" : "added",
                         "the reservoir holds %s, not %s", litres(holds, j, capacity_l),
                         litres(got, j, put_l));
    }
    if (told && entry_has(j->e, FIGURE_ADDED_L) &&
        j->e->figure[FIGURE_ADDED_L] > put_l + LEVEL_EPSILON_L) {
        return err_field(j->err, ERR_REFUSED, "added",
                         "%s let in is more than the %s that it holds now",
                         litres(got, j, j->e->figure[FIGURE_ADDED_L]), litres(holds, j, put_l));
    }
    if (j->s->reservoir.holds_mix) {
        return err_field(j->err, ERR_REFUSED, "subject",
                         "the reservoir holds a mix; tell that it was emptied and rinsed first "
                         "(reservoir-rinsed)");
    }
    if (after_l > capacity_l * FILL_STRANGE_FRAC && !j->sure) {
        return err_field(j->err, ERR_UNSURE, "added",
                         "%s more would overflow the reservoir: by forecast it holds %s already; "
                         "say so if you are sure",
                         litres(got, j, put_l), litres(holds, j, now.volume_l));
    }
    return rule_acid_told(j);
}

static int rule_ph_adjusted(const struct rule_case *j)
{
    int rc = j->pot ? rule_planted(j) : 0;

    return rc < 0 ? rc : rule_acid_told(j);
}

/* A word left out ends a planting of most crops: of one that was just set in, nobody meant it. */
static int rule_harvested(const struct rule_case *j)
{
    const struct crop *crop;
    double age_day;
    int rc = rule_planted(j);

    if (rc < 0 || j->sure || strcmp(j->e->what, "final") != 0) {
        return rc;
    }
    crop = &j->room->crop[j->pot->crop];
    age_day = (double)(j->e->happened_s - j->pot->started_s) / 86400;
    if (age_day >= HARVEST_LEAST_FRAC * crop->harvest_day) {
        return 0;
    }
    return err_field(j->err, ERR_UNSURE, "what",
                     "this ends the planting, and %s is %.0f days old where %s is harvested at "
                     "%.0f: tell what=part, or say that you are sure",
                     j->e->subject, fmax(0, age_day), crop->name, crop->harvest_day);
}

static int rule_stage_seen(const struct rule_case *j)
{
    const struct crop *crop;
    const char *names[ROOM_STAGES_MAX];
    char tail[SUGGEST_TEXT_MAX];
    int rc = rule_planted(j);

    if (rc < 0) {
        return rc;
    }
    crop = &j->room->crop[j->pot->crop];
    if (crop_find_stage(crop, j->e->what) >= 0) {
        return 0;
    }
    for (size_t k = 0; k < crop->n_stages; k++) {
        names[k] = crop->stage[k].name;
    }
    return err_field(j->err, ERR_UNKNOWN, "stage", "%s has no stage '%s'%s", crop->name, j->e->what,
                     suggest_tail(tail, j->e->what, names, crop->n_stages, ""));
}

/* Places are changed by vessels that are alike: what is in one would not stand at the line of the
 * other. */
static int rule_moved(const struct rule_case *j)
{
    struct subject to = room_find(j->room, j->e->what);
    const struct container *other = &j->room->container[to.at];
    const struct container_state *there = &j->s->container[to.at];

    assert(j->pot && j->vessel);
    if (j->pot->crop < 0 && there->crop < 0) {
        return rule_planted(j);
    }
    if (fabs(other->start_volume_l - j->vessel->start_volume_l) > LEVEL_EPSILON_L ||
        fabs(other->float_volume_l - j->vessel->float_volume_l) > LEVEL_EPSILON_L) {
        return err_field(j->err, ERR_REFUSED, "to",
                         "%s is another vessel than %s: tell the harvest of one and the start of "
                         "the other",
                         j->e->what, j->e->subject);
    }
    return 0;
}

/* Water does not come by accident. */
static int rule_emptied(const struct rule_case *j)
{
    double had_l;
    char got[QUANTITY_TEXT_MAX];
    char had[QUANTITY_TEXT_MAX];
    int rc = j->pot ? rule_planted(j) : 0;

    if (rc < 0) {
        return rc;
    }
    had_l = j->pot ? j->vessel->start_volume_l : j->room->reservoir.capacity_l;
    if (j->e->figure[FIGURE_VOLUME_L] <= had_l) {
        return 0;
    }
    return err_field(j->err, ERR_REFUSED, "volume", "%s is more than %s holds (%s)",
                     litres(got, j, j->e->figure[FIGURE_VOLUME_L]), j->e->subject,
                     litres(had, j, had_l));
}

static int rule_cleaned(const struct rule_case *j)
{
    assert(j->pot);
    if (j->pot->crop < 0) {
        return 0;
    }
    return err_field(j->err, ERR_REFUSED, "subject",
                     "%s still grows %s; a final harvest comes before the cleaning", j->e->subject,
                     j->room->crop[j->pot->crop].name);
}

/* The rule of a kind. No default: a new kind of entry does not compile before it was decided which
 * rule it has. */
static int check_kind(const struct rule_case *j)
{
    switch (j->e->kind) {
    case ENTRY_STARTED:
        return rule_started(j);
    case ENTRY_READING:
        return rule_reading(j);
    case ENTRY_FLOAT_SEEN:
    case ENTRY_DRAINED:
    case ENTRY_DIED:
        return rule_planted(j);
    case ENTRY_HARVESTED:
        return rule_harvested(j);
    case ENTRY_MOVED:
        return rule_moved(j);
    case ENTRY_EMPTIED:
        return rule_emptied(j);
    case ENTRY_REFILLED:
        return rule_refilled(j);
    case ENTRY_BUMPED:
        return rule_bumped(j);
    case ENTRY_TOPPED_UP:
        return rule_topped_up(j);
    case ENTRY_RESERVOIR_FILLED:
        return rule_reservoir_filled(j);
    case ENTRY_MIX_MADE:
        return rule_mix_made(j);
    case ENTRY_PH_ADJUSTED:
        return rule_ph_adjusted(j);
    case ENTRY_STAGE_SEEN:
        return rule_stage_seen(j);
    case ENTRY_CLEANED:
        return rule_cleaned(j);
    case ENTRY_STOOD:
        return rule_stood(j);
    case ENTRY_SPILLED:
        return rule_spilled_told(j);
    case ENTRY_RESERVOIR_RINSED: /* what is rinsed twice is clean */
    case ENTRY_OBSERVATION:
    case ENTRY_CALIBRATED:
    case ENTRY_CARED_FOR:
    case ENTRY_STOCK_RECEIVED:
    case ENTRY_STOCK_COUNTED:
    case ENTRY_METER_NEW:
    case ENTRY_NOTE:
    case ENTRY_DEFERRED:
    case ENTRY_DROPPED:
    case ENTRY_ACKNOWLEDGED:
    case ENTRY_VOIDED:
    case ENTRY_KIND_N:
        break;
    }
    return 0;
}

int rules_check(const struct state *s, const struct room *room, const struct entry *e, bool sure,
                struct err *err)
{
    struct subject subject = room_find(room, e->subject);
    bool pot = subject.kind == SUBJECT_CONTAINER;
    struct rule_case j = {
        .s = s,
        .room = room,
        .e = e,
        .at = subject.at,
        .pot = pot ? &s->container[subject.at] : NULL,
        .vessel = pot ? &room->container[subject.at] : NULL,
        .sure = sure,
        .err = err,
    };

    int rc = rule_time(&j);

    rc = rc < 0 ? rc : rule_doses_told(&j);
    rc = rc < 0 ? rc : check_kind(&j);
    return rc < 0 ? rc : rule_twice(&j);
}
