/* folder.h - a folder for a journal that is broken on purpose: in memory where the
 * machine has that. */
#ifndef TARN_TESTS_FAULT_FOLDER_H
#define TARN_TESTS_FAULT_FOLDER_H

#include "daemon/store/journal.h"

#include <stdbool.h>
#include <stddef.h>

#define FOLDER_MOST 64

/* Makes an empty folder, and writes its path. */
void folder_make(char path[FOLDER_MOST]);

/* Removes the files in it. */
void folder_empty(const char *path);

/* Removes them, and the folder. */
void folder_remove(const char *path);

/* Opens the journal in it; the test fails where that does not go. Owned by the caller. */
struct journal *folder_open(const char *path);

/* Is there nothing but zeros around a byte of a file? What flips there is of no page in use. */
bool folder_is_empty_at(const unsigned char *bytes, size_t n, size_t at);

#endif
