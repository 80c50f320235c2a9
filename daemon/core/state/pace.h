/* pace.h - how long work takes the people of a room, as they told it.
 *
 * Pure. The room file has minutes for each kind of work; what was told of how long it took
 * (took=12min) teaches by what factor they are off (state.pace). Plans are made with the minutes
 * that were learned: the room as it is worked. */
#ifndef TARN_CORE_STATE_PACE_H
#define TARN_CORE_STATE_PACE_H

#include "daemon/core/state/state.h"

/* Told minutes so many times more or less than what is expected are asked back: a slip moves a
 * digit, or takes hours for minutes (our own choice, no source). */
#define PACE_FAR 4.0

/* Under which kind its minutes are kept: a look at what is wrong is a check, a night with closed
 * shut-offs is care. */
enum task_kind pace_kind(enum task_kind kind);

/* The minutes of one job of a kind; of a change without mix and changeover. */
double pace_job_min(const struct labour *l, enum task_kind kind);

/* As much work as how many jobs of its kind, by the minutes of the room file: a change has its mix
 * besides. 0 where the room file has no minutes for it. */
double pace_jobs(const struct room *room, enum task_kind kind, double file_min);

/* The room with the minutes that were learned. A shallow copy: it borrows all from *room, and is
 * not ended. */
struct room pace_room(const struct room *room, const struct state *s);

/* Learns from an entry with FIGURE_TOOK_MIN: an acknowledgement, or work told by itself. */
void pace_take(struct state *s, const struct room *room, const struct entry *e);

/* The kind of work that an entry tells of; -1 when it is none. */
int pace_kind_of_entry(const struct entry *e);

#endif
