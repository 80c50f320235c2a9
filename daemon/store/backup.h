/* backup.h - copies of the open journal.
 *
 * Made by SQLite while the journal is in use, and looked through before they get their name: a copy
 * that is there is sound. It is one file, and what tarnd --recover takes. */
#ifndef TARN_STORE_BACKUP_H
#define TARN_STORE_BACKUP_H

#include <stdbool.h>
#include <stdint.h>

struct err;
struct journal;

#define BACKUP_FOLDER "backups" /* of the state folder */

struct backup; /* one in the making */

/* Begins a copy to PATH, which must not be there. */
int backup_begin(struct journal *j, const char *path, struct backup **out, struct err *e);

/* The same to IN/DAY.db, which is made where it is missing ("" = BACKUP_FOLDER in the state
 * folder). Where there is one of that name it is left as it is, and *out is NULL. Of the copies of
 * days only the `keep` newest stay at the end. */
int backup_begin_day(struct journal *j, const char *in, const char *day, int keep,
                     struct backup **out, struct err *e);

/* Copies so many pages more; *out_all when all are. What is written into the journal between two
 * parts, by this connection, SQLite puts into the copy too. */
int backup_some(struct backup *b, int pages, bool *out_all, struct err *e);

/* Looks the whole copy through: ERR_STORE where it is not what was told, as of a journal that is
 * damaged. Leaves the journal alone, so that any thread may do it. */
int backup_check(struct backup *b, struct err *e);

/* The last entry that is in it, once all is copied. */
int64_t backup_entries(const struct backup *b);

/* Gives the copy its name and frees *b. Where rc, what came of the parts before, is below 0, or the
 * name cannot be given, nothing is left of it, and that is what it gives. */
int backup_end(struct backup *b, int rc, struct err *e);

/* Either as a whole. */
int journal_backup(struct journal *j, const char *path, struct err *e);
int journal_backup_day(struct journal *j, const char *in, const char *day, int keep, struct err *e);

/* BACKUP_FOLDER of the journal's own state folder, malloc'd. */
char *journal_backup_folder(const struct journal *j);

#endif
