#include "daemon/store/rows.h"

#include "daemon/base/err.h"
#include "daemon/core/units/day.h"
#include "daemon/store/sql.h"

#include <sqlite3.h>
#include <string.h>

/* SQLite counts the places of a statement from 1, and the columns of a row from 0. */
#define PLACE(column) ((int)(column) + 1)

/* What was not told is NULL, so that a person who reads the file with other tools sees no zeros
 * that nobody measured. */
static int bind_text(sqlite3_stmt *stmt, enum rows_column at, const char *text)
{
    return *text ? sqlite3_bind_text(stmt, PLACE(at), text, -1, SQLITE_STATIC)
                 : sqlite3_bind_null(stmt, PLACE(at));
}

static int bind_positive(sqlite3_stmt *stmt, enum rows_column at, int64_t v)
{
    return v > 0 ? sqlite3_bind_int64(stmt, PLACE(at), v) : sqlite3_bind_null(stmt, PLACE(at));
}

static int bind_figures(sqlite3_stmt *stmt, const struct entry *e)
{
    int bad = 0;

    for (unsigned f = 0; f < FIGURE_N; f++) {
        int place = PLACE(ROWS_OF_FIGURE(f));

        bad |= entry_has(e, f) ? sqlite3_bind_double(stmt, place, e->figure[f])
                               : sqlite3_bind_null(stmt, place);
    }
    return bad;
}

int rows_bind(sqlite3_stmt *stmt, const struct entry *e)
{
    int bad = sqlite3_bind_int64(stmt, PLACE(ROWS_SEQ), e->seq);

    bad |= sqlite3_bind_int64(stmt, PLACE(ROWS_HAPPENED_S), e->happened_s);
    bad |= sqlite3_bind_int64(stmt, PLACE(ROWS_TOLD_S), e->told_s);
    bad |= bind_text(stmt, ROWS_KIND, entry_kinds[e->kind].word);
    bad |= bind_text(stmt, ROWS_SUBJECT, e->subject);
    bad |= bind_text(stmt, ROWS_WHAT, e->what);
    bad |= bind_figures(stmt, e);
    bad |= sqlite3_bind_int64(stmt, PLACE(ROWS_N_AMOUNTS), (int64_t)e->n_amounts);
    bad |= e->until_day == DAY_NONE ? sqlite3_bind_null(stmt, PLACE(ROWS_UNTIL_DAY))
                                    : sqlite3_bind_int(stmt, PLACE(ROWS_UNTIL_DAY), e->until_day);
    bad |= sqlite3_bind_int(stmt, PLACE(ROWS_CYCLE), e->cycle);
    bad |= bind_positive(stmt, ROWS_TASK, e->task);
    bad |= bind_positive(stmt, ROWS_VOIDS, e->voids);
    bad |= sqlite3_bind_int64(stmt, PLACE(ROWS_UID), e->uid);
    bad |= sqlite3_bind_text(stmt, PLACE(ROWS_WHO), e->who, -1, SQLITE_STATIC);
    bad |= bind_text(stmt, ROWS_NOTE, e->note);
    bad |= bind_text(stmt, ROWS_SOURCE, e->sensor ? ROWS_SENSOR : "");
    return bad ? SQLITE_ERROR : SQLITE_OK;
}

static int find_kind(sqlite3_stmt *stmt)
{
    const char *word = (const char *)sqlite3_column_text(stmt, ROWS_KIND);

    return word ? entry_kind_find(word) : -1;
}

static void read_figures(sqlite3_stmt *stmt, struct entry *out)
{
    for (unsigned f = 0; f < FIGURE_N; f++) {
        int at = ROWS_OF_FIGURE(f);

        if (sqlite3_column_type(stmt, at) != SQLITE_NULL) {
            entry_set(out, (enum figure)f, sqlite3_column_double(stmt, at));
        }
    }
}

static int read_source(sqlite3_stmt *stmt, struct entry *out, struct err *err)
{
    const char *source = (const char *)sqlite3_column_text(stmt, ROWS_SOURCE);

    out->sensor = source != NULL;
    return source && strcmp(source, ROWS_SENSOR) != 0
               ? err_set(err, ERR_STORE, "entry %lld is of a source this program does not know",
                         (long long)out->seq)
               : 0;
}

int rows_read(sqlite3_stmt *stmt, struct entry *out, struct err *err)
{
    int kind = find_kind(stmt);
    int64_t n_amounts = sqlite3_column_int64(stmt, ROWS_N_AMOUNTS);

    *out = (struct entry){.seq = sqlite3_column_int64(stmt, ROWS_SEQ)};
    if (kind < 0) {
        return err_set(err, ERR_STORE, "entry %lld is of a kind this program does not know",
                       (long long)out->seq);
    }
    out->happened_s = sqlite3_column_int64(stmt, ROWS_HAPPENED_S);
    out->told_s = sqlite3_column_int64(stmt, ROWS_TOLD_S);
    out->kind = (enum entry_kind)kind;
    sql_copy_text(stmt, ROWS_SUBJECT, out->subject, sizeof out->subject);
    sql_copy_text(stmt, ROWS_WHAT, out->what, sizeof out->what);
    read_figures(stmt, out);
    out->n_amounts = (size_t)n_amounts; /* the table's CHECK keeps it within ROOM_DOSES_MAX */
    out->until_day = sqlite3_column_type(stmt, ROWS_UNTIL_DAY) == SQLITE_NULL
                         ? DAY_NONE
                         : sqlite3_column_int(stmt, ROWS_UNTIL_DAY);
    out->cycle = sqlite3_column_int(stmt, ROWS_CYCLE);
    out->task = sqlite3_column_int64(stmt, ROWS_TASK);
    out->voids = sqlite3_column_int64(stmt, ROWS_VOIDS);
    out->uid = (uint32_t)sqlite3_column_int64(stmt, ROWS_UID);
    sql_copy_text(stmt, ROWS_WHO, out->who, sizeof out->who);
    sql_copy_text(stmt, ROWS_NOTE, out->note, sizeof out->note);
    return read_source(stmt, out, err);
}

int rows_read_amounts(sqlite3_stmt *stmt, struct entry *out, struct err *err)
{
    size_t n = 0;
    int rc;

    if (out->n_amounts == 0) {
        return 0;
    }
    rc = sqlite3_bind_int64(stmt, 1, out->seq) == SQLITE_OK
             ? 1
             : sql_fail(sqlite3_db_handle(stmt), err);
    while (rc == 1 && (rc = sql_step(stmt, err)) == 1 && n < ROOM_DOSES_MAX) {
        sql_copy_text(stmt, 0, out->amount[n].product, sizeof out->amount[n].product);
        out->amount[n++].amount = sqlite3_column_double(stmt, 1);
    }
    out->n_amounts = n;
    (void)sqlite3_reset(stmt);
    return rc < 0 ? rc : 0;
}
