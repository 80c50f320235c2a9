#include "daemon/store/rows.h"

#include "daemon/base/err.h"
#include "daemon/core/units/day.h"
#include "daemon/store/sql.h"

#include <sqlite3.h>
#include <string.h>

static int bind_text(sqlite3_stmt *stmt, int at, const char *text)
{
    return *text ? sqlite3_bind_text(stmt, at, text, -1, SQLITE_STATIC)
                 : sqlite3_bind_null(stmt, at);
}

static int bind_positive(sqlite3_stmt *stmt, int at, int64_t v)
{
    return v > 0 ? sqlite3_bind_int64(stmt, at, v) : sqlite3_bind_null(stmt, at);
}

int rows_bind(sqlite3_stmt *stmt, const struct entry *e)
{
    int at = 0;
    int bad = 0;

    bad |= sqlite3_bind_int64(stmt, ++at, e->seq);
    bad |= sqlite3_bind_int64(stmt, ++at, e->happened_s);
    bad |= sqlite3_bind_int64(stmt, ++at, e->told_s);
    bad |= bind_text(stmt, ++at, entry_kinds[e->kind].word);
    bad |= bind_text(stmt, ++at, e->subject);
    bad |= bind_text(stmt, ++at, e->what);
    for (unsigned f = 0; f < FIGURE_N; f++) {
        bad |= entry_has(e, f) ? sqlite3_bind_double(stmt, ++at, e->figure[f])
                               : sqlite3_bind_null(stmt, ++at);
    }
    bad |= sqlite3_bind_int64(stmt, ++at, (int64_t)e->n_amounts);
    bad |= e->until_day == DAY_NONE ? sqlite3_bind_null(stmt, ++at)
                                    : sqlite3_bind_int(stmt, ++at, e->until_day);
    bad |= sqlite3_bind_int(stmt, ++at, e->cycle);
    bad |= bind_positive(stmt, ++at, e->task);
    bad |= bind_positive(stmt, ++at, e->voids);
    bad |= sqlite3_bind_int64(stmt, ++at, e->uid);
    bad |= sqlite3_bind_text(stmt, ++at, e->who, -1, SQLITE_STATIC);
    bad |= bind_text(stmt, ++at, e->note);
    return bad ? SQLITE_ERROR : SQLITE_OK;
}

/* Most rows are of the kind of the one before or a few: a short walk over 23 words is cheap enough.
 */
static int find_kind(sqlite3_stmt *stmt, int at)
{
    const char *word = (const char *)sqlite3_column_text(stmt, at);

    return word ? entry_kind_find(word) : -1;
}

int rows_read(sqlite3_stmt *stmt, struct entry *out, struct err *err)
{
    int at = 0;
    int kind;

    out->seq = sqlite3_column_int64(stmt, at++);
    out->happened_s = sqlite3_column_int64(stmt, at++);
    out->told_s = sqlite3_column_int64(stmt, at++);
    kind = find_kind(stmt, at++);
    if (kind < 0) {
        return err_set(err, ERR_STORE, "entry %lld is of a kind this program does not know",
                       (long long)out->seq);
    }
    out->kind = (enum entry_kind)kind;
    sql_copy_text(stmt, at++, out->subject, sizeof out->subject);
    sql_copy_text(stmt, at++, out->what, sizeof out->what);
    out->has = 0;
    for (unsigned f = 0; f < FIGURE_N; f++, at++) {
        if (sqlite3_column_type(stmt, at) != SQLITE_NULL) {
            entry_set(out, (enum figure)f, sqlite3_column_double(stmt, at));
        } else {
            out->figure[f] = 0;
        }
    }
    out->n_amounts = (size_t)sqlite3_column_int64(stmt, at++);
    out->n_amounts = out->n_amounts > ROOM_DOSES_MAX ? ROOM_DOSES_MAX : out->n_amounts;
    out->until_day =
        sqlite3_column_type(stmt, at) == SQLITE_NULL ? DAY_NONE : sqlite3_column_int(stmt, at);
    at++;
    out->cycle = sqlite3_column_int(stmt, at++);
    out->task = sqlite3_column_int64(stmt, at++);
    out->voids = sqlite3_column_int64(stmt, at++);
    out->uid = (uint32_t)sqlite3_column_int64(stmt, at++);
    sql_copy_text(stmt, at++, out->who, sizeof out->who);
    sql_copy_text(stmt, at++, out->note, sizeof out->note);
    out->key[0] = '\0';
    return 0;
}
