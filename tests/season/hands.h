/* hands.h - what a person's hands do to the truth, and what their meters show.
 *
 * Every policy works through these, so that the same deed costs the same minutes, wastes
 * the same litres and is measured as badly. Recipes give a little more or less than their
 * label says; meters drift from one calibration to the next; a bottle can be empty, and
 * the source slow. Days are counted from the first. Borrows room, truth and ledger. */
#ifndef TARN_TESTS_SEASON_HANDS_H
#define TARN_TESTS_SEASON_HANDS_H

#include "tests/season/ledger.h"
#include "tests/sim/truth.h"

/* Amounts of a recipe's products, in its order: mL or g. */
struct doses {
    double amount[ROOM_DOSES_MAX];
};

/* A solution as it was measured. */
struct shown {
    double volume_l, ec_ms_cm, ph;
};

struct hands {
    const struct room *room;
    struct truth *t;
    struct ledger *l;
    struct dice dice; /* of the hands: noise of what they measure and do */
    uint64_t seed;
    size_t day;
    double ec_slope;      /* of the meter: shown over true */
    double ph_offset;     /* of the meter: shown less true */
    double *gain;         /* of each recipe, mS/cm by the full dose */
    double *stock;        /* of each product */
    double source_l;      /* plain water that is ready */
    double cans_l;        /* plain water that made way for a mix, to be used again */
    double source_frac;   /* of the source's rate */
    double film;          /* of the last mix, clinging to the tank: mS/cm times litres */
    struct doses stirred; /* into the last solution that was made, corrections included */
    bool open;            /* the reservoir was changed over, and is not back to plain water */
};

/* Borrows room, truth and ledger; what the labels get wrong is drawn from the seed. */
void hands_init(struct hands *h, const struct room *room, struct truth *t, struct ledger *l,
                uint64_t seed);

/* Frees the arrays and leaves *h empty. */
void hands_deinit(struct hands *h);

/* A new day: the meters drift, the source has made water over night. */
void hands_new_day(struct hands *h, size_t day);

/* ---- reading */

/* What the meter shows of an EC, mS/cm. */
double hands_ec(struct hands *h, double ec_ms_cm);
/* What the meter shows of a pH. */
double hands_ph(struct hands *h, double ph);
/* What a ruler shows in container i, litres. */
double hands_level(struct hands *h, size_t i);
/* What the mark on the reservoir shows, litres. */
double hands_tank(struct hands *h);
/* Anybody sees that a level on float is far off its line. */
bool hands_level_is_odd(const struct hands *h, size_t i);
/* Has container i come down to its float line, and does the float let water in? */
bool hands_float_works(const struct hands *h, size_t i);

/* ---- solution */

/* The doses by the label, as they can be measured out. */
struct doses hands_by_label(const struct hands *h, size_t recipe, double volume_l,
                            double gain_ms_cm);
/* Is there enough of everything? */
bool hands_have(const struct hands *h, size_t recipe, const struct doses *d);
/* Litres of plain water that can be had this morning, what the reservoir holds of it included. */
double hands_water_l(const struct hands *h);

/* Brings the reservoir to volume_l with plain water, before it is mixed in; what it holds too much
 * of is drawn off. Gives its strength as shown. *out_l = what it holds then. */
double hands_bring(struct hands *h, double volume_l, double *out_l);
/* Stirs the doses in, measures, corrects what is off by more than serves, and sets the pH. */
struct shown hands_mix(struct hands *h, size_t recipe, double ec_ms_cm, double ph,
                       const struct doses *d);
/* Drains container i and lets the float refill it from the mix. */
void hands_change(struct hands *h, size_t i);
/* The same with a solution made in a jug. */
struct shown hands_pour(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, double ph,
                        const struct doses *d);
/* Empties and rinses the reservoir. */
void hands_rinse(struct hands *h);
/* Fills it with plain water of the right pH, as far as the source has it; gives the litres. */
double hands_fill(struct hands *h);

/* Sets a plant into container i with a solution that is made for it; gives it as measured. */
struct shown hands_start(struct hands *h, size_t i, double ec_ms_cm, double ph,
                         const struct doses *d);
/* Stirs concentrate in; gives the strength as shown. */
double hands_bump(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, const struct doses *d);
/* Sets a pH; SIZE_MAX = of the reservoir. Gives the mL of acid or base that it took; *out_shown. */
double hands_set_ph(struct hands *h, size_t i, double ph, double *out_shown);
/* Takes the plant out of container i. */
void hands_harvest(struct hands *h, size_t i);

/* ---- the rest */

/* Gives the slope that the meter shows, in percent. */
double hands_calibrate(struct hands *h, enum meter_kind kind);
/* A product was delivered: mL or g. */
void hands_receive(struct hands *h, size_t product, double amount);

#endif
