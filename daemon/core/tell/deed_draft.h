/* deed_draft.h - a deed while its entries are being written.
 *
 * Inside deed*.c only. A draft takes entries one after the other, each checked for form and by the
 * rules of the room before it is taken. Nothing of it is told to anybody: when one entry is
 * refused the whole draft is thrown away (deed_draft_end), so that half a deed never reaches the
 * journal. */
#ifndef TARN_CORE_TELL_DEED_DRAFT_H
#define TARN_CORE_TELL_DEED_DRAFT_H

#include "daemon/core/state/dosing.h"
#include "daemon/core/tasks/agenda.h"
#include "daemon/core/tell/deed_told.h"
#include "daemon/core/words/task_figures.h"

struct deed_draft {
    const struct room *room;
    const struct state *s; /* what the next entry is judged on */
    struct state scratch;  /* a copy that has taken the entries so far; only where `copied` */
    bool copied;
    const struct task *task;            /* NULL: work nobody had planned */
    const struct task_figures *figures; /* of the task; NULL without one */
    const struct deed *d;
    struct entries es;
    struct err *err;
};

/* From here on each entry is judged on the state as the ones before it leave it: for deeds of
 * which one entry depends on the one before (drained, then refilled). */
void deed_draft_in_turn(struct deed_draft *m);

/* Ends a draft: with rc < 0 its entries are dropped, else they are handed over. Returns rc. */
int deed_draft_end(struct deed_draft *m, int rc, struct entries *out);

/* An entry of this deed: its instant, author, key and task. Not taken yet. */
struct entry deed_draft_entry(const struct deed_draft *m, enum entry_kind kind,
                              const char *subject);
void deed_set_what(struct entry *e, const char *what); /* cut to what an entry holds */

/* Takes an entry, if its form and the rules of the room bear it; else their error. */
int deed_draft_take(struct deed_draft *m, const struct entry *e);

/* The figures, or the amounts, that were told, as they are; amounts stand over those that e had. */
void deed_put_figures(struct entry *e, const struct told *t);
void deed_put_amounts(struct entry *e, const struct told *t);

/* Where a person did not say how much of what: as the sheet told it, for this rise of EC. */
void deed_put_planned(const struct deed_draft *m, size_t recipe, const struct dosing_rise *rise,
                      struct entry *e);

/* The nutrients of a fill, where a weak solution is kept in the reservoir: those that were not
 * told, as the sheet told them. Asked with the reservoir as it is before the fill. */
void deed_put_feed(const struct deed_draft *m, struct entry *filled);

/* The amounts of a solution that was mixed to the EC of e: as t tells them, and where it does not,
 * the sheet's for `aim` in water of base_ms_cm, more or less by what corrected it from was=… to
 * that EC. What the sheet had is no observation: only an entry with was=… teaches the recipe
 * (fold_learn_gain), so an EC that amounts told in full came to is told as such too. ERR_UNSURE
 * where was=… is far from the aim, or an amount far less than the sheet's: then it is a slip, or
 * what corrected it alone. ERR_REFUSED where was=… is no more than the water's. */
int deed_put_mix(const struct deed_draft *m, size_t recipe, struct liquid aim, double base_ms_cm,
                 const struct told *t, struct entry *e);

/* Was all told that the task needs (task_figures.h) of this subject ("" = the mix)? ERR_MISSING
 * names the first figure that was not. */
int deed_check_needs(const struct deed_draft *m, const struct told *t);

/* The name of what a job of the task is about; the room's. */
const char *deed_job_subject(const struct deed_draft *m, const struct job *j);

/* deed_jobs.c: the entries of one job of a task; every kind but TASK_CHANGE, whose jobs share a
 * mix. */
int deed_tell_job(struct deed_draft *m, const struct job *j);

/* deed_change.c: the entries of a change, for those of its jobs that are `chosen`. */
int deed_tell_change(struct deed_draft *m, const bool *chosen);

/* deed_used.c: does each figure, amount and word that was told stand in an entry of the draft?
 * ERR_REFUSED names the first that does not: what a person tells is used, or refused by name. */
int deed_check_used(const struct deed_draft *m);

/* The reservoir's level, told along with a task that is not about the reservoir: a glance at its
 * mark. NULL = none was told; borrowed from the deed. */
const struct told *deed_glance(const struct deed_draft *m);

/* Is the deed about things of the task only, in `only` and in `told`? A glance may be of the
 * reservoir. ERR_UNKNOWN. */
int deed_check_names(const struct deed_draft *m);

/* Which of the task's jobs the deed is about, a flag a job; returns how many. */
size_t deed_choose(const struct deed_draft *m, bool *chosen);

#endif
