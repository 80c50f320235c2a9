/* disk.h - a disk whose power is cut, or that fails.
 *
 * An SQLite VFS over the system's, for the files of one folder. It remembers what was
 * written, and when that was synced: disk_cut lays down what a cut of the power may leave
 * on a device that honours flush. What was synced is there; of what a file was given
 * since, and of the names that were made and removed since the folder was synced, there is
 * what the damage says. Or it fails at an operation that is named, once or from there on.
 *
 * One disk at a time, and no threads. */
#ifndef TARN_TESTS_FAULT_DISK_H
#define TARN_TESTS_FAULT_DISK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define DISK_VFS "tarn-test-disk"

/* Registers DISK_VFS. A file that is there when it is first opened is taken to be synced. */
void disk_init(void);
/* Forgets all and unregisters it. */
void disk_deinit(void);

/* Operations remembered so far. */
size_t disk_now(void);

enum disk_damage {
    DISK_FORGETS, /* what was not synced is gone */
    DISK_KEEPS,   /* all of it is there */
    DISK_STOPS,   /* the first so many writes are */
    DISK_PICKS,   /* some are, in no order */
    DISK_TEARS,   /* some of their sectors of 512 bytes are */
    DISK_DAMAGES
};

/* Writes into the empty folder `dir` what is left by a cut after the first n operations. */
void disk_cut(size_t n, enum disk_damage how, uint64_t seed, const char *dir);

enum disk_fault {
    DISK_IO_ERROR, /* of whatever is asked of it */
    DISK_IS_FULL,  /* of writes */
    DISK_FAULTS
};

/* From now on the nth operation of the kind (from 0) fails, and those after it while for_ever. */
void disk_fail(enum disk_fault how, size_t nth, bool for_ever);
/* From now on nothing fails. */
void disk_heal(void);
bool disk_has_failed(void); /* since disk_fail */

#endif
