/* backup.h - copies of the open journal.
 *
 * Made by SQLite while the journal is in use, and looked through before they get their name: a copy
 * that is there is sound. It is one file, and what tarnd --recover takes. */
#ifndef TARN_STORE_BACKUP_H
#define TARN_STORE_BACKUP_H

struct err;
struct journal;

#define BACKUP_FOLDER "backups" /* of the state folder */

/* Copies the journal to PATH, which must not be there. ERR_STORE where the copy is not what was
 * told, as of a journal that is damaged; nothing is left then. */
int journal_backup(struct journal *j, const char *path, struct err *e);

/* The same to IN/DAY.db, which is made where it is missing ("" = BACKUP_FOLDER in the state
 * folder). A copy of that name is left as it is. Of the copies of days only the `keep` newest stay
 * then. */
int journal_backup_day(struct journal *j, const char *in, const char *day, int keep, struct err *e);

/* BACKUP_FOLDER of the journal's own state folder, malloc'd. */
char *journal_backup_folder(const struct journal *j);

#endif
