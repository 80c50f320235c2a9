/* rows.h - an entry as a row of the journal, and back. The columns stand in one order, everywhere.
 */
#ifndef TARN_STORE_ROWS_H
#define TARN_STORE_ROWS_H

#include "daemon/core/room/entry.h"

struct sqlite3_stmt;

/* Entry columns, in the order that rows_bind and rows_read use; the figures in the order of enum
 * figure. */
#define ROWS_COLUMNS                                                                               \
    "seq, happened_s, told_s, kind, subject, what, volume_l, added_l, ec_ms_cm, ph, temp_c, "      \
    "slope_pct, offset_mv, amount, yield_g, was_ms_cm, n_amounts, until_day, cycle, task, voids, " \
    "uid, who, note"
#define ROWS_N_COLUMNS 24
#define ROWS_PLACES    "?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?"

/* Strings are borrowed until the statement is reset. SQLITE_OK, or SQLite's code. */
int rows_bind(struct sqlite3_stmt *stmt, const struct entry *e);

/* Reads all but the amounts (n_amounts is set). A kind this program does not know gives ERR_STORE.
 */
int rows_read(struct sqlite3_stmt *stmt, struct entry *out, struct err *err);

#endif
