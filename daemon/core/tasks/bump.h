/* bump.h - what a bump is worth, and when: for the job (jobs_solution.c), and for what is foreseen
 * of many (feeding.c).
 *
 * Common practice, no source, but where it is said. */
#ifndef TARN_CORE_TASKS_BUMP_H
#define TARN_CORE_TASKS_BUMP_H

#define BUMP_WORTH     0.4  /* of what a bump at the due share adds, one adds at least */
#define BUMP_PCT_MIN   0.3  /* a day at one percent less strength is worth so many minutes … */
#define BUMP_FALL_MOST 0.15 /* … of no more a day: for one that drinks faster nobody can come */
#define BUMP_LATE_D    2    /* a spent solution waits for a bump so long, and no longer */
#define BUMP_ABOVE     1.4  /* tolerances (tolerance_pct) above what is wanted, after a bump … */
#define CHANGE_ABOVE   0.5  /* … and a change, whose mix may be a whole one off */
#define DRAWN_D        3    /* days; a change is drawn nearer so far, if that saves a bump */

#endif
