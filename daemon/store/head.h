/* head.h - the head record: how far the journal goes, in a file of its own beside it.
 *
 * Written and synced after each commit and before anybody is told of it. Two places take turns, a
 * page apart: a power cut while one is written leaves the other. The file is opened through an
 * SQLite VFS, so that what tests do to the disk under the journal is done to it too. */
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
bool head_read(const struct head *h, struct standing *out);

/* The same of a file that nobody has open, beside whatever there is; false also where it is not
 * there. */
bool head_look(const char *path, struct standing *out);

/* On the disk when it returns 0. ERR_FULL or ERR_STORE. */
int head_write(struct head *h, const struct standing *s, struct err *e);

#endif
