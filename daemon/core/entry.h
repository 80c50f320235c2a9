/* entry.h - what can be told to the journal: kinds, figures, and the entry itself.
 *
 * Pure. An entry is a plain value that owns nothing; strings are NUL-terminated UTF-8. Two tables,
 * entry_kinds and entry_figures, say all there is to say about kinds and figures: the journal's
 * columns, the protocol's fields, the checks and the help are made from them. */
#ifndef TARN_CORE_ENTRY_H
#define TARN_CORE_ENTRY_H

#include "daemon/core/quantity.h"
#include "daemon/core/room.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define ENTRY_WORD_MAX 47
#define ENTRY_NOTE_MAX 500
#define ENTRY_KEY_MAX  63

enum entry_kind {
    ENTRY_STARTED,          /* container; what = crop; volume, ec after filling */
    ENTRY_READING,          /* container or reservoir; any of volume, ec, ph, temp; what = meter */
    ENTRY_FLOAT_SEEN,       /* container; what = "yes" (working) or "no" (not yet); volume */
    ENTRY_DRAINED,          /* container; volume = what stayed */
    ENTRY_REFILLED,         /* container; what = recipe; volume, ec = what it holds afterwards */
    ENTRY_BUMPED,           /* container; what = recipe; ec afterwards */
    ENTRY_TOPPED_UP,        /* container, by hand; added; ec of what was added */
    ENTRY_RESERVOIR_FILLED, /* reservoir, with source water; added, or volume afterwards */
    ENTRY_MIX_MADE,         /* reservoir; what = recipe; volume, ec of the mix; amounts */
    ENTRY_RESERVOIR_RINSED, /* reservoir; empty afterwards, holds water from now on */
    ENTRY_PH_ADJUSTED,      /* container or reservoir; ph afterwards; amounts */
    ENTRY_STAGE_SEEN,       /* container; what = stage */
    ENTRY_OBSERVATION,      /* container; what = one of entry_observations */
    ENTRY_HARVESTED,        /* container; what = "part" or "final"; yield */
    ENTRY_CLEANED,          /* container; idle afterwards */
    ENTRY_CALIBRATED,       /* meter; slope, offset, temp */
    ENTRY_CARED_FOR,        /* container, reservoir or room; what = a care_word */
    ENTRY_STOCK_RECEIVED,   /* product; amount */
    ENTRY_NOTE,             /* anything; note */
    ENTRY_DEFERRED,         /* what = a job's word; until_day, cycle */
    ENTRY_DROPPED,          /* what = a job's word; cycle */
    ENTRY_ACKNOWLEDGED, /* what = a job's word; task; the room, or the one subject of the task */
    ENTRY_VOIDED,       /* voids = the entry that is to count as never told */
    ENTRY_KIND_N
};

enum figure {
    FIGURE_VOLUME_L, /* litres in the subject afterwards */
    FIGURE_ADDED_L,  /* litres added */
    FIGURE_EC_MS_CM,
    FIGURE_PH,
    FIGURE_TEMP_C,
    FIGURE_SLOPE_PCT, /* of a meter: 100 = as new */
    FIGURE_OFFSET_MV,
    FIGURE_AMOUNT, /* of a product: mL or g, as the product is */
    FIGURE_YIELD_G,
    FIGURE_WAS_MS_CM, /* EC of what was in the subject just before */
    FIGURE_N
};

struct figure_def {
    const char *word;          /* on the command line: "volume" */
    const char *key;           /* in JSON and SQL: "volume_l" */
    enum quantity quantity;    /* FIGURE_AMOUNT: the product says, liquid or dry */
    double lo, hi;             /* outside: it cannot be */
    double usual_lo, usual_hi; /* outside: possible but strange */
};
extern const struct figure_def entry_figures[FIGURE_N];

#define FIGURE_BIT(f) (1U << (unsigned)(f))

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
    WHAT_METER, /* which meter was read, where it is not the first of its kind */
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
extern const struct entry_def entry_kinds[ENTRY_KIND_N];
extern const char *const entry_observations[]; /* NULL-terminated: "tip-burn", "pale-growth", … */

struct amount {
    char product[ROOM_NAME_MAX + 1];
    double amount; /* mL or g, as the product is */
};

struct entry {
    int64_t seq;        /* order of telling, from 1; 0 = not in the journal yet */
    int64_t happened_s; /* seconds UTC */
    int64_t told_s;
    enum entry_kind kind;
    char subject[ROOM_NAME_MAX + 1];
    char what[ENTRY_WORD_MAX + 1]; /* "" = none */
    unsigned has;                  /* FIGURE_BITs of the figures that were told */
    double figure[FIGURE_N];
    struct amount amount[ROOM_DOSES_MAX];
    size_t n_amounts;
    int32_t until_day; /* DAY_NONE unless deferred */
    int32_t cycle;     /* of a deferred or dropped job */
    int64_t task;      /* 0 = no task */
    int64_t voids;     /* 0 unless voided */
    uint32_t uid;
    char who[33];
    char note[ENTRY_NOTE_MAX + 1];
    char
        key[ENTRY_KEY_MAX + 1]; /* the client's own mark, so that a retry is told once; "" = none */
};

/* An empty entry of a kind about a subject at an instant, told now. */
struct entry entry_of(enum entry_kind kind, const char *subject, int64_t happened_s,
                      int64_t told_s);
void entry_set(struct entry *e, enum figure f, double value);
static inline bool entry_has(const struct entry *e, enum figure f)
{
    return (e->has & FIGURE_BIT(f)) != 0;
}

/* Kind or figure by its word; -1 when there is none. */
int entry_find_kind(const char *word);
int entry_find_figure(const char *word_or_key);

/* Is the entry well formed for this room: subject of a fitting kind, figures that the kind takes,
 * all that it needs, each within what can be, `what` a known word? ERR_UNKNOWN, ERR_MISSING,
 * ERR_RANGE. With !sure a figure outside of what is usual fails with ERR_UNSURE. Does not look at
 * the state. */
int entry_check_form(const struct room *room, const struct entry *e, bool sure, struct err *err);

/* The entry with its EC at 25 C, by the setting of the meter that showed it: e itself where there
 * is nothing to do, else *scratch. The journal keeps what the meter showed. */
const struct entry *entry_at_25(const struct room *room, const struct entry *e,
                                struct entry *scratch);

/* "refilled A3 grow 8.3 L 1.42 mS/cm pH 5.9": one line for a person, without time and author. */
struct text;
void entry_describe(const struct room *room, const struct entry *e, struct text *out);

#endif
