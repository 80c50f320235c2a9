/* chores.h - how each kind of task is done by hand, and what is told of it.
 *
 * A chore does its work to the truth, then fills in the params of `ack`: figures at large or by
 * subject. It gives CHORE_PUT_OFF when something lacks and nothing was done, and CHORE_FAILED with
 * the grower's err filled in when the daemon refused to be asked. */
#ifndef TARN_TESTS_SEASON_CHORES_H
#define TARN_TESTS_SEASON_CHORES_H

#include "tests/season/errand.h"

/* Does the task by its kind; CHORE_FAILED for a kind that nobody knows. */
enum chore chore_do(struct errand *e);

/* What the sheet of a task says of a pH, and of its solution. */
struct sheet {
    struct acid_sheet acid;
    struct acid_sheet fill; /* of the plain water after a change; ph 0 = not a word of it */
    bool by_hand, is_there, leaves_rest;
};

/* Reads the sheet of the task (chores_sheet.c); without a word of the pH it is the reservoir's.
 * False with the grower's err filled in when the daemon refused to be asked. */
bool chores_sheet(struct errand *e, struct sheet *out);

/* Those that make or mend a solution (chores_solution.c). */
/* sets plants in */
enum chore chore_start(struct errand *e);
/* drains and refills, from the reservoir or by hand from a jug */
enum chore chore_change(struct errand *e);
/* stirs concentrate into what is there */
enum chore chore_bump(struct errand *e);
/* sets the pH of a container or the reservoir */
enum chore chore_ph(struct errand *e);

/* Those of the round with meter, cloth and scissors (chores_round.c). */
/* looks at floats and levels */
enum chore chore_check(struct errand *e);
/* reads containers and reservoir with the meters */
enum chore chore_read(struct errand *e);
/* fills the reservoir with source water */
enum chore chore_fill(struct errand *e);
/* cleans and inspects; faults are found by it */
enum chore chore_care(struct errand *e);
/* a meter */
enum chore chore_calibrate(struct errand *e);
/* buys a product */
enum chore chore_reorder(struct errand *e);
/* looks at what an alarm names, and mends what is wrong there */
enum chore chore_look(struct errand *e);
/* closes the shut-offs for a night, and tells of the last one */
enum chore chore_overnight(struct errand *e);
/* takes plants out */
enum chore chore_harvest(struct errand *e);

#endif
