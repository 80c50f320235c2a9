/* hands.h - what a person's hands do to the truth, and what their meters show.
 *
 * Every policy works through these, so that the same deed costs the same minutes, wastes the same
 * litres and is measured as badly. Bottles hold a little more or less than their label says; meters
 * drift from one calibration to the next; a bottle can be empty, and the source slow. Nothing is
 * set to what was wanted: products are stirred in, and what the water then shows is read. Days are
 * counted from the first. Borrows room, truth and ledger. */
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
    double volume_l, ec_ms_cm;
};

/* Vessels: containers by their index, and these. */
#define HANDS_TANK SIZE_MAX       /* the reservoir */
#define HANDS_JUG  (SIZE_MAX - 1) /* in which a solution is made by hand */

struct hands {
    const struct room *room;
    struct truth *t;
    struct ledger *l;
    struct dice dice; /* of the hands: noise of what they measure and do */
    uint64_t seed;
    size_t day;
    double ec_slope;        /* of the meter: shown over true */
    double ph_offset;       /* of the meter: shown less true */
    double *strength;       /* of each product: true over what its label says */
    double *stock;          /* of each product */
    double source_l;        /* plain water that is ready */
    struct water_body cans; /* plain water that made way for a mix, to be used again */
    double again_l;         /* out of them, of the water that was let in last */
    double source_frac;     /* of the source's rate */
    struct water_body film; /* of the last mix, clinging to the tank */
    struct water_body jug;
    bool *dosed;          /* acid or base went into this water: containers, then jug, then tank */
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

/* What the meter shows of a water's EC, mS/cm. */
double hands_ec(struct hands *h, const struct water_body *w);
/* What the meter shows of a water's pH. */
double hands_ph(struct hands *h, const struct water_body *w);
/* … and, in any of the room's, of its temperature, °C. */
double hands_temp(const struct hands *h);
/* What a vessel holds; borrowed. */
struct water_body *hands_water(struct hands *h, size_t vessel);
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
/* Stirs the doses in, measures, and corrects what is off by more than serves. */
struct shown hands_mix(struct hands *h, size_t recipe, double ec_ms_cm, const struct doses *d);
/* Drains container i and lets the float refill it from the mix. */
void hands_change(struct hands *h, size_t i);
/* Makes what container i takes at a change in the jug, as hands_mix does in the reservoir. */
struct shown hands_make_change(struct hands *h, size_t i, size_t recipe, double ec_ms_cm,
                               const struct doses *d);
/* Drains container i and pours in what hands_make_change made. */
void hands_pour(struct hands *h, size_t i);
/* Empties and rinses the reservoir. */
void hands_rinse(struct hands *h);
/* Fills it with plain water, as far as the source has it; gives the litres. */
double hands_fill(struct hands *h);
/* Stirs in what makes the feed of what is in it, where the room keeps one there. */
void hands_feed(struct hands *h);

/* Makes the start solution of container i in the jug. */
struct shown hands_make_start(struct hands *h, size_t i, double ec_ms_cm, const struct doses *d);
/* Sets a plant into container i with what hands_make_start made. */
void hands_start(struct hands *h, size_t i);
/* Stirs concentrate in; gives the strength as shown. */
double hands_bump(struct hands *h, size_t i, size_t recipe, double ec_ms_cm, const struct doses *d);

/* Stirs so much of an acid or base into a vessel, as far as the bottle has it. Gives what the pH
 * meter shows then. */
double hands_dose(struct hands *h, size_t vessel, size_t product, double ml);
/* The mL of the bottle as it truly is that bring a vessel to a pH at once; 0 when it is past it. */
double hands_needs_ml(struct hands *h, size_t vessel, size_t product, double ph);
/* Did acid or base go into the water that this vessel holds? */
bool hands_is_dosed(const struct hands *h, size_t vessel);

/* Takes the plant out of container i. */
void hands_harvest(struct hands *h, size_t i);

/* ---- the rest */

/* Gives the slope that the meter shows, in percent. */
double hands_calibrate(struct hands *h, enum meter_kind kind);
/* A product was delivered: mL or g. */
void hands_receive(struct hands *h, size_t product, double amount);

#endif
