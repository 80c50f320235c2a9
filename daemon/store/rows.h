/* rows.h - an entry as a row of the journal, and back.
 *
 * The one list of the columns of table entry. What is read and written is made from it: the SQL,
 * the number of each column, and the checks that no figure lacks its own. schema.c makes the
 * table. */
#ifndef TARN_STORE_ROWS_H
#define TARN_STORE_ROWS_H

#include "daemon/core/room/entry.h"

#include <assert.h>

struct sqlite3_stmt;

/* A column for each figure, in the order of enum figure, named by its key in figure_defs. */
/* clang-format off */
#define ROWS_FIGURES(X)                                                                            \
    X(FIGURE_VOLUME_L,  "volume_l")                                                                \
    X(FIGURE_ADDED_L,   "added_l")                                                                 \
    X(FIGURE_EC_MS_CM,  "ec_ms_cm")                                                                \
    X(FIGURE_PH,        "ph")                                                                      \
    X(FIGURE_TEMP_C,    "temp_c")                                                                  \
    X(FIGURE_SLOPE_PCT, "slope_pct")                                                               \
    X(FIGURE_OFFSET_MV, "offset_mv")                                                               \
    X(FIGURE_AMOUNT,    "amount")                                                                  \
    X(FIGURE_YIELD_G,   "yield_g")                                                                 \
    X(FIGURE_WAS_MS_CM, "was_ms_cm")                                                               \
    X(FIGURE_TOOK_MIN,  "took_min")                                                                \
    X(FIGURE_JOBS,      "jobs")

/* FIRST is the column without a comma before it. */
#define ROWS_LIST(FIRST, X)                                                                        \
    FIRST(SEQ,      "seq")                                                                         \
    X(HAPPENED_S,   "happened_s")                                                                  \
    X(TOLD_S,       "told_s")                                                                      \
    X(KIND,         "kind")                                                                        \
    X(SUBJECT,      "subject")                                                                     \
    X(WHAT,         "what")                                                                        \
    ROWS_FIGURES(X)                                                                                \
    X(N_AMOUNTS,    "n_amounts")                                                                   \
    X(UNTIL_DAY,    "until_day")                                                                   \
    X(CYCLE,        "cycle")                                                                       \
    X(TASK,         "task")                                                                        \
    X(VOIDS,        "voids")                                                                       \
    X(UID,          "uid")                                                                         \
    X(WHO,          "who")                                                                         \
    X(NOTE,         "note")                                                                        \
    X(SOURCE,       "source")
/* clang-format on */

#define ROWS_SENSOR "sensor" /* the source of what no person told; NULL = a person did */

#define ROWS_FIRST_NAME(id, name)  name
#define ROWS_NEXT_NAME(id, name)   ", " name
#define ROWS_FIRST_PLACE(id, name) "?"
#define ROWS_NEXT_PLACE(id, name)  ", ?"
#define ROWS_COLUMN(id, name)      ROWS_##id,

#define ROWS_COLUMNS ROWS_LIST(ROWS_FIRST_NAME, ROWS_NEXT_NAME)   /* "seq, happened_s, …" */
#define ROWS_PLACES  ROWS_LIST(ROWS_FIRST_PLACE, ROWS_NEXT_PLACE) /* "?, ?, …" */

/* ROWS_SEQ, …, ROWS_FIGURE_VOLUME_L, …: the place of a column, from 0. */
enum rows_column { ROWS_LIST(ROWS_COLUMN, ROWS_COLUMN) ROWS_N };

#define ROWS_OF_FIGURE(f) (ROWS_FIGURE_VOLUME_L + (int)(f))

static_assert(ROWS_N_AMOUNTS == ROWS_OF_FIGURE(FIGURE_N),
              "a figure has no column: it needs one in ROWS_FIGURES, and a step in schema.c");
#define ROWS_IN_ORDER(id, name)                                                                    \
    static_assert(ROWS_##id == ROWS_OF_FIGURE(id),                                                 \
                  "ROWS_FIGURES is not in the order of enum figure");
ROWS_FIGURES(ROWS_IN_ORDER)

/* Binds all columns to the places of an INSERT of ROWS_COLUMNS. Strings are borrowed until the
 * statement is reset. SQLITE_OK, or SQLite's code. */
int rows_bind(struct sqlite3_stmt *stmt, const struct entry *e);

/* Reads a row of ROWS_COLUMNS, all but the amounts themselves and the client's key, which have
 * tables of their own (n_amounts is set, the key is ""). A kind or a source that this program
 * does not know gives ERR_STORE: it would be folded without what it says. */
int rows_read(struct sqlite3_stmt *stmt, struct entry *out, struct err *err);

/* The amounts of an entry that rows_read gave, by a statement of ROWS_AMOUNTS. Most entries have
 * none, and their row says so: they cost no second look-up. */
#define ROWS_AMOUNTS "SELECT product, amount FROM amount WHERE entry = ? ORDER BY place"
int rows_read_amounts(struct sqlite3_stmt *stmt, struct entry *out, struct err *err);

#endif
