/* small_disk.h - a daemon in a child of this process, whose disk can be filled and cleared again.
 *
 * SQLite of the child writes through a VFS that says "full" while it is told so. One a process. */
#ifndef TARN_TESTS_SEASON_SMALL_DISK_H
#define TARN_TESTS_SEASON_SMALL_DISK_H

#include "daemon/serve/serve.h"

#include <stdbool.h>

/* Before the fork: what parent and child share. False when there is no memory for it. */
bool small_disk_init(void);

/* In the child: runs the daemon to its end. Gives the exit status. */
int small_disk_run(const struct serve_options *o);

/* In the parent: from now on the disk of the child is full, or is not. */
void small_disk_fill(bool full);

#endif
