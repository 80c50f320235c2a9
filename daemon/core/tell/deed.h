/* deed.h - from what a person says was done to the entries that tell it.
 *
 * Pure. A deed is checked whole before a single entry of it is told: figures in range, plausible or
 * sure, and by the rules of rules.h, entry after entry, on a copy of the state where one needs the
 * other. On failure nothing comes out. */
#ifndef TARN_CORE_TELL_DEED_H
#define TARN_CORE_TELL_DEED_H

#include "daemon/core/tasks/agenda.h"
#include "daemon/core/tell/deed_told.h"

/* The entries of an acknowledgement. Which figures each kind needs and takes stands in
 * words/task_figures.h; figures at large go for every subject. Besides:
 *   start      volume = the start line where it is not told; was = its EC before it was corrected
 *   check      what = "yes" or "no" for the float, or a volume
 *   change     ec, ph and volume are those of the mix, and was its EC before it was corrected; of a
 *              container, was = the EC of what was drained; added = plain water let in after the
 *              rinse
 *   bump, ph   ec and ph are those afterwards
 *   fill       volume afterwards, or added; a mix that is left is told as rinsed
 *   reorder    nothing: it was ordered; amount: it is there
 *   harvest    what = "part", or it is the final one; then it is told as cleaned as well
 * took, how long it was, goes with any of them, once, and is of the whole acknowledgement; far from
 * what was expected it gives ERR_UNSURE.
 * The reservoir's volume may be told along with any task that is not about it: a glance at its
 * mark, and a reading before all else.
 * Amounts that are not told are taken to be those of the recipe. Where figures are told of some
 * subjects and none at large, the others stay open. A change in parts leaves the mix in the
 * reservoir, so that the next part needs no figures again; with the last part it is told as
 * rinsed. ERR_MISSING names the figure; ERR_UNKNOWN a name in `only` or `told` that the task has
 * not, or a figure that it does not take. */
int deed_ack(const struct room *room, const struct state *s, const struct task *t,
             const struct deed *d, struct entries *out, struct err *err);

/* One entry per subject told of (told[].subject), all of one kind: work nobody had planned. */
int deed_record(const struct room *room, const struct state *s, enum entry_kind kind,
                const struct deed *d, struct entries *out, struct err *err);

/* Put off to a day: today or later; beyond the window (latest) only with a note that says why. */
int deed_defer(const struct room *room, const struct state *s, const struct task *t, int32_t to_day,
               const struct deed *d, struct entries *out, struct err *err);

/* Not done at all this time; the note says why and is needed. */
int deed_drop(const struct room *room, const struct state *s, const struct task *t,
              const struct deed *d, struct entries *out, struct err *err);

/* One entry that makes another count as never told; the note says why and is needed. */
int deed_void(const struct entry *target, bool voided_already, const struct deed *d,
              struct entries *out, struct err *err);

/* An entry told wrong: a void of it and the same entry with the figures, the word, the amounts and
 * the instant of the deed where they were told; note, task and all else stay. `before` is the room
 * without it, by which the new one is judged. ERR_REFUSED where nothing is left to mend: of an
 * acknowledgement, of the mix of a task (what was refilled with it was reckoned from it), of what
 * is voided. ERR_MISSING when nothing was told. */
int deed_fix(const struct room *room, const struct state *before, const struct entry *target,
             bool voided_already, const struct deed *d, struct entries *out, struct err *err);

#endif
