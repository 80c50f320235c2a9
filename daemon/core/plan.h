/* plan.h - which changes share a mix, and on which day.
 *
 * Pure and deterministic. The one place that decides this: whoever wants a better plan replaces
 * what is behind plan_mixes. Days are offsets from today (0 = today). */
#ifndef TARN_CORE_PLAN_H
#define TARN_CORE_PLAN_H

#include <stddef.h>
#include <stdint.h>

struct plan_job {
    int32_t earliest, due,
        latest; /* days from today, earliest <= due <= latest; may be negative when overdue */
    size_t recipe;
    double ec_ms_cm;
    double tolerance_pct;
    double volume_l;
    double minutes;
};

struct plan_room {
    double usable_l;    /* reservoir capacity less what cannot be used */
    double line_loss_l; /* at each load */
    double changeover_min, load_min;
    const double *budget_min; /* per day from today, n_days of them */
    size_t n_days;
};

struct plan_slot {
    int32_t day;     /* >= 0 */
    uint32_t load;   /* jobs with equal load share one mix */
    double ec_ms_cm; /* strength of that mix */
};

/* Gives every job a slot: jobs share a load only when recipe and day are the same, the strength
 * lies within each one's tolerance, and the volumes and the line loss fit usable_l. A job too large
 * for the reservoir gets a load of its own. out has n elements. */
void plan_mixes(const struct plan_room *room, const struct plan_job *job, size_t n,
                struct plan_slot *out);

#endif
