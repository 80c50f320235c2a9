#include "daemon/store/schema.h"

#include "daemon/base/err.h"
#include "daemon/core/room/entry.h"
#include "daemon/store/chain.h"
#include "daemon/store/sql.h"

#include <assert.h>
#include <sqlite3.h>
#include <stdio.h>

static_assert(ENTRY_WORD_MAX == 47 && NAME_LEN_MAX == 31 && ENTRY_KEY_MAX == 63 &&
                  ROOM_DOSES_MAX == 12,
              "a length differs from the CHECKs below: a new step has to bring the tables to it");

/* Each step takes a file from the version that is its index to the next. A step that was released
 * is never edited, since files that went through it are out there; what changes is a new step
 * behind it.
 *
 * STRICT tables refuse a text where a number belongs, and the CHECKs what no program of ours
 * writes: a fault of ours shows as a failed write and not as a journal that cannot be read. The
 * triggers hold invariant 2 of journal_inside.h against any program. */
static const char *const steps[] = {
    /* 0 -> 1 */
    "CREATE TABLE entry ("
    "  seq        INTEGER PRIMARY KEY CHECK (seq > 0),"
    "  happened_s INTEGER NOT NULL,"
    "  told_s     INTEGER NOT NULL,"
    "  kind       TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 47),"
    "  subject    TEXT NOT NULL CHECK (length(subject) BETWEEN 1 AND 31),"
    "  what       TEXT CHECK (length(what) BETWEEN 1 AND 47),"
    "  volume_l REAL, added_l REAL, ec_ms_cm REAL, ph REAL, temp_c REAL, slope_pct REAL,"
    "  offset_mv REAL, amount REAL, yield_g REAL,"
    "  n_amounts  INTEGER NOT NULL CHECK (n_amounts BETWEEN 0 AND 12),"
    "  until_day  INTEGER,"
    "  cycle      INTEGER NOT NULL,"
    "  task       INTEGER CHECK (task > 0),"
    "  voids      INTEGER UNIQUE REFERENCES entry(seq),"
    "  uid        INTEGER NOT NULL,"
    "  who        TEXT NOT NULL,"
    "  note       TEXT,"
    "  CHECK ((kind = 'voided') = (voids IS NOT NULL))"
    ") STRICT;"
    "CREATE INDEX entry_in_order ON entry (happened_s, seq);"
    "CREATE INDEX entry_of_subject ON entry (subject, happened_s, seq);"
    "CREATE TABLE amount ("
    "  entry   INTEGER NOT NULL REFERENCES entry(seq),"
    "  place   INTEGER NOT NULL,"
    "  product TEXT NOT NULL,"
    "  amount  REAL NOT NULL CHECK (amount >= 0),"
    "  PRIMARY KEY (entry, place)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE client_key ("
    "  key       TEXT PRIMARY KEY CHECK (length(key) BETWEEN 1 AND 63),"
    "  first_seq INTEGER NOT NULL REFERENCES entry(seq),"
    "  last_seq  INTEGER NOT NULL REFERENCES entry(seq)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE task ("
    "  id       INTEGER PRIMARY KEY CHECK (id > 0),"
    "  kind     TEXT NOT NULL,"
    "  care     INTEGER NOT NULL,"
    "  earliest INTEGER NOT NULL, due INTEGER NOT NULL, latest INTEGER NOT NULL,"
    "  planned  INTEGER NOT NULL,"
    "  outcome  TEXT CHECK (outcome IN ('done', 'dropped', 'withdrawn')),"
    "  reason   TEXT"
    ") STRICT;"
    "CREATE INDEX task_open ON task (id) WHERE outcome IS NULL;"
    "CREATE TABLE task_job ("
    "  task    INTEGER NOT NULL REFERENCES task(id),"
    "  subject TEXT NOT NULL,"
    "  cycle   INTEGER NOT NULL,"
    "  PRIMARY KEY (task, subject, cycle)"
    ") STRICT, WITHOUT ROWID;"
    "CREATE TABLE day_started ("
    "  one INTEGER PRIMARY KEY CHECK (one = 1),"
    "  day INTEGER NOT NULL"
    ") STRICT;"
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never changed; void it'); END;"
    "CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never deleted; void it'); END;"
    "CREATE TRIGGER amount_stays BEFORE UPDATE ON amount"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never changed; void it'); END;"
    "CREATE TRIGGER amount_is_kept BEFORE DELETE ON amount"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never deleted; void it'); END;",
    /* 1 -> 2 */
    "ALTER TABLE entry ADD COLUMN was_ms_cm REAL;",
    /* 2 -> 3: an entry that has its seal is never changed. */
    "ALTER TABLE entry ADD COLUMN hash BLOB;"
    "ALTER TABLE task ADD COLUMN seal INTEGER NOT NULL DEFAULT 0;"
    "DROP TRIGGER entry_stays;"
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry WHEN old.hash IS NOT NULL"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never changed; void it'); END;"
    "CREATE TABLE standing ("
    "  one    INTEGER PRIMARY KEY CHECK (one = 1),"
    "  record BLOB NOT NULL CHECK (length(record) = 256)"
    ") STRICT;",
    /* 3 -> 4: who told it; and of what was a sensor's and is thinned its numbers and the seal of
     * the last, on which the next entry stands. */
    "ALTER TABLE entry ADD COLUMN source TEXT CHECK (source = 'sensor');"
    "CREATE INDEX entry_of_sensor ON entry (happened_s, seq) WHERE source IS NOT NULL;"
    "CREATE TABLE thinned ("
    "  first_seq INTEGER PRIMARY KEY CHECK (first_seq > 0),"
    "  last_seq  INTEGER NOT NULL CHECK (last_seq >= first_seq),"
    "  hash      BLOB NOT NULL CHECK (length(hash) = 32)"
    ") STRICT;"
    "DROP TRIGGER entry_is_kept;"
    "CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry"
    "  WHEN old.source IS NULL OR coalesce((SELECT last_seq FROM thinned"
    "    WHERE first_seq <= old.seq ORDER BY first_seq DESC LIMIT 1), 0) < old.seq"
    "  BEGIN SELECT RAISE(ABORT, 'an entry is never deleted; void it'); END;",
    /* 4 -> 5: what was told of a task, and with what, is found without going through all. */
    ("CREATE INDEX entry_of_task ON entry (task, seq) WHERE task IS NOT NULL;"
     "CREATE INDEX key_of_entry ON client_key (first_seq);"),
    /* 5 -> 6: how long the work took. */
    ("ALTER TABLE entry ADD COLUMN took_min REAL;"
     "ALTER TABLE entry ADD COLUMN jobs REAL;"),
};

