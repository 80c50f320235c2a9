/* chain.h - the seals of all that is in the journal: made, added up and checked.
 *
 * What SQLite's own check passes over, as most single bits that flip in a row are, shows here: the
 * seal that a thing has is not the one that it was given. */
#ifndef TARN_STORE_CHAIN_H
#define TARN_STORE_CHAIN_H

#include "daemon/store/standing.h"

struct sqlite3;
struct err;

/* Seals a journal that has none yet, in the caller's transaction: its entries, open tasks and keys;
 * its standing, with an identity of its own, becomes row 1 of table standing. */
int chain_make(struct sqlite3 *db, int64_t version, struct err *e);

/* The tables of a sealed journal became those of this version, in the caller's transaction. */
int chain_new_tables(struct sqlite3 *db, int64_t version, struct err *e);

/* The standing that the journal has in it. ERR_STORE where it is gone or damaged. */
int chain_standing(struct sqlite3 *db, struct standing *out, struct err *e);

/* The seal that is kept with an entry; 0 = of nothing. ERR_STORE where there is none: it is gone,
 * or was thinned and the one behind it too. */
int chain_seal_at(struct sqlite3 *db, int64_t seq, struct seal *out, struct err *e);

/* A run of sensors' readings that were thinned (thinning.h). */
struct chain_run {
    int64_t last;     /* number of its last … */
    struct seal seal; /* … whose seal this is */
};

/* Was the entry thinned? 1 = yes, with its run; 0 = no. */
int chain_thinned(struct sqlite3 *db, int64_t seq, struct chain_run *out, struct err *e);

/* Are the entries from seq `first` to *last there, each as it was told, behind one of the seal *at?
 * Those that were thinned stand for themselves: where one is among the ends, the end of its run is
 * meant, and *last moves there. The seal of the last is in *at then. ERR_STORE names the first that
 * is not as it was. */
int chain_check(struct sqlite3 *db, int64_t first, int64_t *last, struct seal *at, struct err *e);

/* What the sums of the standing have to be. */
int chain_sum_tables(struct sqlite3 *db, uint64_t *out, struct err *e);
int chain_sum_tasks(struct sqlite3 *db, uint64_t *out, struct err *e);
int chain_sum_keys(struct sqlite3 *db, uint64_t *out, struct err *e);

#endif
