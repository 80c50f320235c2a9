/* calendar_steps.h - what growers without a daemon do alike; for calendar*.c only. */
#ifndef TARN_TESTS_SEASON_CALENDAR_STEPS_H
#define TARN_TESTS_SEASON_CALENDAR_STEPS_H

#include "tests/season/calendar.h"

#define CALENDAR_NOTHING (-1)

/* The day, counted from the first. */
int64_t calendar_today(const struct calendar *c);
/* Books work on it. */
void calendar_work(struct calendar *c, enum work what, double minutes);
/* The crop of container i. */
const struct crop *calendar_crop(const struct calendar *c, size_t i);

/* By hand, to what the meter shows; an acid or base of which little is left is bought. */
void calendar_set_ph(struct calendar *c, size_t vessel, double ph);
/* Fills the reservoir, without its minutes. */
void calendar_fill(struct calendar *c);
/* Is it down to its low mark? Anybody who goes by sees that. */
bool calendar_is_low(const struct calendar *c);
/* Is there enough of each product? Buys what lacks. */
bool calendar_have(struct calendar *c, size_t recipe, const struct doses *d);
/* Puts on the shelf what was bought two days ago. */
void calendar_receive(struct calendar *c);

/* Takes out what is old enough and sets in what may start. */
void calendar_harvest_and_start(struct calendar *c);
/* Is the float of container i open? A look, where that was not seen yet. */
bool calendar_look(struct calendar *c, size_t i);
/* Sets its pH right where the meter shows it out of the stage's band. */
void calendar_mind_ph(struct calendar *c, size_t i);
/* Finds faults that stood for a week. */
void calendar_find_faults(struct calendar *c);
/* Calibrations, and what the room file sees to. */
void calendar_care(struct calendar *c);

/* Is a change of container i worth making? */
bool calendar_wants_change(const struct calendar *c, size_t i);
/* Each by itself where it is due: a mix, a changeover and a rinse for every one. False = none. */
bool calendar_change_each(struct calendar *c);
/* All of each recipe, in as many fillings as they take. False = none. */
bool calendar_change_all(struct calendar *c);

/* The morning of the notebook's grower (calendar_notebook.c). */
void calendar_notebook(struct calendar *c, bool leaves);

#endif
