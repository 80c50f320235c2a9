/* worksheet.h - a task as numbered steps that a person can follow at the bucket.
 *
 * The value alone: what comes of worksheet_make.h, and what the files that write steps add to. A
 * caution stands with the step where it matters, since nobody reads a page of them first. */
#ifndef TARN_CORE_SHEET_WORKSHEET_H
#define TARN_CORE_SHEET_WORKSHEET_H

#include "daemon/base/names.h"

#include <stdbool.h>
#include <stddef.h>

/* A vessel that a step is about, and the litres that it gets, or that stay in it. */
struct step_vessel {
    char name[NAME_LEN_MAX + 1];
    double volume_l;
};

/* The words, and beside them what they say as data: a page or a scale need not read sentences. */
struct step {
    char *text;       /* a sentence or two; owned */
    char *caution;    /* NULL = none; owned */
    char *product;    /* an acid or base that is dosed here; NULL = none; owned … */
    double amount_ml; /* … and all that is to be stirred in of it, in halves */
    char *stirs;      /* a nutrient that is stirred in; NULL = none; owned … */
    double amount;    /* … mL of it, or g where it is dry */
    bool dry;
    int parts;       /* it is thinned to so many parts first, to be measured; 1 = as it is */
    double volume_l; /* of water or solution that is let in; NaN = none */
    double ec_ms_cm, ec_lo, ec_hi; /* what a meter should show then; NaN = nothing is measured */
    struct step_vessel *vessel;    /* owned */
    size_t n_vessels, cap_vessels;
};

/* {0} is an empty one. */
struct worksheet {
    struct step *step; /* owned, in the order in which they are done */
    size_t n, cap;
};

/* Adds copies at the end; caution NULL = none. */
void worksheet_add(struct worksheet *w, const char *text, const char *caution);

/* Of the step that was added last: it stirs so much of a nutrient in (copied), lets in so many
 * litres, should show this strength then, is about this vessel too. */
void worksheet_stirs(struct worksheet *w, const char *product, double amount, bool dry, int parts);
void worksheet_lets_in(struct worksheet *w, double volume_l);
void worksheet_shows(struct worksheet *w, double ec_ms_cm, double ec_lo, double ec_hi);
void worksheet_vessel(struct worksheet *w, const char *name, double volume_l);

/* The step that was added last doses this of a product (a copy of its name). */
void worksheet_doses(struct worksheet *w, const char *product, double amount_ml);

/* Frees all steps and leaves an empty worksheet. */
void worksheet_deinit(struct worksheet *w);

#endif
