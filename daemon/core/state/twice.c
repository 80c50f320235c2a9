#include "daemon/core/state/twice.h"

#include <stdlib.h>

/* A call that is typed again comes within a minute or two (our own choice, no source). */
#define SAME_TIME_S 120

static bool counts_anew(enum entry_kind kind)
{
    switch (kind) {
    case ENTRY_BUMPED:
    case ENTRY_TOPPED_UP:
    case ENTRY_RESERVOIR_FILLED:
    case ENTRY_MIX_MADE:
    case ENTRY_PH_ADJUSTED:
    case ENTRY_HARVESTED:
    case ENTRY_STOCK_RECEIVED:
    case ENTRY_STOOD:
    case ENTRY_SPILLED:
    case ENTRY_MOVED: /* and back again */
        return true;
    case ENTRY_STARTED: /* refused by the rules of the room, a second time */
    case ENTRY_REFILLED:
    case ENTRY_READING:
    case ENTRY_FLOAT_SEEN:
    case ENTRY_DRAINED:
    case ENTRY_RESERVOIR_RINSED:
    case ENTRY_STAGE_SEEN:
    case ENTRY_OBSERVATION:
    case ENTRY_CLEANED:
    case ENTRY_CALIBRATED:
    case ENTRY_CARED_FOR:
    case ENTRY_DIED:
    case ENTRY_EMPTIED:
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
    return false;
}

static struct subject about(const struct room *room, const struct entry *e)
{
    return counts_anew(e->kind) ? room_find(room, e->subject) : (struct subject){SUBJECT_NONE, 0};
}

void twice_keep(struct state *s, const struct room *room, const struct entry *e)
{
    struct subject of = about(room, e);
    struct last_told now = {e->happened_s, entry_content(e)};

    if (of.kind == SUBJECT_CONTAINER) {
        s->container[of.at].last_told = now;
    } else if (of.kind == SUBJECT_RESERVOIR) {
        s->reservoir.last_told = now;
    } else if (of.kind == SUBJECT_PRODUCT) {
        s->product[of.at].last_told = now;
    }
}

bool twice_told(const struct state *s, const struct room *room, const struct entry *e)
{
    struct subject of = about(room, e);
    const struct last_told *kept = of.kind == SUBJECT_CONTAINER   ? &s->container[of.at].last_told
                                   : of.kind == SUBJECT_RESERVOIR ? &s->reservoir.last_told
                                   : of.kind == SUBJECT_PRODUCT   ? &s->product[of.at].last_told
                                                                  : NULL;

    return kept && kept->happened_s && kept->content == entry_content(e) &&
           llabs(kept->happened_s - e->happened_s) <= SAME_TIME_S;
}
