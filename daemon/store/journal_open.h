/* journal_open.h - opening the journal on a file system of one's own, for tests that break it. */
#ifndef TARN_STORE_JOURNAL_OPEN_H
#define TARN_STORE_JOURNAL_OPEN_H

#include "daemon/store/journal.h"

/* As journal_open, on the SQLite VFS of that name; NULL = the system's. */
int journal_open_with(const char *dir, const char *vfs, struct journal **out, struct err *e);

#endif
