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

/* Those that make or mend a solution (chores_solution.c). */
enum chore chore_start(struct errand *e);
enum chore chore_change(struct errand *e);
enum chore chore_bump(struct errand *e);
enum chore chore_ph(struct errand *e);

/* Those of the round with meter, cloth and scissors (chores_round.c). */
enum chore chore_check(struct errand *e);
enum chore chore_read(struct errand *e);
enum chore chore_fill(struct errand *e);
enum chore chore_care(struct errand *e);
enum chore chore_calibrate(struct errand *e);
enum chore chore_reorder(struct errand *e);
enum chore chore_look(struct errand *e);
enum chore chore_harvest(struct errand *e);

#endif
