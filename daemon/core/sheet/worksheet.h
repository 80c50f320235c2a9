/* worksheet.h - a task as numbered steps that a person can follow at the bucket.
 *
 * The value alone: what comes of worksheet_make.h, and what the files that write steps add to. A
 * caution stands with the step where it matters, since nobody reads a page of them first. */
#ifndef TARN_CORE_SHEET_WORKSHEET_H
#define TARN_CORE_SHEET_WORKSHEET_H

#include <stddef.h>

struct step {
    char *text;       /* a sentence or two; owned */
    char *caution;    /* NULL = none; owned */
    char *product;    /* an acid or base that is dosed here; NULL = none; owned … */
    double amount_ml; /* … and all that is to be stirred in of it, in halves */
};

/* {0} is an empty one. */
struct worksheet {
    struct step *step; /* owned, in the order in which they are done */
    size_t n, cap;
};

/* Adds copies at the end; caution NULL = none. */
void worksheet_add(struct worksheet *w, const char *text, const char *caution);

/* The step that was added last doses this of a product (a copy of its name). */
void worksheet_doses(struct worksheet *w, const char *product, double amount_ml);

/* Frees all steps and leaves an empty worksheet. */
void worksheet_deinit(struct worksheet *w);

#endif
