/* snapshot.h - what the fold of a journal came to at one place, kept beside it.
 *
 * A cache, and nothing is lost with it: a fold may begin there instead of at the first entry. The
 * bytes are the caller's. A snapshot serves only the maker that made it, and only while the journal
 * says the same up to its place: an entry that was told later and happened before it, or that
 * voids one before it, makes an end of it. All of that is looked at whenever one is taken out, so
 * that none is synced and one that a power cut left behind does no harm.
 *
 * They lie in the folder "folded" beside the journal, a file each, sealed as a whole. Those further
 * back lie further apart, so that a long journal has few and a late entry finds one not long before
 * it. Not for the thread of the loop: blocks on the disk. */
#ifndef TARN_STORE_SNAPSHOT_H
#define TARN_STORE_SNAPSHOT_H

#include "daemon/store/seal.h"

#include <stdbool.h>

struct err;
struct journal;

#define SNAPSHOT_FOLDER "folded" /* of the state folder */

/* Who folds: the program to its last byte with the libraries that it has loaded, on this kind of
 * processor; and the room that it folds for (room.made_of). */
struct snapshot_maker {
    struct seal program; /* all zero = nobody knows: nothing is kept and nothing taken out */
    uint64_t room;
};
struct snapshot_maker snapshot_maker_of(uint64_t room);

struct snapshot_at {
    int64_t happened_s, seq; /* of the last entry that was folded, in the order of the fold */
    int64_t folded;          /* so many were, voids and the voided left out */
    int64_t entries;         /* the journal's last number then */
};

/* Keeps one, and lets go of those that are no longer worth their place; `apart` says how many
 * entries lie between the last ones. ERR_FULL or ERR_STORE, and nothing is worse than before. */
int snapshot_keep(struct journal *j, const struct snapshot_maker *maker,
                  const struct snapshot_at *at, const void *bytes, size_t len, int64_t apart,
                  struct err *e);

/* The last one that holds, before the place of one entry (NULL = of any): malloc'd bytes. False:
 * there is none. */
bool snapshot_find(struct journal *j, const struct snapshot_maker *maker,
                   const struct snapshot_at *before, struct snapshot_at *out, void **out_bytes,
                   size_t *out_len);

/* Does the journal still say the same up to that place? Then out_entries is how far it goes now. */
bool snapshot_holds(struct journal *j, const struct snapshot_at *at, int64_t *out_entries);

#endif
