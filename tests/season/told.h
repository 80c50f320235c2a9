/* told.h - what the daemon acknowledged, to be held against its journal at the end.
 *
 * Every entry that came back with an answer counts as told. Owns its memory. */
#ifndef TARN_TESTS_SEASON_TOLD_H
#define TARN_TESTS_SEASON_TOLD_H

#include "tests/season/live_daemon.h"

#include <stddef.h>
#include <stdint.h>

struct told_entry {
    int64_t seq;
    uint64_t sum; /* of its kind, subject and figures */
    bool found;
};

struct told_all {
    struct told_entry *entry;
    size_t n, cap;
};

/* Frees what it remembers and leaves *t empty. */
void told_deinit(struct told_all *t);

/* Notes the entries of an answer. */
void told_take(struct told_all *t, const json_t *answer);

/* Reads the whole journal through the socket; *out_lost = entries that were told and are not there
 * as they were. */
int told_check(struct told_all *t, struct live_daemon *l, size_t *out_lost, struct err *err);

#endif
