/* schema.h - the tables of the journal, and how older files become newer ones. */
#ifndef TARN_STORE_SCHEMA_H
#define TARN_STORE_SCHEMA_H

struct sqlite3;
struct err;

#define SCHEMA_APPLICATION_ID 0x7461726E /* "tarn" */

/* Brings the open database to the newest version, in one transaction; an empty one gets all tables.
 * ERR_STORE, and nothing changed, for a file that is not ours or newer than this program. */
int schema_migrate(struct sqlite3 *db, struct err *e);

#endif
