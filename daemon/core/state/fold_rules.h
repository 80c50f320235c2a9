/* fold_rules.h - the rules of the fold, one for each kind of entry, and what they have in common.
 *
 * Private to fold*.c. A rule changes f->s as its entry says; it returns false, and must have
 * changed nothing, where the entry has no place in the room (a crop that the room file no longer
 * has). The entry's figures are at 25 C, and its kind fits its subject: fold.c has seen to both. */
#ifndef TARN_CORE_STATE_FOLD_RULES_H
#define TARN_CORE_STATE_FOLD_RULES_H

#include "daemon/core/state/state.h"
#include "daemon/core/state/waters.h"

/* What an entry is folded with: the state, the room, and what the entry's subject is. */
struct fold {
    struct state *s;
    const struct room *room;
    const struct entry *e;
    size_t at;                      /* index of the subject */
    struct container_state *pot;    /* where the subject is a container, else NULL */
    const struct container *vessel; /* likewise */
};

/* fold_container.c: f->pot is there. */
bool fold_started(const struct fold *f);
bool fold_container_reading(const struct fold *f);
bool fold_float_seen(const struct fold *f);
bool fold_drained(const struct fold *f);
bool fold_refilled(const struct fold *f);
bool fold_bumped(const struct fold *f);
bool fold_topped_up(const struct fold *f);
bool fold_stage_seen(const struct fold *f);
bool fold_harvested(const struct fold *f);
bool fold_cleaned(const struct fold *f);

/* fold_reservoir.c */
bool fold_reservoir_reading(const struct fold *f);
bool fold_reservoir_filled(const struct fold *f);
bool fold_mix_made(const struct fold *f);
bool fold_reservoir_rinsed(const struct fold *f);
bool fold_stood(const struct fold *f);

/* fold_dose.c: of a container, or of the reservoir where f->pot is NULL. */
bool fold_ph_adjusted(const struct fold *f);
bool fold_stock_received(const struct fold *f);

/* fold_upkeep.c: of anything. */
bool fold_observation(const struct fold *f);
bool fold_calibrated(const struct fold *f);
bool fold_cared_for(const struct fold *f);
bool fold_deferred(const struct fold *f);
bool fold_dropped(const struct fold *f);
bool fold_acknowledged(const struct fold *f);

/* fold_life.c: what befalls a room. */
bool fold_died(const struct fold *f);
bool fold_moved(const struct fold *f);
bool fold_container_emptied(const struct fold *f);
bool fold_reservoir_emptied(const struct fold *f);
bool fold_spilled(const struct fold *f);
bool fold_stock_counted(const struct fold *f);
bool fold_meter_new(const struct fold *f);

/* The end of a planting: nothing grows in f->pot, and it waits to be cleaned. */
void fold_ends_planting(const struct fold *f);

/* What was put off of a container is forgotten. */
void fold_forget_holds(const struct fold *f, size_t container);

/* A level told outright: the condition of f->pot follows from it. */
void fold_level_is(const struct fold *f, double volume_l);

/* Learns what a recipe's full dose adds, from a mix of volume_l that was made of water of base_ec
 * and measured. Takes nothing from an entry whose amounts are not that recipe's, or are the sheet's
 * with nothing told of what they came to. */
void fold_learn_gain(const struct fold *f, size_t recipe, double volume_l, double base_ec);

/* What the entry's amounts of a recipe add to the strength of volume_l that had from_ms_cm; 0 where
 * they are not told, or not that recipe's. */
double fold_told_rise(const struct fold *f, size_t recipe, double volume_l, double from_ms_cm);

/* Learns from a dose of acid or base, stirred into a water of volume_l with the pH told
 * afterwards: what the bottle does, or, where nobody reported it, the source's alkalinity. False
 * where there was nothing to learn from. */
bool fold_learn_acid(const struct fold *f, const struct dissolved *before, double volume_l);

/* Does the reservoir hold what is believed, before acid is stirred in? Whether the cans were really
 * used, or what was left of an earlier mix, is not told: that teaches nothing of a bottle. */
bool fold_is_all_known(const struct fold *f, double total_l);

/* How many litres truly were in the cans nobody tells, but the dose does: fresh water takes more
 * acid than what was dosed once. Where more went in than would have served, less came out of the
 * cans, down to none. Else its phosphate would be counted twice, and the next dose with it. Asked
 * before the entry's water is let in. */
void fold_count_cans(const struct fold *f);

/* The same of a dose that is told by itself, after the water was let in. True where some of that
 * was taken for water of the cans: then the dose teaches nothing of the bottle. */
bool fold_count_let_in(const struct fold *f);

/* The reservoir's water as it is from now on: with the entry's acid or base, and the
 * pH that was told. */
void fold_keep_water(const struct fold *f, struct dissolved *w, double volume_l);

/* The gas that a container's solution holds from now on: a water with the entry's acid or base,
 * and the pH that was told. */
void fold_keep_gas(const struct fold *f, struct dissolved *w, double volume_l);

/* ---- fold_common.c */

/* Keeps a figure as the last one measured, with its meter; nothing where it was not told. */
void fold_measure(const struct fold *f, struct measured *m, enum figure figure);

/* All that a container's reading may have, and the count of its readings. */
void fold_measure_container(const struct fold *f, struct container_state *cs);

/* The reservoir's temperature, where it was told. */
void fold_measure_reservoir_temp(const struct fold *f);

/* A strength that was measured. What differs from the one that was expected was taken, or was not:
 * of each nutrient in its share of what goes (NULL: of all alike). */
void fold_ec_shows(struct liquid *body, struct nutrients *feed, const struct nutrients *takes,
                   double ec_ms_cm);

/* The container's solution was made or bumped: to this the next step of strength is added. */
void fold_strength_is_made(const struct fold *f);

/* The pH of a container's solution that was made or set; unknown where it was not told. */
void fold_ph_is_set(const struct fold *f);

/* Adds what the entry's amounts brought to a feed in volume_l, and to a container's phosphate. */
void fold_dose_feed(const struct fold *f, struct nutrients *feed, double volume_l);

/* Takes the entry's amounts from the stock. */
void fold_use_amounts(const struct fold *f);

/* Moves an anchor to the entry's instant, with what the forecast says is held then: of f->pot, of
 * all containers (what the reservoir shows is about all of them), or of the reservoir. */
void fold_anchor_container(const struct fold *f);
void fold_anchor_all(const struct fold *f);
void fold_anchor_reservoir(const struct fold *f);

#endif
