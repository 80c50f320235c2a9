#include "daemon/serve/api/history.h"

#include "daemon/base/mem.h"
#include "daemon/serve/live/journal_job.h"

#include <stdio.h>
#include <string.h>

/* An instant's place in the journal. */
struct place {
    int64_t at_s, seq;
};

/* Its name, and the one before, between two places. */
static void add_names(struct journal_job *job, const struct room *room, struct subject s,
                      struct place from, struct place to)
{
    const char *names[] = {room_subject_name(room, s), room_subject_was(room, s)};

    for (size_t i = 0; i < 2 && job->query.n_parts < JOURNAL_PARTS_MAX; i++) {
        struct journal_part part = journal_part_of(names[i]);

        if (!*names[i] || (i > 0 && strcmp(names[0], names[1]) == 0)) {
            continue;
        }
        part.from_s = from.at_s;
        part.from_seq = from.seq;
        part.to_s = to.at_s;
        part.to_seq = to.seq;
        job->part[job->query.n_parts++] = part;
    }
}

void history_of(const struct live_room *live, struct subject s, struct journal_job *job)
{
    const struct place first = {INT64_MIN, 0};
    const struct container_state *cs =
        s.kind == SUBJECT_CONTAINER ? &live->state.container[s.at] : NULL;
    struct place to = {INT64_MAX, INT64_MAX};
    size_t n_homes = cs ? cs->n_homes : 0;

    (void)snprintf(job->of, sizeof job->of, "%s", room_subject_name(&live->room, s));
    job->part = mem_array(JOURNAL_PARTS_MAX, sizeof *job->part);
    for (size_t i = n_homes; i > 0; i--) {
        const struct home *h = &cs->home[i - 1];

        add_names(job, &live->room, s, (struct place){h->until_s, h->until_seq}, to);
        s = (struct subject){SUBJECT_CONTAINER, h->container};
        to = (struct place){h->until_s, h->until_seq};
    }
    add_names(job, &live->room, s, first, to);
    job->query.part = job->part;
}
