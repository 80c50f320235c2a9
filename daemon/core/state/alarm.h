/* alarm.h - what is wrong by the readings: opened by evidence, shut when the evidence goes.
 *
 * Pure. The fold shows each reading to alarm_…; marks with their evidence live in the state, so an
 * alarm is the same after a restart. It opens at one threshold and shuts at a lower one, so that it
 * does not flutter. A person may acknowledge it (a `look` task); it stays on the list until the
 * evidence goes, and asks for nothing more. */
#ifndef TARN_CORE_STATE_ALARM_H
#define TARN_CORE_STATE_ALARM_H

#include "daemon/core/state/state.h"

/* For the fold. The entry's figures at 25 C; the state as forecast for its instant, before it is
 * taken in. */
void alarm_container_reading(const struct room *room, struct state *s, size_t i,
                             const struct entry *e);
/* A strength `z` standard deviations over what was expected. */
void alarm_strength(struct state *s, size_t i, double ec_ms_cm, double z, int64_t t_s);
void alarm_float_seen(const struct room *room, struct state *s, size_t i, const struct entry *e);
/* A new solution, or a new plant: the old evidence says nothing of it. */
void alarm_new_solution(struct state *s, size_t i);
void alarm_new_plant(struct state *s, size_t i);
/* After observe_reservoir took the level in. */
void alarm_reservoir_reading(const struct room *room, struct state *s, const struct entry *e);
/* A reading of a meter was believed, or set aside. */
void alarm_meter(struct state *s, int meter, bool odd, int64_t t_s);

struct alarm {
    enum alarm_kind kind;
    struct subject subject;
    int64_t since_s;
    bool seen;        /* a person has acknowledged it */
    double sure_pct;  /* that it is not chance */
    char says[200];   /* what was expected, and what was seen */
    const char *look; /* what to look at first */
};

struct alarms {
    struct alarm *alarm; /* the gravest first */
    size_t n, cap;
};
void alarms_deinit(struct alarms *a);

extern const char *const alarm_words[]; /* "level-high", "leak", …; NULL-terminated */

void alarms_derive(const struct room *room, const struct state *s, struct alarms *out);

/* The marks of a subject; NULL where it has none. */
const struct alarm_states *alarm_states_of(const struct state *s, struct subject subject);

/* A person has looked at what is wrong with a subject. */
void alarm_acknowledge(struct state *s, struct subject subject);

#endif
