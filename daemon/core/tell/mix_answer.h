/* mix_answer.h - questions about a mix that need no task.
 *
 * Pure. What is not asked is NaN. */
#ifndef TARN_CORE_TELL_MIX_ANSWER_H
#define TARN_CORE_TELL_MIX_ANSWER_H

#include "daemon/core/state/dosing.h"

struct err;

#define MIX_ANSWER_POURED_MAX 16 /* jugs that are poured together: more is a slip; our choice */
#define MIX_ANSWER_NOTES_MAX  8
#define MIX_ANSWER_NOTE_LEN   200

struct mix_question {
    int recipe;         /* -1 = none */
    double volume_l;    /* of what is there, or is to be made */
    double ec_ms_cm;    /* wanted */
    double from_ms_cm;  /* of the solution that is there: what to add to it? */
    double water_ms_cm; /* of the plain water; else the source's */
    double hard_ms_cm;  /* of a water to be blended with the plain one */
    int crop;           /* whose published feed to show beside; -1 = none */
    struct liquid poured[MIX_ANSWER_POURED_MAX]; /* together: what comes of it? */
    size_t n_poured;
};

enum mix_answer_kind {
    MIX_ANSWER_FULL,   /* the full dose of a recipe, per litre */
    MIX_ANSWER_DOSE,   /* a recipe into plain water */
    MIX_ANSWER_ADD,    /* a recipe into a solution that is too weak */
    MIX_ANSWER_DILUTE, /* plain water into one that is too strong */
    MIX_ANSWER_POUR,   /* several bodies together */
    MIX_ANSWER_BLEND,  /* two waters */
};
extern const char *const mix_answer_words[]; /* "full", "dose", "add", "dilute", "pour", "blend" */

struct mix_answer {
    enum mix_answer_kind kind;
    struct portion portion[ROOM_DOSES_MAX]; /* as they can be measured out */
    size_t n_portions;
    double off_frac;      /* what rounding can move the EC by, of what the dose adds */
    double water_l;       /* plain water to take, or to add */
    double hard_l;        /* of the other water, in a blend */
    struct liquid result; /* what there is then */
    struct nutrients feed;
    double estimate_ms_cm; /* EC by what the products contain; NaN when they do not say … */
    double estimate_off;   /* … and by what share of it that may be off */
    /* What to beware of, a sentence each: mix_notes.c. */
    char note[MIX_ANSWER_NOTES_MAX][MIX_ANSWER_NOTE_LEN];
    size_t n_notes;
};

/* ERR_MISSING when the question is not whole, ERR_RANGE when a figure cannot be, ERR_REFUSED with
 * what would serve when no dose makes it: the water is stronger than the target. */
int mix_answer_reckon(const struct room *room, const struct state *s, const struct mix_question *q,
                      struct mix_answer *out, struct err *e);

/* Fills in the notes of an answer that is whole otherwise: a water that is much of the solution,
 * acid that goes first, and what would fall out. mix_answer_reckon calls it. */
void mix_notes_write(const struct room *room, const struct state *s, const struct mix_question *q,
                     struct mix_answer *out);

/* Stage of a crop that wants this recipe, nearest in strength; the last one when none does. */
int mix_answer_stage(const struct crop *c, int recipe, double ec_ms_cm);

#endif
