/* thinning.h - lets go of sensors' readings that are old and never counted (sensor_hour.h).
 *
 * What a person told is never touched, nor what somebody voided or put a note to. Of each run of
 * numbers that goes a row of table thinned stays, with the seal of its last: the entries behind it
 * stand on that, and a gap without one is a loss. The state does not change by it. A part is one
 * transaction, which the head record need not know of: where it is lost, the readings are there
 * again. For the journal's thread. */
#ifndef TARN_STORE_THINNING_H
#define TARN_STORE_THINNING_H

#include "daemon/core/room/sensor_hour.h"

struct err;
struct journal;

struct thinned_subject {
    char name[NAME_LEN_MAX + 1];
    struct sensor_hour hour;
};

struct thinning {
    int64_t until_s;         /* what happened and was told before goes; a whole hour */
    int64_t happened_s, seq; /* of the last reading that was looked at */
    struct thinned_subject *subject;
    size_t n_subjects, cap_subjects;
    int64_t n_gone;
};

/* What happened from since_s on (INT64_MIN: from the first entry) and before until_s, both brought
 * down to a whole hour. The last hour that anything happened in stays whole. End it with
 * thinning_deinit. */
int thinning_begin(struct thinning *t, struct journal *j, int64_t since_s, int64_t until_s,
                   struct err *e);
void thinning_deinit(struct thinning *t);

/* Looks at n readings more. *out_done: at all of them. */
int thinning_some(struct thinning *t, struct journal *j, size_t n, bool *out_done, struct err *e);

#endif
