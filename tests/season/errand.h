/* errand.h - one task of the list under way: what it is about, what is told of it, what follows.
 *
 * The pieces that several chores are made of. An errand borrows the task, the list and the grower;
 * what is told goes into the params of its `ack`. */
#ifndef TARN_TESTS_SEASON_ERRAND_H
#define TARN_TESTS_SEASON_ERRAND_H

#include "tests/season/acid.h"
#include "tests/season/grower.h"

enum chore { CHORE_DONE, CHORE_PUT_OFF, CHORE_TONIGHT, CHORE_FAILED };

struct errand {
    struct grower *g;
    const json_t *task, *list; /* the task, and the list that it stands on */
    json_t *params;            /* of the ack */
    json_t *after;             /* calls to make once it was taken: [[method, params], …] */
    int days_off;              /* put off by so many days … */
    const char *why;           /* … because */
};

/* The k-th subject of the task, k < errand_n_subjects. */
struct subject errand_subject(const struct errand *e, size_t k);

/* How many things the task is about. */
size_t errand_n_subjects(const struct errand *e);

/* The figures of a subject in the params, or those at large for NULL; made when they are not there.
 * Borrowed from the params. */
json_t *errand_figures(const struct errand *e, const char *subject);

/* Adds a figure under its key, which carries the unit. */
void errand_tell(json_t *figures, const char *key, double value);

/* Adds the doses of a recipe as they were stirred in last. */
void errand_tell_amounts(const struct errand *e, json_t *figures, size_t recipe);

/* Adds an acid or base to the amounts, and buys a new bottle when there is little left. */
void errand_tell_acid(struct errand *e, json_t *figures, const struct acid_given *given);

/* Adds the pH that the meter shows, and the acid where the daemon takes it of such a task. */
void errand_tell_ph(struct errand *e, json_t *figures, const struct acid_given *given);

/* A call to make once the task was acknowledged; params are stolen. */
void errand_then(struct errand *e, const char *method, json_t *params);

/* Nothing was done; `why` is told and has to outlive the errand. Gives CHORE_PUT_OFF. */
enum chore errand_put_off(struct errand *e, int days, const char *why);

/* Buys what the doses need and the shelf has not, and puts the task off until it is there. */
enum chore errand_buy_first(struct errand *e, size_t recipe, const struct doses *d);

/* Reads container i with the meters; a level only where it is wanted or odd. The figures are a new
 * reference. */
json_t *errand_read_container(struct errand *e, size_t i, bool level);

/* The same of the reservoir, with its level. */
json_t *errand_read_tank(struct errand *e);

/* A reading of `subject` to tell once the task was acknowledged; figures are stolen. */
void errand_then_read(struct errand *e, const char *subject, json_t *figures);

#endif
