/* schema.h - the tables of the journal, and how older files become newer ones. */
#ifndef TARN_STORE_SCHEMA_H
#define TARN_STORE_SCHEMA_H

#include <stdbool.h>
#include <stdint.h>

struct sqlite3;
struct err;

#define SCHEMA_APPLICATION_ID 0x7461726E /* "tarn" */
#define SCHEMA_SEALED_SINCE   3          /* the version that brought seals and table standing */

/* Is it ours (or new and empty), and of a version that this program knows? That goes to
 * *out_version. */
int schema_check(struct sqlite3 *db, int64_t *out_version, struct err *e);

/* Brings the open database to the newest version, in one transaction; an empty one gets all tables.
 * *out_sealed says whether its contents got their seals only now. ERR_STORE, and nothing changed,
 * for a file that is not ours, damaged, or newer than this program. */
int schema_migrate(struct sqlite3 *db, bool *out_sealed, struct err *e);

#endif
