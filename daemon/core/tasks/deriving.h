/* deriving.h - what the rules of the jobs_*.c have in common; for them and jobs_derive.c only.
 *
 * Pure. A rule looks at one subject, makes a job with its window, reason and loss, and adds it:
 * holds, days off and the horizon are seen to there, once for all kinds. */
#ifndef TARN_CORE_TASKS_DERIVING_H
#define TARN_CORE_TASKS_DERIVING_H

#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/jobs.h"
#include "daemon/core/units/day.h"

struct deriving {
    const struct room *room;
    const struct state *s;
    int64_t now_s;
    int32_t today;
    int32_t end_day; /* first day that no longer matters */
    struct jobs *out;
};

/* A job without window, reason and loss, that was never done yet. */
struct job deriving_job(enum task_kind kind, enum subject_kind subject, size_t at, int32_t cycle);

/* The reason and the loss of a job: sentences without their full stop, cut to what a job holds. */
void deriving_say_why(struct job *j, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void deriving_say_loss(struct job *j, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* That it was done at last_s; 0 = not yet. */
void deriving_done_at(const struct deriving *d, struct job *j, int64_t last_s);

/* Adds the job, unless it was dropped and rests, or begins after the horizon. Moves it behind the
 * day to which it was put off, and off the days on which nobody works. *j is changed likewise. */
void deriving_add(const struct deriving *d, struct job *j);

/* The civil day of an instant; DAY_NEVER of FORECAST_NEVER. */
int32_t deriving_day(const struct deriving *d, int64_t t_s);

/* The instant at which work begins on a day, or on today where the day is past. */
int64_t deriving_morning_s(const struct deriving *d, int32_t day);

int64_t deriving_days_after(int64_t t_s, double days); /* t_s and so many days more */
int64_t deriving_later(int64_t a_s, int64_t b_s);      /* the later of two instants … */
int64_t deriving_earlier(int64_t a_s, int64_t b_s);    /* … and the earlier */

/* A day, a volume and a strength as a person reads them. Return buf. */
char *deriving_date(char buf[DAY_WORDS_MAX], const struct deriving *d, int64_t t_s);
char *deriving_volume(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double volume_l);
char *deriving_strength(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double ec_ms_cm);

/* Days from when the pH of a container was last known until it is expected to leave what its stage
 * bears; 0 where it was outside by more than a pen's doubt, INFINITY where it never does. */
double deriving_ph_leaves_day(const struct deriving *d, size_t i, const struct forecast *now,
                              const struct stage *stage);

/* jobs_plant.c: a planting from its start to its harvest. Each adds the job of one container,
 * or, of those below that say so, of one meter: i is its place in the room file. */
void derive_start(const struct deriving *d, size_t i);
void derive_check(const struct deriving *d, size_t i);
void derive_harvest(const struct deriving *d, size_t i);

/* The harvest of a container that grows something, with its window alone. */
struct job deriving_harvest_window(const struct deriving *d, size_t i);

/* jobs_solution.c: what a container's solution wants. */
void derive_change(const struct deriving *d, size_t i);
void derive_bump(const struct deriving *d, size_t i);
void derive_container_ph(const struct deriving *d, size_t i);

/* jobs_reservoir.c */
void derive_reservoir_ph(const struct deriving *d);
void derive_fill(const struct deriving *d);
void derive_overnight(const struct deriving *d);

/* jobs_care.c: what comes at intervals, and the looks at what is wrong. */
void derive_container_reading(const struct deriving *d, size_t i);
void derive_reservoir_reading(const struct deriving *d);
void derive_calibrate(const struct deriving *d, size_t i); /* a meter */
void derive_care(const struct deriving *d);
void derive_looks(const struct deriving *d);

/* Will the first reading of a planting, which tells the level too, be due by that day? */
bool deriving_first_reading_by(const struct deriving *d, size_t i, int32_t day);

/* jobs_stock.c: after starts and changes, whose use it counts. */
void derive_reorder(const struct deriving *d);

#endif
