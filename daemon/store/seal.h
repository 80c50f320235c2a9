/* seal.h - what a thing in the journal has to look like, as a number: SHA-256 of its bytes.
 *
 * Pure. A disk that rots changes bits, and SQLite takes most of them for what was meant; whoever
 * has the seal of a thing sees that it is not what was written. A seal is made of what the thing
 * says, never of how SQLite keeps it, and of words and not of enum values: what is in a file must
 * have the same seal in every later program.
 *
 * Entries are chained: the seal of each is made of the one before it, so that the last one stands
 * for all. Open tasks and clients' keys come and go; theirs are added up, modulo 2^64, so that a
 * change costs what it changes. No secret is in it: it tells rot, not a forger. */
#ifndef TARN_STORE_SEAL_H
#define TARN_STORE_SEAL_H

#include <stddef.h>
#include <stdint.h>

struct entry;

#define SEAL_LEN 32

struct seal {
    unsigned char byte[SEAL_LEN]; /* all zero: of nothing, before the first entry */
};

/* SHA-256 of n bytes. */
struct seal seal_of(const void *bytes, size_t n);

/* The entry behind one of the seal `before`. The client's key is not in it: it has its own. */
struct seal seal_of_entry(const struct seal *before, const struct entry *e);

/* An open task without its jobs, and one of its jobs; days as they stand in the table. */
struct task_figures {
    int64_t id;
    const char *kind;
    int64_t care, earliest, due, latest, planned;
};
uint64_t seal_of_task(const struct task_figures *t);
uint64_t seal_of_job(int64_t task, const char *subject, int64_t cycle);

/* A client's key and the entries told with it. */
uint64_t seal_of_key(const char *key, int64_t first_seq, int64_t last_seq);

/* A row of sqlite_schema. */
uint64_t seal_of_table(const char *name, const char *sql);

#endif
