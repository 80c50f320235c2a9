/* sql.h - SQLite with our errors: codes and messages turned into struct err at once. */
#ifndef TARN_STORE_SQL_H
#define TARN_STORE_SQL_H

#include <stdint.h>

struct sqlite3;
struct sqlite3_stmt;
struct err;

/* ERR_STORE, or ERR_FULL or ERR_BUSY, with what SQLite says of its last failure, and what to do
 * about it. */
int sql_fail(struct sqlite3 *db, struct err *e);

/* Runs statements that give no rows. */
int sql_run(struct sqlite3 *db, const char *sql, struct err *e);

/* The first column of the first row. */
int sql_int(struct sqlite3 *db, const char *sql, int64_t *out, struct err *e);
int sql_text(struct sqlite3 *db, const char *sql, char *out, int out_len, struct err *e);

int sql_prepare(struct sqlite3 *db, const char *sql, struct sqlite3_stmt **out, struct err *e);

/* 1 = a row, 0 = done, < 0 = failed. */
int sql_step(struct sqlite3_stmt *stmt, struct err *e);

/* Copies column i, or "" where it is NULL; what does not fit is cut. */
void sql_copy_text(struct sqlite3_stmt *stmt, int i, char *out, int out_len);

#endif
