/* entry.h - what is told to the journal: an entry, and whether it is well formed.
 *
 * Pure. An entry is a plain value that owns nothing; strings are NUL-terminated UTF-8.
 * What kinds and figures there are stands in words/entry_kind.h and words/figure.h. */
#ifndef TARN_CORE_ROOM_ENTRY_H
#define TARN_CORE_ROOM_ENTRY_H

#include "daemon/core/room/room.h"
#include "daemon/core/words/entry_kind.h"
#include "daemon/core/words/figure.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bytes without the ending zero. The tables of the journal check two of them (store/schema.c): one
 * that changes needs a step there. */
#define ENTRY_WORD_MAX 47  /* "care reservoir" and the like, with room to spare */
#define ENTRY_NOTE_MAX 500 /* what a person says in a few sentences; our own choice */
#define ENTRY_KEY_MAX  63  /* a UUID has 36; our own choice */

struct amount {
    char product[NAME_LEN_MAX + 1];
    double amount; /* mL or g, as the product is */
};

struct entry {
    int64_t seq;        /* order of telling, from 1; 0 = not in the journal yet */
    int64_t happened_s; /* seconds UTC */
    int64_t told_s;
    enum entry_kind kind;
    char subject[NAME_LEN_MAX + 1];
    char what[ENTRY_WORD_MAX + 1]; /* "" = none */
    unsigned has;                  /* FIGURE_BITs of the figures that were told */
    double figure[FIGURE_N];
    struct amount amount[ROOM_DOSES_MAX];
    size_t n_amounts;
    int32_t until_day; /* DAY_NONE unless deferred */
    int32_t cycle;     /* of a deferred or dropped job */
    int64_t task;      /* 0 = no task */
    int64_t voids;     /* 0 unless voided */
    bool sensor;       /* a sensor's, and nothing that a person told */
    uint32_t uid;
    char who[33];
    char note[ENTRY_NOTE_MAX + 1];
    char
        key[ENTRY_KEY_MAX + 1]; /* the client's own mark, so that a retry is told once; "" = none */
};

/* An empty entry of a kind about a subject at an instant, told now. */
struct entry entry_of(enum entry_kind kind, const char *subject, int64_t happened_s,
                      int64_t told_s);
void entry_set(struct entry *e, enum figure f, double value); /* told from now on */
static inline bool entry_has(const struct entry *e, enum figure f)
{
    return (e->has & FIGURE_BIT(f)) != 0;
}

/* A figure of the entry, or another where it was not told. */
double entry_figure_or(const struct entry *e, enum figure f, double otherwise);

/* Is the entry well formed for this room: subject of a fitting kind, figures that the kind takes,
 * all that it needs, each within what can be, `what` a known word? ERR_UNKNOWN, ERR_MISSING,
 * ERR_RANGE. With !sure a figure outside of what is usual fails with ERR_UNSURE. Does not look at
 * the state. */
int entry_check_form(const struct room *room, const struct entry *e, bool sure, struct err *err);

/* The entry with its EC at 25 C, by the setting of the meter that showed it: e itself where there
 * is nothing to do, else *scratch. The journal keeps what the meter showed. */
const struct entry *entry_at_25(const struct room *room, const struct entry *e,
                                struct entry *scratch);

/* What it says, as one number: of kind, subject, word, figures, amounts and note. Not when, nor by
 * whom. */
uint64_t entry_content(const struct entry *e);

/* "refilled A3 leaf 8.3 L 1.42 mS/cm pH 5.9": one line for a person, without time and author. */
struct text;
void entry_describe(const struct room *room, const struct entry *e, struct text *out);

#endif
