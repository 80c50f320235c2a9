/* entry_kind.h - the kinds of entries: what each is about, and which figures it needs and takes.
 *
 * Pure. One table: the protocol, the checks, the help and `tarn record` are made from it. A word
 * that is in a journal never changes its meaning. */
#ifndef TARN_CORE_WORDS_ENTRY_KIND_H
#define TARN_CORE_WORDS_ENTRY_KIND_H

#include "daemon/core/words/figure.h"
#include "daemon/core/words/sighting.h"

#include <stdbool.h>

enum entry_kind {
    ENTRY_STARTED,          /* container; what = crop; volume, ec after filling; was as of a mix */
    ENTRY_READING,          /* container or reservoir; any of volume, ec, ph, temp; what = meter */
    ENTRY_FLOAT_SEEN,       /* container; what = "yes" (working) or "no" (not yet); volume */
    ENTRY_DRAINED,          /* container; volume = what stayed */
    ENTRY_REFILLED,         /* container; what = recipe; volume, ec = afterwards; was = of a jug */
    ENTRY_BUMPED,           /* container; what = recipe; ec afterwards */
    ENTRY_TOPPED_UP,        /* container, by hand; added; ec of what was added */
    ENTRY_RESERVOIR_FILLED, /* reservoir, with source water; added, or volume afterwards */
    ENTRY_MIX_MADE, /* reservoir; what = recipe; volume, ec; was = before corrected; amounts */
    ENTRY_RESERVOIR_RINSED, /* reservoir; empty afterwards, holds water from now on */
    ENTRY_PH_ADJUSTED,      /* container or reservoir; ph afterwards; amounts */
    ENTRY_STAGE_SEEN,       /* container; what = stage */
    ENTRY_OBSERVATION,      /* container or reservoir; what = one of sighting_words */
    ENTRY_HARVESTED,        /* container; what = "part" or "final"; yield */
    ENTRY_CLEANED,          /* container; idle afterwards */
    ENTRY_CALIBRATED,       /* meter; slope, offset, temp */
    ENTRY_CARED_FOR,        /* container, reservoir or room; what = a care_word */
    ENTRY_STOCK_RECEIVED,   /* product; amount; what = "same" or "other" strength */
    ENTRY_EMPTIED,          /* container or reservoir, by accident; volume = what is left */
    ENTRY_DIED,             /* container: the planting ended */
    ENTRY_MOVED,            /* container; what = where the plant and its water went, or came from */
    ENTRY_SPILLED,          /* product; amount = what was lost */
    ENTRY_STOCK_COUNTED,    /* product; amount = what there is */
    ENTRY_METER_NEW,        /* meter: another one has taken its name */
    ENTRY_NOTE,             /* anything; note */
    ENTRY_DEFERRED,         /* what = a job's word; until_day, cycle */
    ENTRY_DROPPED,          /* what = a job's word; cycle */
    ENTRY_ACKNOWLEDGED, /* what = a job's word; task; the room, or the one subject of the task */
    ENTRY_VOIDED,       /* voids = the entry that is to count as never told */
    ENTRY_STOOD,        /* reservoir, a night with every shut-off closed; added = what filled
                               it up to its mark again */
    ENTRY_KIND_N
};

/* What the word in `what` must be. */
enum what_kind {
    WHAT_NONE,
    WHAT_CROP,
    WHAT_RECIPE,
    WHAT_STAGE,
    WHAT_OBSERVATION,
    WHAT_CARE,
    WHAT_YES_NO,
    WHAT_PART_FINAL,
    WHAT_JOB,
    WHAT_CONTAINER,
    WHAT_SAME_OTHER, /* "other": a bottle of another strength than those before; none = same */
    WHAT_METER,      /* which meter was read, where it is not the first of its kind */
};

struct entry_def {
    const char *word;  /* in JSON, SQL and on the command line: "reservoir-filled" */
    const char *says;  /* in a sentence: "reservoir filled" */
    unsigned subjects; /* bits 1 << enum subject_kind */
    enum what_kind what;
    unsigned needs;     /* figure bits that must be there */
    unsigned needs_one; /* figure bits of which at least one must be there; 0 = none asked */
    unsigned takes;     /* figure bits that may be there besides */
    bool amounts;       /* takes amounts of products */
    bool recordable;    /* a person may record it straight; the others come of acks and the like */
    const char *help;   /* one line, for `tarn record --help` */
};
extern const struct entry_def entry_kinds[]; /* ENTRY_KIND_N of them */

/* A kind by its word; -1 when there is none. */
int entry_kind_find(const char *word);

#endif
