#include "daemon/serve/live/thin_day.h"

#include "daemon/serve/live/server.h"

#include <math.h>
#include <stdio.h>

#define DAY_S 86400

static void on_thinned(struct journal_job *job)
{
    struct server *s = job->owner;

    s->thinned_s = job->query.until_s;
    if (job->rc < 0) { /* all of it once more, another day */
        s->thinned_s = INT64_MIN;
        (void)fprintf(stderr, "tarnd: sensors' readings were not thinned: %s\n", job->err.msg);
    } else if (job->seq) {
        (void)fprintf(stderr, "tarnd: %lld readings of sensors were thinned\n",
                      (long long)job->seq);
    }
    journal_job_free(job);
}

void thin_day(struct server *s)
{
    double keep_s = s->live.room.sensors.keep_all_day * DAY_S;
    int64_t until_s = server_now_s(s) - (int64_t)llround(keep_s);
    struct journal_job *job;

    if (!(keep_s > 0) || !s->journal_runs || s->full.code) {
        return;
    }
    job = journal_job_new(JOURNAL_JOB_THIN, on_thinned, s);
    job->query.since_s = until_s < s->thinned_s ? INT64_MIN : s->thinned_s;
    job->query.until_s = until_s;
    journal_thread_submit(&s->journal, job);
}
