/* recover_sources.h - the files that a journal may be recovered from, each read as far as it can
 * be.
 *
 * They are copied first, into a folder of the state folder that goes at the end: SQLite writes
 * into what it opens, and what is damaged is not to be damaged further. */
#ifndef TARN_STORE_RECOVER_SOURCES_H
#define TARN_STORE_RECOVER_SOURCES_H

#include "daemon/core/room/entry.h"
#include "daemon/store/chain.h"

struct sqlite3;
struct sqlite3_stmt;
struct err;

#define SOURCES_MAX 20

struct source {
    char path[4096]; /* of the copy that is read */
    bool is_journal; /* and no copy that somebody made of it */
    struct sqlite3 *db;
    struct sqlite3_stmt *row, *amounts, *seal;
    struct standing standing;
    bool has_standing;
};

struct sources {
    char folder[4096];
    int lock_fd;
    struct source source[SOURCES_MAX];
    size_t n;
    struct standing head; /* what its head record is sure of */
    bool has_head;
};

/* Those of the state folder: `from` (may be NULL), the journal with its log and without it, and
 * its copies, newest first. A file that is no journal is no failure but for `from`. The folder's
 * lock is held until sources_close, which may be called after a failure too. */
int sources_open(struct sources *all, const char *dir, const char *from, struct err *e);
void sources_close(struct sources *all);

/* An entry with the seals that the file has for it and for the one before. */
struct found {
    struct entry entry;
    struct seal seal, before;
};
bool source_find(struct source *s, int64_t seq, struct found *out);

/* Was that entry thinned, as the file says, and with which others, none of which is in it? */
bool source_thinned(const struct source *s, int64_t seq, struct chain_run *out);

/* The highest number of an entry in it; 0 = none can be read. */
int64_t source_last(const struct source *s);

#endif
