/* mixing.h - questions about a mix that need no task.
 *
 * Pure. What is not asked is NaN. */
#ifndef TARN_CORE_MIXING_H
#define TARN_CORE_MIXING_H

#include "daemon/core/dosing.h"

struct err;

#define MIXING_POURED_MAX 16

struct mixing_question {
    int recipe;                              /* -1 = none */
    double volume_l;                         /* of what is there, or is to be made */
    double ec_ms_cm;                         /* wanted */
    double from_ms_cm;                       /* of the solution that is there: what to add to it? */
    double water_ms_cm;                      /* of the plain water; else the source's */
    double hard_ms_cm;                       /* of a water to be blended with the plain one */
    int crop;                                /* whose published feed to show beside; -1 = none */
    struct liquid poured[MIXING_POURED_MAX]; /* together: what comes of it? */
    size_t n_poured;
};

enum mixing_kind {
    MIXING_FULL,   /* the full dose of a recipe, per litre */
    MIXING_DOSE,   /* a recipe into plain water */
    MIXING_ADD,    /* a recipe into a solution that is too weak */
    MIXING_DILUTE, /* plain water into one that is too strong */
    MIXING_POUR,   /* several bodies together */
    MIXING_BLEND,  /* two waters */
};
extern const char *const mixing_words[]; /* "full", "dose", "add", "dilute", "pour", "blend" */

struct mixing_answer {
    enum mixing_kind kind;
    struct portion portion[ROOM_DOSES_MAX]; /* as they can be measured out */
    size_t n_portions;
    double off_frac;      /* what rounding can move the EC by, of what the dose adds */
    double water_l;       /* plain water to take, or to add */
    double hard_l;        /* of the other water, in a blend */
    struct liquid result; /* what there is then */
    struct nutrients feed;
    double estimate_ms_cm; /* EC by what the products contain; NaN when they do not say … */
    double estimate_off;   /* … and by what share of it that may be off */
};

/* ERR_MISSING when the question is not whole, ERR_RANGE when a figure cannot be, ERR_REFUSED with
 * what would serve when no dose makes it: the water is stronger than the target. */
int mixing_reckon(const struct room *room, const struct state *s, const struct mixing_question *q,
                  struct mixing_answer *out, struct err *e);

/* Stage of a crop that wants this recipe, nearest in strength; the last one when none does. */
int mixing_stage(const struct crop *c, int recipe, double ec_ms_cm);

#endif
