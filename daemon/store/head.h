/* head.h - the head record: how far the journal goes, in a file of its own beside it.
 *
 * Written after each commit, and synced before anybody is told of it. Of two places, a page apart,
 * the one that was synced last is never written: a power cut leaves it whole. The file is
 * opened through an SQLite VFS, so that what tests do to the disk under the journal is done to
 * it too. */
#ifndef TARN_STORE_HEAD_H
#define TARN_STORE_HEAD_H

#include "daemon/store/standing.h"

struct err;
struct head;

#define HEAD_NAME_TAIL "-head" /* behind the journal's path */

/* Opens the file, or, where it is not there, makes it with *fresh in both places; vfs NULL = the
 * system's. The journal itself must be there. */
int head_open(const char *path, const char *vfs, struct head **out, struct err *e);
int head_create(const char *path, const char *vfs, const struct standing *fresh, struct head **out,
                struct err *e);
void head_close(struct head *h);

/* The younger of the places that can be read; false: none can. */
bool head_read(struct head *h, struct standing *out);

/* The same of a file that nobody has open, beside whatever there is; false also where it is not
 * there. */
bool head_look(const char *path, struct standing *out);

/* Where `sync`, on the disk when it returns 0; else there after a kill, and perhaps after a
 * power cut. ERR_FULL or ERR_STORE. */
int head_write(struct head *h, const struct standing *s, bool sync, struct err *e);

#endif
