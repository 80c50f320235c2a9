#include "daemon/store/sql.h"

#include "daemon/base/err.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdbool.h>
#include <stdio.h>

/* What the system said of the file, or of its log, when SQLite wrote last. */
static int last_errno(sqlite3 *db, int pointer)
{
    sqlite3_file *file = NULL;
    int error = 0;

    if (sqlite3_file_control(db, "main", pointer, &file) == SQLITE_OK && file && file->pMethods) {
        (void)file->pMethods->xFileControl(file, SQLITE_FCNTL_LAST_ERRNO, &error);
    }
    return error;
}

/* A quota that is used up is to who writes what a full disk is; SQLite knows the disk alone. */
static bool quota_is_used_up(sqlite3 *db)
{
    return (sqlite3_extended_errcode(db) & 0xFF) == SQLITE_IOERR &&
           (last_errno(db, SQLITE_FCNTL_FILE_POINTER) == EDQUOT ||
            last_errno(db, SQLITE_FCNTL_JOURNAL_POINTER) == EDQUOT);
}

int sql_fail(sqlite3 *db, struct err *e)
{
    const char *said = sqlite3_errmsg(db);

    if (quota_is_used_up(db)) {
        return err_set(e, ERR_FULL, "the quota of the disk is used up; make room and try again");
    }
    /* The low byte is the primary code; what stands above it says where in SQLite it came up. */
    switch (sqlite3_extended_errcode(db) & 0xFF) {
    case SQLITE_FULL:
        return err_set(e, ERR_FULL, "the disk is full (%s); make room and try again", said);
    case SQLITE_IOERR:
        return err_set(e, ERR_STORE, "the disk failed (%s); see the system's log", said);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return err_set(e, ERR_BUSY, "another program has the journal open (%s)", said);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return err_set(e, ERR_STORE,
                       "the journal is damaged (%s); restore a backup, or see tarnd --recover",
                       said);
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
        return err_set(e, ERR_STORE, "the journal cannot be written (%s); check owner and mode",
                       said);
    default:
        return err_set(e, ERR_STORE, "the journal failed: %s", said);
    }
}

int sql_run(sqlite3 *db, const char *sql, struct err *e)
{
    return sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK ? 0 : sql_fail(db, e);
}

int sql_prepare(sqlite3 *db, const char *sql, sqlite3_stmt **out, struct err *e)
{
    return sqlite3_prepare_v3(db, sql, -1, SQLITE_PREPARE_PERSISTENT, out, NULL) == SQLITE_OK
               ? 0
               : sql_fail(db, e);
}

int sql_step(sqlite3_stmt *stmt, struct err *e)
{
    switch (sqlite3_step(stmt)) {
    case SQLITE_ROW:
        return 1;
    case SQLITE_DONE:
        return 0;
    default:
        return sql_fail(sqlite3_db_handle(stmt), e);
    }
}

void sql_copy_text(sqlite3_stmt *stmt, int i, char *out, int out_len)
{
    const unsigned char *text = sqlite3_column_text(stmt, i);

    (void)snprintf(out, (size_t)out_len, "%s", text ? (const char *)text : "");
}

int sql_int(sqlite3 *db, const char *sql, int64_t *out, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(db, sql, &stmt, e);

    if (rc == 0) {
        rc = sql_step(stmt, e);
    }
    if (rc == 1) {
        *out = sqlite3_column_int64(stmt, 0);
        rc = 0;
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}

int sql_text(sqlite3 *db, const char *sql, char *out, int out_len, struct err *e)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sql_prepare(db, sql, &stmt, e);

    if (rc == 0) {
        rc = sql_step(stmt, e);
    }
    if (rc == 1) {
        sql_copy_text(stmt, 0, out, out_len);
        rc = 0;
    }
    (void)sqlite3_finalize(stmt);
    return rc;
}
