#include "daemon/core/state/fold.h"

#include "daemon/core/state/fold_rules.h"
#include "daemon/core/state/pace.h"
#include "daemon/core/state/twice.h"

/* Without a default: a kind of entry that has no rule does not compile. */
static bool fold_by_kind(const struct fold *f)
{
    switch (f->e->kind) {
    case ENTRY_STARTED:
        return fold_started(f);
    case ENTRY_READING:
        return f->pot ? fold_container_reading(f) : fold_reservoir_reading(f);
    case ENTRY_FLOAT_SEEN:
        return fold_float_seen(f);
    case ENTRY_DRAINED:
        return fold_drained(f);
    case ENTRY_REFILLED:
        return fold_refilled(f);
    case ENTRY_BUMPED:
        return fold_bumped(f);
    case ENTRY_TOPPED_UP:
        return fold_topped_up(f);
    case ENTRY_RESERVOIR_FILLED:
        return fold_reservoir_filled(f);
    case ENTRY_MIX_MADE:
        return fold_mix_made(f);
    case ENTRY_RESERVOIR_RINSED:
        return fold_reservoir_rinsed(f);
    case ENTRY_PH_ADJUSTED:
        return fold_ph_adjusted(f);
    case ENTRY_STAGE_SEEN:
        return fold_stage_seen(f);
    case ENTRY_OBSERVATION:
        return fold_observation(f);
    case ENTRY_HARVESTED:
        return fold_harvested(f);
    case ENTRY_CLEANED:
        return fold_cleaned(f);
    case ENTRY_CALIBRATED:
        return fold_calibrated(f);
    case ENTRY_CARED_FOR:
        return fold_cared_for(f);
    case ENTRY_STOCK_RECEIVED:
        return fold_stock_received(f);
    case ENTRY_DEFERRED:
        return fold_deferred(f);
    case ENTRY_DROPPED:
        return fold_dropped(f);
    case ENTRY_ACKNOWLEDGED:
        return fold_acknowledged(f);
    case ENTRY_STOOD:
        return fold_stood(f);
    case ENTRY_DIED:
        return fold_died(f);
    case ENTRY_MOVED:
        return fold_moved(f);
    case ENTRY_EMPTIED:
        return f->pot ? fold_container_emptied(f) : fold_reservoir_emptied(f);
    case ENTRY_SPILLED:
        return fold_spilled(f);
    case ENTRY_STOCK_COUNTED:
        return fold_stock_counted(f);
    case ENTRY_METER_NEW:
        return fold_meter_new(f);
    case ENTRY_NOTE: /* for people */
    case ENTRY_VOIDED:
        return true;
    case ENTRY_KIND_N:
        break;
    }
    return false;
}

/* A room file that was changed may make a meter of what was a container: its old entries say
 * nothing of the new thing, and are skipped and counted. */
static bool fits(const struct entry *e, struct subject subject)
{
    return (entry_kinds[e->kind].subjects & (1U << (unsigned)subject.kind)) != 0;
}

/* What a sensor tells of a thing that the room does not have counts for nothing, and is none that
 * was skipped: it may be thinned. */
static bool counts(struct state *s, const struct entry *e, struct subject subject)
{
    size_t at = subject.kind == SUBJECT_CONTAINER ? 1 + subject.at : 0;

    return !e->sensor || (e->kind == ENTRY_READING && fits(e, subject) && at < s->n_sensors &&
                          sensor_hour_counts(&s->sensor[at], e));
}

void fold_entry(struct state *s, const struct room *room, const struct entry *e)
{
    struct subject subject = room_find(room, e->subject);
    bool pot = subject.kind == SUBJECT_CONTAINER;
    struct entry scratch;
    struct fold f = {
        .s = s,
        .room = room,
        .e = entry_at_25(room, e, &scratch),
        .at = subject.at,
        .pot = pot ? &s->container[subject.at] : NULL,
        .vessel = pot ? &room->container[subject.at] : NULL,
    };

    /* Counted before anything is judged: an entry about a thing that is gone still says that
     * somebody was there. */
    if (!s->first_s) {
        s->first_s = e->happened_s;
    }
    if (e->happened_s > s->latest_s) {
        s->latest_s = e->happened_s;
    }
    if (!counts(s, e, subject)) {
        return;
    }
    s->n_entries++;
    /* Skipped and not refused: the journal is the truth, and the room file may get the thing
     * back. */
    if (!fits(e, subject) || !fold_by_kind(&f)) {
        s->n_skipped++;
    } else {
        twice_keep(s, room, e);
        pace_take(s, room, e);
    }
}