enum { NEWEST = sizeof steps / sizeof *steps };

static int check_identity(sqlite3 *db, int64_t *out_version, struct err *e)
{
    int64_t application = 0;
    int64_t objects = 0;
    int rc = sql_int(db, "PRAGMA application_id", &application, e);

    if (rc == 0) {
        rc = sql_int(db, "PRAGMA user_version", out_version, e);
    }
    if (rc == 0) {
        rc = sql_int(db, "SELECT count(*) FROM sqlite_schema", &objects, e);
    }
    if (rc < 0) {
        return rc;
    }
    if (application == 0 && *out_version == 0 && objects == 0) {
        return 0; /* new and empty: all steps are to do */
    }
    if (application != SCHEMA_APPLICATION_ID) {
        return err_set(e, ERR_STORE, "it is a database of some other program");
    }
    if (*out_version < 1) {
        return err_set(e, ERR_STORE,
                       "the journal is damaged (it says that it is of version %lld); restore a "
                       "backup, or see tarnd --recover",
                       (long long)*out_version);
    }
    if (*out_version > NEWEST) {
        return err_set(
            e, ERR_STORE,
            "it was written by a newer tarn (version %lld of the file, this program knows %d)",
            (long long)*out_version, NEWEST);
    }
    return 0;
}

/* A version that lost a bit would have steps made twice. What a later step brought tells. */
static int check_version(sqlite3 *db, int64_t version, struct err *e)
{
    int64_t sealed = 0;
    int rc = sql_int(db, "SELECT count(*) FROM sqlite_schema WHERE name = 'standing'", &sealed, e);

    if (rc == 0 && (sealed > 0) != (version >= SCHEMA_SEALED_SINCE)) {
        rc = err_set(e, ERR_STORE,
                     "the journal is damaged (it says that it is of version %lld, and its tables "
                     "are not); restore a backup, or see tarnd --recover",
                     (long long)version);
    }
    return rc;
}

int schema_check(sqlite3 *db, int64_t *out_version, struct err *e)
{
    int rc = check_identity(db, out_version, e);

    return rc < 0 ? rc : check_version(db, *out_version, e);
}

int schema_migrate(sqlite3 *db, bool *out_sealed, struct err *e)
{
    char identity[96];
    int64_t version = 0;
    int rc = schema_check(db, &version, e);

    *out_sealed = false;
    if (rc < 0 || version == NEWEST) {
        return rc;
    }
    /* All steps and the new version in one transaction: a file is of one version or of the next. */
    rc = sql_run(db, "BEGIN IMMEDIATE", e);
    for (int64_t v = version; v < NEWEST && rc == 0; v++) {
        rc = sql_run(db, steps[v], e);
    }
    if (rc == 0) {
        *out_sealed = version < SCHEMA_SEALED_SINCE;
        rc = *out_sealed ? chain_make(db, NEWEST, e) : chain_new_tables(db, NEWEST, e);
    }
    if (rc == 0) {
        (void)snprintf(identity, sizeof identity, "PRAGMA application_id=%d;PRAGMA user_version=%d",
                       SCHEMA_APPLICATION_ID, NEWEST);
        rc = sql_run(db, identity, e);
    }
    if (rc == 0) {
        rc = sql_run(db, "COMMIT", e);
    }
    if (rc < 0) {
        (void)sql_run(db, "ROLLBACK", NULL);
    }
    return rc;
}
