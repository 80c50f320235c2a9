/* journal_open.h - opening the journal on a disk of one's own.
 *
 * For tests that break the disk under it (tests/fault); the daemon calls journal_open. */
#ifndef TARN_STORE_JOURNAL_OPEN_H
#define TARN_STORE_JOURNAL_OPEN_H

#include "daemon/store/journal.h"

/* As journal_open, on the SQLite VFS of that name, which has to be registered; NULL = the
 * system's. */
int journal_open_with(const char *dir, const char *vfs, struct journal **out, struct err *e);

#endif
