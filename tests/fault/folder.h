/* folder.h - a folder for a journal that is broken on purpose: in memory where the
 * machine has that. */
#ifndef TARN_TESTS_FAULT_FOLDER_H
#define TARN_TESTS_FAULT_FOLDER_H

#define FOLDER_MOST 64

/* Makes an empty folder, and writes its path. */
void folder_make(char path[FOLDER_MOST]);

/* Removes the files in it. */
void folder_empty(const char *path);

/* Removes them, and the folder. */
void folder_remove(const char *path);

#endif
