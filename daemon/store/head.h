/* head.h - the head record: how far the journal goes, in a file of its own beside it.
 *
 * Before a group with entries is committed it is written what the journal is meant to be then, and
 * synced while SQLite syncs its log; when both are on the disk, and not before, anybody is told.
 * After the commit the same is written as done, which goes to the disk with the next record, or
 * with head_rest. Two places, a page apart; the one that was synced last is never written, so that
 * a power cut leaves it whole.
 *
 *   1. Nobody is told of a group before a record of it is on the disk.
 *   2. A record of a group is written only when the group before it is committed: where there is
 *      one that is meant, that of the other place is sure.
 *   3. So the journal is never behind what is sure. Of what was meant beyond that, nobody was told,
 *      or a power cut came within a second and the disk has lost what it had said it kept.
 *
 * The file is opened through an SQLite VFS, so that what tests do to the disk under the journal is
 * done to it too. */
#ifndef TARN_STORE_HEAD_H
#define TARN_STORE_HEAD_H

#include "daemon/store/standing.h"

struct err;
struct head;

#define HEAD_NAME_TAIL "-head" /* behind the journal's path */

/* Opens the file, or, where it is not there, makes it with *fresh in both places; vfs NULL = the
 * system's: then syncs go beside those of SQLite, on a thread, and else one after the other. The
 * journal itself must be there. */
int head_open(const char *path, const char *vfs, struct head **out, struct err *e);
int head_create(const char *path, const char *vfs, const struct standing *fresh, struct head **out,
                struct err *e);
void head_close(struct head *h);

struct head_says {
    struct standing sure;  /* the journal was that at least … */
    struct standing meant; /* … and was to become that; the same where nothing was on its way */
};

/* What the places that can be read say; false: none can. */
bool head_read(struct head *h, struct head_says *out);

/* The same of a file that nobody has open, beside whatever there is; false also where it is not
 * there. */
bool head_look(const char *path, struct head_says *out);

/* Before the commit of a group with entries: it is written, and its sync begins. Each is followed
 * by head_done or head_undo. ERR_FULL or ERR_STORE, and nothing has changed. */
int head_mean(struct head *h, const struct standing *s, struct err *e);

/* After the commit: waits for that sync. */
int head_done(struct head *h, const struct standing *s, struct err *e);

/* It was not committed, and the journal is what it was: *s. On the disk when it returns 0. */
int head_undo(struct head *h, const struct standing *s, struct err *e);

/* After the commit of a group of which nobody is told: there after a kill, and perhaps after a
 * power cut. */
int head_write(struct head *h, const struct standing *s, struct err *e);

/* What was written last is on the disk when it returns 0. */
int head_rest(struct head *h, struct err *e);

#endif
