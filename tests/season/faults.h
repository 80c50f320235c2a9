/* faults.h - what goes wrong in a season, by schedule.
 *
 *     leak@30,clog:A3@40,stuck:B01@50,empty:calcium-part@35,weak-source@20..27,filter@45,
 *     kill@33,clock-jump@37,full-disk@50
 *
 * Days are counted from the first, which is 0. A leak is a fifth of what the room drinks that day,
 * at least 3 L; a clog lets nothing in; a stuck float does not shut; an empty bottle has nothing
 * left; a weak source makes a fifth of its water; a failed filter lets salt through. The last three
 * happen to the daemon, and calendars know nothing of them. */
#ifndef TARN_TESTS_SEASON_FAULTS_H
#define TARN_TESTS_SEASON_FAULTS_H

#include "daemon/base/err.h"
#include "tests/season/hands.h"

#define FAULTS_MAX 24

enum fault_kind {
    FAULT_LEAK,
    FAULT_CLOG,
    FAULT_STUCK,
    FAULT_EMPTY,
    FAULT_WEAK_SOURCE,
    FAULT_FILTER,
    FAULT_KILL,
    FAULT_CLOCK_JUMP,
    FAULT_FULL_DISK,
    FAULT_KIND_N
};

struct fault {
    enum fault_kind kind;
    size_t at;       /* container or product */
    size_t day, end; /* end: of a fault that passes by itself; else SIZE_MAX */
    bool struck, noticed, mended;
    size_t mended_day;
};

struct faults {
    struct fault fault[FAULTS_MAX];
    size_t n;
};

/* ERR_SYNTAX or ERR_UNKNOWN for what cannot be read; NULL is no faults. */
int faults_read(const char *text, const struct room *room, struct faults *out, struct err *err);

/* Is one of that kind on the schedule? */
bool faults_have(const struct faults *f, enum fault_kind kind);

/* Strikes what is due on that day, and ends what is over. */
void faults_new_day(struct faults *f, struct hands *h);

/* The fault of the daemon that is due on this day and was not taken yet; marks it as taken.
 * FAULT_KIND_N = none. */
enum fault_kind faults_take(struct faults *f, size_t day);

/* A person looks at container i: what is wrong there is found and mended. */
void faults_look_at(struct faults *f, struct hands *h, size_t i);

/* The same at the reservoir with its lines. */
void faults_look_at_tank(struct faults *f, struct hands *h);

/* The same at the filter of the source. */
void faults_look_at_filter(struct faults *f, struct hands *h);

/* Does an alarm of that kind about that subject tell of a fault that stands, or that was mended
 * within a week? Notes on which day it was noticed first. */
bool faults_explain(struct faults *f, struct hands *h, const char *kind, const char *subject);

#endif
