#include "daemon/core/tell/deed_took.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/state/pace.h"

#include <math.h>
#include <stdlib.h>

/* What was told at large is gone with it where it was all there was: figures at large are of every
 * subject, and here nothing is. */
int deed_took_begin(const struct deed *d, struct deed_took *out, struct err *err)
{
    size_t n = 0;

    *out = (struct deed_took){.d = *d, .took_min = NAN};
    out->told = mem_array(d->n_told + 1, sizeof *out->told);
    for (size_t i = 0; i < d->n_told; i++) {
        struct told t = d->told[i];

        if (t.has & FIGURE_BIT(FIGURE_TOOK_MIN)) {
            if (!isnan(out->took_min)) {
                return err_field(err, ERR_UNKNOWN, figure_defs[FIGURE_TOOK_MIN].word,
                                 "took=… is of the whole work: tell it once");
            }
            out->took_min = t.figure[FIGURE_TOOK_MIN];
            t.has &= ~FIGURE_BIT(FIGURE_TOOK_MIN);
            if (!*t.subject && !t.has && !*t.what && !t.n_amounts) {
                continue;
            }
        }
        out->told[n++] = t;
    }
    out->d.told = out->told;
    out->d.n_told = n;
    return 0;
}

void deed_took_end(struct deed_took *t)
{
    free(t->told);
    *t = (struct deed_took){0};
}

static int check_near(const struct deed_draft *m, double took_min, double expected_min)
{
    if (m->d->sure || !(expected_min > 0) ||
        (took_min <= PACE_FAR * expected_min && took_min * PACE_FAR >= expected_min)) {
        return 0;
    }
    return err_field(m->err, ERR_UNSURE, figure_defs[FIGURE_TOOK_MIN].word,
                     "about %.0f min were expected, and %g min is far from it; say so if you "
                     "are sure",
                     fmax(1, expected_min), round(10 * took_min) / 10);
}

/* The minutes of the chosen jobs by themselves, as the room file has them: water takes its time to
 * run in. */
static double jobs_file_min(const struct deed_draft *m, const bool *chosen)
{
    double one_min = pace_job_min(&m->room->labour, m->task->kind);
    double sum = 0;

    for (size_t i = 0; i < m->task->n_jobs; i++) {
        double runs_min = m->task->kind == TASK_CHANGE
                              ? m->task->job[i].volume_l / m->room->reservoir.flow_l_min
                              : 0;

        sum += chosen[i] ? fmax(one_min, runs_min) : 0;
    }
    return sum;
}

int deed_took_put(const struct deed_draft *m, double took_min, const bool *chosen,
                  struct entry *acknowledged)
{
    enum task_kind kind = m->task->kind;
    double expected_min = m->task->minutes; /* as was learned; with the mix of a change … */
    double mix_min = m->task->minutes;      /* … which is what its jobs do not take */
    double jobs;

    if (isnan(took_min)) {
        return 0;
    }
    for (size_t i = 0; i < m->task->n_jobs; i++) {
        expected_min -= chosen[i] ? 0 : m->task->job[i].minutes;
        mix_min -= m->task->job[i].minutes;
    }
    jobs =
        pace_jobs(m->room, kind,
                  jobs_file_min(m, chosen) + fmax(0, mix_min) / m->s->pace[pace_kind(kind)].value);
    entry_set(acknowledged, FIGURE_TOOK_MIN, took_min);
    if (jobs > 0) {
        entry_set(acknowledged, FIGURE_JOBS, jobs);
    }
    return check_near(m, took_min, expected_min);
}

int deed_took_check(const struct deed_draft *m, const struct entry *e)
{
    int kind = pace_kind_of_entry(e);
    struct room worked;

    if (kind < 0 || !entry_has(e, FIGURE_TOOK_MIN)) {
        return 0;
    }
    worked = pace_room(m->room, m->s);
    return check_near(m, e->figure[FIGURE_TOOK_MIN],
                      pace_job_min(&worked.labour, (enum task_kind)kind));
}
