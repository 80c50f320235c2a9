/* worksheet.h - a task as numbered steps that a person can follow at the bucket.
 *
 * The value alone: what comes of worksheet_make.h, and what the files that write steps add to. A
 * caution stands with the step where it matters, since nobody reads a page of them first. */
#ifndef TARN_CORE_SHEET_WORKSHEET_H
#define TARN_CORE_SHEET_WORKSHEET_H

#include "daemon/base/names.h"

#include <stdbool.h>
#include <stddef.h>

/* A nutrient that is stirred in. */
struct step_dose {
    char product[NAME_LEN_MAX + 1];
    double amount; /* mL of it, or g where it is dry */
    bool dry;
    int parts;       /* it is thinned to so many parts first, to be measured; 1 = as it is … */
    double water_ml; /* … and so much water comes in with it */
};

/* A vessel that a step is about, the litres that it gets, or that stay in it, and how strong it is
 * to be then; NaN = nobody says. In a table of bumps, the litres that it holds, and below what it
 * was, what is dipped out of it, what of that goes away, and what is stirred into the rest. */
struct step_vessel {
    char name[NAME_LEN_MAX + 1];
    double volume_l;
    double ec_ms_cm;
    double from_ms_cm, dip_l, away_l; /* NaN but in a table of bumps */
    struct step_dose *dose;           /* owned */
    size_t n_doses, cap_doses;
};

/* What hands do in a step; STEP_SAYS where it is words alone. */
enum step_does {
    STEP_SAYS,
    STEP_CLOSE,     /* the shut-offs … */
    STEP_OPEN,      /* … which are opened again */
    STEP_LET_IN,    /* plain water, what is in the cans first */
    STEP_DRAW_OFF,  /* water of the reservoir into cans */
    STEP_RINSE,     /* what is left in the reservoir goes, then so much plain water through it */
    STEP_STIR,      /* a nutrient in */
    STEP_MEASURE,   /* the strength, and the pH */
    STEP_PH,        /* is set */
    STEP_DRAIN,     /* vessels; so much stays in each */
    STEP_REFILL,    /* vessels out of what was mixed: so much goes into each */
    STEP_DIP,       /* so much of a vessel's own solution into a jug */
    STEP_POUR_AWAY, /* so much of the jug, to make room for what comes in */
    STEP_POUR_BACK, /* the jug into its vessel, all of it */
    STEP_BUMP,      /* all of that for a vessel after the other: dip, pour away, stir, pour back */
    STEP_SET_IN,    /* the seedling */
    STEP_TAKE_OUT,  /* the plant, for good */
    STEP_TELL,      /* what was done */
    STEP_DOES_N
};
extern const char *const step_does_words[]; /* STEP_DOES_N of them: "let-in"; NULL for STEP_SAYS */

/* Into what; INTO_VESSELS are those that the sheet named last, each of them alike. */
enum step_into { INTO_NOTHING, INTO_RESERVOIR, INTO_JUG, INTO_VESSELS, STEP_INTO_N };
extern const char *const step_into_words[]; /* NULL for INTO_NOTHING */

/* The words, and beside them what they say as data: a page or a scale need not read sentences. */
struct step {
    char *text;    /* a sentence or two; owned */
    char *caution; /* NULL = none; owned */
    enum step_does does;
    enum step_into into;
    char *product;          /* an acid or base that is dosed here; NULL = none; owned … */
    double amount_ml;       /* … and all that is to be stirred in of it, in halves */
    struct step_dose stirs; /* a nutrient that is stirred in; "" = none */
    double volume_l;        /* of water or solution that is moved; NaN = none … */
    double to_l;    /* … and what there is then, whatever there was before; NaN = nobody says */
    unsigned tells; /* FIGURE_BITs that are asked for */
    double ec_ms_cm, ec_lo, ec_hi; /* what a meter should show then; NaN = nothing is measured */
    struct step_vessel *vessel;    /* owned */
    size_t n_vessels, cap_vessels;
    /* What differs from vessel to vessel, in words: the heads, and below them row by row. */
    size_t n_columns; /* 0 = no table */
    char **cell;      /* the heads first; owned */
    size_t n_cells, cap_cells;
};

/* {0} is an empty one. */
struct worksheet {
    struct step *step; /* owned, in the order in which they are done */
    size_t n, cap;
};

/* Adds copies at the end; caution NULL = none. */
void worksheet_add(struct worksheet *w, const char *text, const char *caution);

/* Of the step that was added last: what hands do, and into what; it stirs so much of a nutrient in
 * (copied), moves so many litres, should show this strength then, is about this vessel too. */
void worksheet_does(struct worksheet *w, enum step_does does, enum step_into into);
void worksheet_stirs(struct worksheet *w, const struct step_dose *dose);
void worksheet_moves(struct worksheet *w, double volume_l, double to_l);
void worksheet_tells(struct worksheet *w, unsigned figures); /* FIGURE_BITs */
void worksheet_shows(struct worksheet *w, double ec_ms_cm, double ec_lo, double ec_hi);
void worksheet_vessel(struct worksheet *w, const char *name, double volume_l, double ec_ms_cm);

/* Of the vessel that was added last: how it is bumped. */
void worksheet_dips(struct worksheet *w, double from_ms_cm, double dip_l, double away_l);
void worksheet_vessel_stirs(struct worksheet *w, const struct step_dose *dose);

/* A cell of its table (copied): first the heads, which end where the first cell comes. */
void worksheet_head(struct worksheet *w, const char *text);
void worksheet_cell(struct worksheet *w, const char *text);

/* The step that was added last doses this of a product (a copy of its name). */
void worksheet_doses(struct worksheet *w, const char *product, double amount_ml);

/* Frees all steps and leaves an empty worksheet. */
void worksheet_deinit(struct worksheet *w);

#endif
