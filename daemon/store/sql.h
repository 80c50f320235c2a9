/* sql.h - SQLite with our errors.
 *
 * Its codes and messages become a struct err at once: the next call overwrites them. */
#ifndef TARN_STORE_SQL_H
#define TARN_STORE_SQL_H

#include <stdint.h>

struct sqlite3;
struct sqlite3_stmt;
struct err;

/* ERR_STORE, or ERR_FULL or ERR_BUSY, with what SQLite says of its last failure, and what to do
 * about it. */
int sql_fail(struct sqlite3 *db, struct err *e);

/* Runs statements that give no rows, one or several. */
int sql_run(struct sqlite3 *db, const char *sql, struct err *e);

/* The first column of the first row; *out is left alone where there is no row. A text is cut to
 * out_len bytes, the NUL included. */
int sql_int(struct sqlite3 *db, const char *sql, int64_t *out, struct err *e);
int sql_text(struct sqlite3 *db, const char *sql, char *out, int out_len, struct err *e);

/* One statement, to be used often. *out is the caller's to finalize; NULL when it failed, which
 * sqlite3_finalize takes too. */
int sql_prepare(struct sqlite3 *db, const char *sql, struct sqlite3_stmt **out, struct err *e);

/* 1 = a row, 0 = done, < 0 = failed. */
int sql_step(struct sqlite3_stmt *stmt, struct err *e);

/* Copies column i, or "" where it is NULL; what does not fit is cut. */
void sql_copy_text(struct sqlite3_stmt *stmt, int i, char *out, int out_len);

#endif
